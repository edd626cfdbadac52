"""How well the models predict batches they have not seen, in the shape that commands print."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

from pipeline.cellar import Cellar
from pipeline.files import written_whole
from pipeline.learning import Models
from pipeline.learning.heldout import Errors, HeldOut, held_out
from pipeline.learning.heldout.splits import evenly_by_recipe
from pipeline.learning.models import Frames, read_frames

FILE = "heldout.json"  # beside the cellar


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
    kept = _kept(cellar)
    if kept is None:
        kept = _tried(read_frames(cellar), models)
        _keep(cellar, kept)
    return kept


def _tried(frames: Frames, models: Models) -> dict[str, Any]:
    found, variances = held_out(frames, models), _variances(models)
    return {
        "models": {name: _model(found[name], variances[name]) for name in found},
        "tried": {
            "batches": int(evenly_by_recipe(frames.batches).size),
            "of": frames.batches.height,
        },
    }


def untrusted(cellar: Cellar, models: Models) -> dict[str, str]:
    """Return the models on which no advice may rest, each with the reason.

    Parameters
    ----------
    cellar : Cellar
    models : Models

    Returns
    -------
    dict of str to str
        ``volume``, ``gravity``, ``score`` or ``harshness``, to a sentence: too few batches could be
        held out, or the model does no better than the mean of the same fruit.
    """
    tried = answer(cellar, models)["models"]
    return {name: model["doubts"][0]["text"] for name, model in tried.items() if model["doubts"]}


def _kept(cellar: Cellar) -> dict[str, Any] | None:
    """Return what an earlier trial of the same cellar found; plain numbers, never a model."""
    try:
        kept = json.loads((cellar.path.parent / FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    same = isinstance(kept, dict) and kept.get("fingerprint") == cellar.built_from()
    return kept.get("answer") if same else None


def _keep(cellar: Cellar, answer: dict[str, Any]) -> None:
    """Keep a trial beside the cellar: it takes seconds, and several answers rest on it."""
    home = cellar.path.parent
    content = {"fingerprint": cellar.built_from(), "answer": answer}
    # Where it cannot be written nothing is lost: it is tried again next time.
    with suppress(OSError), written_whole(home / FILE) as fresh:
        fresh.write_text(json.dumps(content), encoding="utf-8")


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
        "width_90": found.width,
        "next_season": _season(found.next_season),
    }


def _season(found: Errors) -> dict[str, Any]:
    return {
        "batches": found.batches,
        "mae": found.mae,
        "baseline_mae": found.baseline_mae,
        "baselines": found.baselines,
        "coverage_90": found.coverage,
        "width_90": found.width,
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
