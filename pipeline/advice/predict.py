"""What a planned recipe will give: every outcome as an interval, with doubts and cautions."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.cautions import cautions_for_must
from pipeline.advice.doubts import planned_doubts
from pipeline.advice.sticking import stuck_reasons
from pipeline.cellar import Cellar
from pipeline.cellar.plan import PlannedMusts
from pipeline.errors import UnknownNameError
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate, estimate_from
from pipeline.learning.forecast import Forecast, forecast

FORECAST = (
    "original_gravity",
    "final_gravity",
    "alcohol",
    "finished_fraction",
    "nitrogen_needed",
    "acidity",
    "residual_sugar",
    "harshness",
    "score",
)
KEYS = (
    *("original_gravity", "final_gravity", "alcohol", "finished_volume", "finished_fraction"),
    *("bottles", "nitrogen", "nitrogen_needed", "acidity", "residual_sugar", "harshness"),
    *("score", "cost_per_bottle", "chance_stuck"),
)
_NITROGEN_ERROR = 0.1  # of a nutrient's label; common practice, no source


def answer(cellar: Cellar, models: Models, recipes: list[str]) -> dict[str, Any]:
    """Predict planned recipes of recipes.csv.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipes : list of str
        Names as in recipes.csv.

    Returns
    -------
    dict
        The machine form of `hedgerow predict`.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    lines = cellar.table("staged_recipes")
    return {"recipes": predict(cellar, models, planned(cellar, recipes), lines)}


def planned(cellar: Cellar, recipes: list[str]) -> PlannedMusts:
    """Return recipes of recipes.csv as the mart describes them.

    Raises
    ------
    UnknownNameError
        If one of them is not there.
    """
    musts = cellar.table("musts").filter("is_planned")
    known = musts["must_id"].to_list()
    for recipe in recipes:
        if recipe not in known:
            names = ", ".join(f"'{name}'" for name in known[:8]) or "none yet"
            raise UnknownNameError(
                f"There is no recipe '{recipe}' in recipes.csv. Its recipes: {names}."
            )
    chosen = pl.DataFrame({"must_id": list(dict.fromkeys(recipes))})
    return PlannedMusts(
        chosen.join(musts, on="must_id", maintain_order="left"),
        cellar.table("must_fruits").filter("is_planned", pl.col("must_id").is_in(recipes)),
    )


def predict(
    cellar: Cellar, models: Models, plans: PlannedMusts, lines: pl.DataFrame
) -> list[dict[str, Any]]:
    """Predict recipes, whether they stand in recipes.csv or not.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    plans : PlannedMusts
        The recipes as the mart describes them.
    lines : polars.DataFrame
        Their lines, with the columns of `staged_recipes`.
    """
    expected = forecast(models, plans.musts, plans.must_fruits)
    rows = {must_id: row for row, must_id in enumerate(expected.musts.ids)}
    return predictions(cellar, models, plans, expected, rows, lines)


def predictions(
    cellar: Cellar,
    models: Models,
    plans: PlannedMusts,
    expected: Forecast,
    rows: dict[str, int],
    lines: pl.DataFrame,
) -> list[dict[str, Any]]:
    """Word some of what was already forecast as predictions.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    plans : PlannedMusts
        The recipes as the mart describes them.
    expected : Forecast
        Of those.
    rows : dict of str to int
        What to call a recipe, to its row.
    lines : polars.DataFrame
        Their lines, with the columns of `staged_recipes`.
    """
    found = []
    for name, row in rows.items():
        own = lines.filter(pl.col("recipe") == plans.musts["must_id"][row])
        found.append(_prediction(cellar, models, plans, expected, row, own) | {"recipe": name})
    return found


def _prediction(
    cellar: Cellar,
    models: Models,
    plans: PlannedMusts,
    expected: Forecast,
    row: int,
    lines: pl.DataFrame,
) -> dict[str, Any]:
    must = plans.musts.row(row, named=True)
    fruits = plans.must_fruits.filter(pl.col("must_id") == must["must_id"])
    estimates = {name: expected[name].new_batch(row) for name in FORECAST}
    estimates |= _wine(expected, row, must, cellar)
    estimates["nitrogen"] = _nitrogen(must)
    estimates["chance_stuck"] = expected.sticking.chance(row)
    cautions = cautions_for_must(
        set(fruits["fruit"]),
        has_stone_fruit=bool(fruits["is_stone_fruit"].any()),
        extraction=must["extraction"],
        kinds=set(lines["kind"]),
        ripeness=set(lines["ripeness"].drop_nulls()),
        sugar_g_l=must["sweeten_to_g_l"] or _value(estimates["residual_sugar"]),
        alcohol=_value(estimates["alcohol"]),
    )
    return {
        "recipe": must["must_id"],
        **{key: _as_dict(estimates.get(key)) for key in KEYS},
        "stuck_reasons": stuck_reasons(expected.sticking, row),
        "doubts": [
            doubt.as_dict()
            for doubt in planned_doubts(cellar, models, expected, row, must, fruits, lines)
        ],
        "cautions": [caution.as_text() for caution in cautions],
    }


def _value(estimate: Estimate | None) -> float | None:
    return None if estimate is None else estimate.value


def _as_dict(estimate: Estimate | None) -> dict[str, Any] | None:
    return None if estimate is None else estimate.as_dict()


def _wine(
    expected: Forecast, row: int, must: dict[str, Any], cellar: Cellar
) -> dict[str, Estimate | None]:
    """Return volume, bottles and cost of a bottle, which all follow from the finished share."""
    share, target = expected["finished_fraction"].new_batch(row), expected.musts["target_l"][row]
    settings = cellar.settings()
    if share is None or not np.isfinite(target):
        return {}
    volume = _scaled(share, target, "L")
    bottles = _scaled(share, target / settings["bottle_l"], "bottles")
    return {
        "finished_volume": volume,
        "bottles": bottles,
        "cost_per_bottle": _cost(bottles, must["cost"], settings["currency"] or ""),
    }


def _scaled(estimate: Estimate, factor: float, unit: str) -> Estimate:
    return Estimate(
        estimate.value * factor,
        estimate.low * factor,
        estimate.high * factor,
        unit,
        estimate.batches,
        estimate.level,
    )


def _cost(bottles: Estimate, cost: float | None, currency: str) -> Estimate | None:
    """Return the cost of a bottle actually obtained: fewer bottles make each dearer."""
    if cost is None or bottles.low <= 0:
        return None
    return Estimate(
        cost / bottles.value, cost / bottles.high, cost / bottles.low, currency, bottles.batches
    )


def _nitrogen(must: dict[str, Any]) -> Estimate | None:
    """Return the nitrogen that the nutrients add; the fruit's own is not counted."""
    added = must["nitrogen_added_mg_l"]
    if added is None:
        return None
    error = must["nitrogen_error_mg_l"] or 0.0
    sd = float(np.hypot(error, _NITROGEN_ERROR * added)) / 1.645
    return estimate_from(added, sd, "mg/L", 0, bounds=(0.0, np.inf))
