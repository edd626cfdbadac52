"""What the gravity model expects of musts, how surely, and what a new batch will show."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.learning.doubtful import Moved
from pipeline.learning.ferment import ferment, slopes
from pipeline.learning.gravity import (
    ALCOHOL_NOISE,
    FORM_DOUBT,
    MISFIT,
    MIXING_DOUBT,
    YIELD_DOUBT,
    GravityModel,
    MustCurve,
)
from pipeline.learning.gravity.readings import BATCH, TOLERANCE_NOISE
from pipeline.learning.gravity.supply import read_supply
from pipeline.learning.mixed.contrasts import Spread, curved_spread
from pipeline.learning.musts import Musts

# Outcome: the name of its reading noise in the model, if it is read with one.
OUTCOMES = {
    "original": "original",
    "undiluted": "final",
    "alcohol": None,
    "residual": None,
    "shortfall": None,
    "needed": None,
    "excess": None,
}


@dataclass(frozen=True)
class Told:
    """One outcome of musts: arrays (n,), slope (n, width), as `Ferments` has them."""

    mean: np.ndarray
    sd: np.ndarray
    noise: np.ndarray
    slope: np.ndarray
    spread: Spread


@dataclass(frozen=True)
class Ferments:
    """Outcomes of musts, nothing topped up; every array (n,), slopes (n, width).

    `mean` is what is expected, `sd` how surely, `noise` how far a new batch lies from it; `spread`
    gives the standard deviation of linear combinations of what the slopes are along.
    """

    mean: dict[str, np.ndarray]
    sd: dict[str, np.ndarray]
    noise: dict[str, np.ndarray]
    slope: dict[str, np.ndarray]
    spread: Spread

    def told(self, name: str) -> Told:
        """Return one of the outcomes."""
        mean, sd, noise = self.mean[name], self.sd[name], self.noise[name]
        return Told(mean, sd, noise, self.slope[name], self.spread)

    def new_sd(self, name: str) -> np.ndarray:
        """Return the standard deviation of what a new batch will show."""
        return np.hypot(self.sd[name], self.noise[name])


def expected_ferment(model: GravityModel, musts: Musts, moved: Moved | None = None) -> Ferments:
    """Return what a model expects of musts that have not been topped up.

    Parameters
    ----------
    model : GravityModel
    musts : Musts
        Read with the model's fruits.
    moved : Moved, optional
        The same with doubtful amounts moved; without it doubt about amounts is left out.
    """
    curve = MustCurve(model, musts, read_supply(musts, model.typical))
    at = curve.scalars(model.coefficients(curve.width))
    state = ferment(curve.supply, at)
    along = slopes(curve.supply, at, tuple(OUTCOMES))
    mean = {name: getattr(state, name) for name in OUTCOMES}
    slope = {name: np.nan_to_num(curve.jacobian(along[name])) for name in OUTCOMES}
    sugar_sd = curve.litres(at) * batch_sugar_sd(model)
    noise = {
        name: np.sqrt(
            (along[name]["more_sugar"] * sugar_sd) ** 2
            + (along[name]["tolerance"] * TOLERANCE_NOISE) ** 2
            + _own_noise(model, name, mean[name]) ** 2
        )
        for name in OUTCOMES
    }
    spread = curved_spread(model.fit, curve.grouped(), curve.width)
    sd = {name: spread(rows) for name, rows in slope.items()}
    mixed = np.fmax(sd["alcohol"], MIXING_DOUBT * np.nan_to_num(musts["load"]))
    sd["alcohol"] = np.hypot(mixed, YIELD_DOUBT * mean["alcohol"])
    for name in ("original", "undiluted"):
        sd[name] = np.hypot(MISFIT * sd[name], FORM_DOUBT)
    if moved is not None:
        there = MustCurve(model, moved.musts, read_supply(moved.musts, model.typical))
        other = there.state(model.coefficients(there.width))
        for name in OUTCOMES:
            blurred = moved.variance(mean[name], getattr(other, name))
            sd[name] = np.sqrt(sd[name] ** 2 + blurred)
    return Ferments(mean, sd, noise, slope, spread)


def batch_sugar_sd(model: GravityModel) -> float:
    """Return by how much a batch's sugar departs from its recipe [g/L]."""
    if model.fit is None:
        return float(BATCH.sd or 0.0)
    return float(model.fit.regressor.group_sd_[BATCH.name])


def _own_noise(model: GravityModel, name: str, mean: np.ndarray) -> np.ndarray:
    reading = OUTCOMES[name]
    if reading is not None:
        return np.full(mean.size, model.outcome_sd[reading])
    return ALCOHOL_NOISE * mean if name == "alcohol" else np.zeros(mean.size)
