"""How much of a batch's harshness is owed to who tasted it."""

from __future__ import annotations

import numpy as np

from pipeline.learning.taste import TasteModel
from pipeline.learning.taste.tasters import Tasters


def taster_share(model: TasteModel, row: int, smooth: np.ndarray) -> tuple[float, float]:
    """Return what a batch's glasses owe to who tasted them, and its standard deviation [points].

    Beside the glasses of the smooth batches, of all tasters alike where those have none.
    """
    tasters = model.harshness.tasters
    if tasters is None or len(tasters.names) < 2:
        return 0.0, 0.0
    own = _mix(model, tasters, np.array([row]))
    if own is None:
        return 0.0, 0.0
    usual = _mix(model, tasters, smooth)
    difference = own - (np.full(own.size, 1 / own.size) if usual is None else usual)
    return float(difference @ tasters.severity), float(
        np.sqrt(difference**2 @ severity_variance(model, tasters))
    )


def severity_variance(model: TasteModel, tasters: Tasters) -> np.ndarray:
    """Return the variance of each taster's severity."""
    glasses = model.pours.glasses("harshness")
    count = np.bincount(glasses.taster, minlength=len(tasters.names))
    prior = tasters.noise**2 / model.harshness.terms.severity_sd**2
    return np.asarray(tasters.noise**2 / (count + prior))


def _mix(model: TasteModel, tasters: Tasters, rows: np.ndarray) -> np.ndarray | None:
    """Return the share of these batches' glasses that each taster marked."""
    glasses = model.pours.glasses("harshness")
    ours = np.isin(model.pours.must[glasses.pour], rows)
    if not ours.any():
        return None
    count = np.bincount(glasses.taster[ours], minlength=len(tasters.names))
    return np.asarray(count / count.sum())
