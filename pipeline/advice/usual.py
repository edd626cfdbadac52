"""The maker's usual recipe of a fruit, as lines of a recipe nobody has written down."""

from __future__ import annotations

from typing import Any

import polars as pl

from pipeline.cellar import Cellar

USUAL_TARGET_L = 4.5
USUAL_SUGAR_KG_L = 0.22  # [kg/L of target] common practice, no source; where none is logged
USUAL_LOAD_KG_L = 0.4  # [kg/L of target] common practice, no source; where none is logged
USUAL_DAYS = 7.0  # [d] fruit in the must; common practice, no source


def usual_fruit(cellar: Cellar, fruit: str) -> dict[str, Any]:
    """Return how this logbook usually treats a fruit, as cells of a recipe's line."""
    lines = cellar.table("must_lines").filter(
        pl.col("kind") == "fruit", ~pl.col("is_planned"), pl.col("ingredient_name") == fruit
    )
    logged = cellar.table("must_fruits").filter(~pl.col("is_planned"), pl.col("fruit") == fruit)
    days = logged["contact_days"].median()
    return {
        "ingredient": fruit,
        "ingredient_key": fruit,
        "form": _commonest(lines, "form"),
        "is_frozen": bool(_commonest(lines, "is_frozen")),
        "skins": _commonest(lines, "skins"),
        "ripeness": _commonest(lines, "ripeness"),
        "removed_day": USUAL_DAYS if days is None else float(days),  # type: ignore[arg-type]
    }


def usual_load(cellar: Cellar, fruit: str | None = None) -> float:
    """Return the usual fruit load [kg/L of target], of one fruit or of all."""
    logged = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    if fruit is not None:
        logged = logged.filter(pl.col("fruit") == fruit)
    return _median(logged["load_kg_l"], USUAL_LOAD_KG_L)


def usual_sugar(cellar: Cellar) -> float:
    """Return the usual sugar [kg/L of target]."""
    batches = cellar.table("batches")
    return _median(batches["sugar_kg"] / batches["target_volume_l"], USUAL_SUGAR_KG_L)


def usual_water(cellar: Cellar, fruit: str) -> float:
    """Return the water that this fruit's batches had, beside the fruit [L/L of target]."""
    batches = cellar.table("batches")
    own = batches.filter(pl.col("main_fruit") == fruit)
    share = own["water_l"] / own["target_volume_l"]
    return _median(share, _median(batches["water_l"] / batches["target_volume_l"], 1.0))


def usual_nutrient(cellar: Cellar) -> float:
    """Return the usual diammonium phosphate [kg/L of target] that would give the usual nitrogen."""
    batches = cellar.table("batches")
    nitrogen = batches["nitrogen_added_mg_l"] * batches["must_l"] / batches["target_volume_l"]
    return _median(nitrogen, 0.0) / 212.1 / 1000


def usual_vessel(cellar: Cellar, fruit: str) -> dict[str, float]:
    """Return where the planner begins: as this maker usually makes this fruit.

    Returns
    -------
    dict
        ``target_l`` [L], and for each litre of it ``load_kg_l`` [kg] and ``water_l_l`` [L].
    """
    return {
        "target_l": _median(cellar.table("batches")["target_volume_l"], USUAL_TARGET_L),
        "load_kg_l": usual_load(cellar, fruit),
        "water_l_l": usual_water(cellar, fruit),
    }


def recipe_lines(cellar: Cellar, recipes: dict[str, list[dict[str, Any]]]) -> pl.DataFrame:
    """Return recipes as lines with the columns of `staged_recipes`, target 4.5 L.

    Parameters
    ----------
    cellar : Cellar
    recipes : dict
        Name to lines; a line says what differs from an empty one.
    """
    schema = cellar.table("staged_recipes").schema
    rows = [
        {"recipe": name, "line": number, "target_volume_l": USUAL_TARGET_L, "day": 0.0}
        | _plain
        | line
        for name, lines in recipes.items()
        for number, line in enumerate(lines)
    ]
    return pl.DataFrame([{key: row.get(key) for key in schema} for row in rows], schema=schema)


_plain = {"is_to_mark": False, "is_frozen": False, "amount_error": 0.0, "amount": ""}


def _commonest(lines: pl.DataFrame, column: str) -> Any:
    counts = lines[column].drop_nulls().value_counts(sort=True)
    return None if counts.is_empty() else counts[column][0]


def _median(values: pl.Series, otherwise: float) -> float:
    found = values.drop_nulls().drop_nans().median()
    return otherwise if found is None else float(found)  # type: ignore[arg-type]
