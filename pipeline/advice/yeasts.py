"""Finished gravity and attenuation across yeasts, like for like."""

from __future__ import annotations

from typing import Any

import polars as pl

from pipeline.advice.usual import (
    USUAL_TARGET_L,
    recipe_lines,
    usual_load,
    usual_nutrient,
    usual_sugar,
)
from pipeline.cellar import Cellar
from pipeline.cellar.fruit_reference import AVERAGE_FRUIT
from pipeline.cellar.plan import plan_musts
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate
from pipeline.learning.musts import Musts, plain_label, read_musts
from pipeline.learning.yeasts import Pair, Yeast, YeastsLikeForLike

Names = dict[str | None, str]  # how models name a yeast, to how the maker spells it


def answer(cellar: Cellar, models: Models) -> dict[str, Any]:
    """Compare the yeasts of a logbook on the same musts.

    Parameters
    ----------
    cellar : Cellar
    models : Models

    Returns
    -------
    dict
        The machine form of `hedgerow yeasts`: each yeast and every pair at the average must, and
        the pairs again averaged over the logbook's own musts.
    """
    batches = cellar.table("batches").filter(pl.col("final_gravity").is_not_null())
    counts = dict(batches.drop_nulls("yeast").group_by("yeast").len().iter_rows())
    finished = {str(plain_label(name)): count for name, count in counts.items()}
    average = YeastsLikeForLike(models.gravity, _average_must(cellar, models), finished)
    own = YeastsLikeForLike(models.gravity, models.musts, finished)
    tolerances = {yeast.name: yeast.alcohol_tolerance for yeast in own.yeasts()}
    names = {plain_label(name): name for name in cellar.table("batches")["yeast"].drop_nulls()}
    return {
        "yeasts": [_yeast(yeast, tolerances[yeast.name], names) for yeast in average.yeasts()],
        "pairs": [_pair(pair, names) for pair in average.pairs()],
        "pairs_over_logbook": [_pair(pair, names) for pair in own.pairs()],
    }


def _average_must(cellar: Cellar, models: Models) -> Musts:
    """Return the logbook's average must: an average fruit with the usual sugar and nutrient."""
    lines = [
        {
            "kind": "fruit",
            "ingredient": AVERAGE_FRUIT,
            "ingredient_key": AVERAGE_FRUIT,
            "amount_kg": usual_load(cellar) * USUAL_TARGET_L,
        },
        {
            "kind": "sugar",
            "ingredient": "sugar",
            "amount_kg": usual_sugar(cellar) * USUAL_TARGET_L,
        },
        {"kind": "water", "ingredient": "water", "amount_l": USUAL_TARGET_L},
        {
            "kind": "nutrient",
            "ingredient": "diammonium phosphate",
            "ingredient_key": "diammonium phosphate (DAP)",
            "amount_kg": usual_nutrient(cellar) * USUAL_TARGET_L,
        },
    ]
    lines = [line for line in lines if (line.get("amount_kg") or line.get("amount_l"))]
    bottle = float(cellar.settings()["bottle_l"])
    plans = plan_musts(recipe_lines(cellar, {"average must": lines}), bottle)
    return read_musts(plans.musts, plans.must_fruits, models.fruits)


def _as_dict(estimate: Estimate | None) -> dict[str, Any] | None:
    return None if estimate is None else estimate.as_dict()


def _yeast(yeast: Yeast, tolerance: Estimate | None, names: Names) -> dict[str, Any]:
    return {
        "yeast": names.get(yeast.name, yeast.name),
        "batches": yeast.batches,
        "final_gravity": _as_dict(yeast.final_gravity),
        "apparent_attenuation": _as_dict(yeast.apparent_attenuation),
        "real_attenuation": _as_dict(yeast.real_attenuation),
        "alcohol_tolerance": _as_dict(tolerance),
    }


def _pair(pair: Pair, names: Names) -> dict[str, Any]:
    return {
        "a": names.get(pair.a, pair.a),
        "b": names.get(pair.b, pair.b),
        "difference": _as_dict(pair.difference),
        "chance_a_drier": pair.chance_a_drier,
        "doubts": [doubt.as_dict() for doubt in pair.doubts],
    }
