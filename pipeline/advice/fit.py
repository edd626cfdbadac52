"""How well the models predict batches they have not seen, in the shape that commands print."""

from __future__ import annotations

from typing import Any

from pipeline.cellar import Cellar
from pipeline.learning import Models
from pipeline.learning.heldout import HeldOut, held_out
from pipeline.learning.models import read_frames


def answer(cellar: Cellar, models: Models) -> dict[str, Any]:
    """Try each model on batches held out of the fit.

    Parameters
    ----------
    cellar : Cellar
    models : Models

    Returns
    -------
    dict
        The machine form of `hedgerow fit`.
    """
    found = held_out(read_frames(cellar), models)
    variances = _variances(models)
    return {"models": {name: _model(found[name], variances[name]) for name in found}}


def _model(found: HeldOut, variance: dict[str, float]) -> dict[str, Any]:
    return {
        "batches": found.batches,
        "rmse": found.rmse,
        "mae": found.mae,
        "baseline_mae": found.baseline_mae,
        "baselines": found.baselines,
        "coverage_90": found.coverage,
        "doubts": [doubt.as_dict() for doubt in found.doubts],
        "variance": variance,
    }


def _variances(models: Models) -> dict[str, dict[str, float]]:
    """Return how wide each group of effects is, as variances; empty where nothing was fitted."""
    volume = None if models.volume.fit is None else models.volume.fit.regressor
    gravity = None if models.gravity.fit is None else models.gravity.fit.regressor
    regressors = {
        "volume": volume,
        "gravity": gravity,
        "score": models.taste.score.regressor,
        "harshness": models.taste.harshness.regressor,
    }
    return {
        name: {}
        if regressor is None
        else {group: float(sd**2) for group, sd in regressor.group_sd_.items()}
        | {"residual": float(regressor.residual_sd_**2)}
        for name, regressor in regressors.items()
    }
