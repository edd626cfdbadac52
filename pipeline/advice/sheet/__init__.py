"""A recipe written out for the kitchen: scaled, with the vessel it needs and a plan of steps."""

from datetime import date
from typing import Any

import polars as pl

from pipeline.advice.cautions import cautions_due
from pipeline.advice.sheet.cautions import circumstances_of_sheet, with_cautions
from pipeline.advice.sheet.doubts import sheet_doubts
from pipeline.advice.sheet.scale import scale_lines, written_lines
from pipeline.advice.sheet.steps import plan_steps
from pipeline.cellar import Cellar
from pipeline.cellar.plan import plan_musts
from pipeline.enology.fruit import HEADSPACE_FRACTION, vessel_for
from pipeline.errors import CannotSayError, UnknownNameError
from pipeline.reference import fruits


def answer(
    cellar: Cellar, recipe: str, volume_l: float | None = None, start: date | None = None
) -> dict[str, Any]:
    """Write out a recipe of recipes.csv.

    Parameters
    ----------
    cellar : Cellar
    recipe : str
        Its name; upper and lower case alike.
    volume_l : float, optional
        Finished volume wanted [L]; as the recipe has it if left out.
    start : datetime.date, optional
        Day the must is put together; today if left out.

    Returns
    -------
    dict
        ``recipe``, ``yeast``, ``written_for_l``, ``target_volume_l``, ``factor``, ``start``,
        ``ferment_temperature_c``, ``sweeten_to_g_l``, ``lines``, ``vessel``, ``expected``,
        ``steps``, ``cost``, ``fruit_notes``, ``doubts``, ``cautions``, ``next_step``.

    Raises
    ------
    UnknownNameError
        If there is no such recipe.
    CannotSayError
        If it is to be scaled and does not say what volume it is for.
    """
    lines = _recipe(cellar, recipe)
    whole = lines.select(pl.all().drop_nulls().first()).row(0, named=True)
    written_for = whole["target_volume_l"]
    factor = _factor(whole["recipe"], written_for, volume_l)
    target = written_for if volume_l is None else volume_l
    scaled = scale_lines(lines, factor, target)
    rows = written_lines(scaled, factor, target)
    planned = plan_musts(scaled, cellar.settings()["bottle_l"])
    must = planned.musts.row(0, named=True)
    day = start or date.today()
    steps = plan_steps(rows, whole["rackings"], whole["sweeten_to_g_l"])
    due = cautions_due(circumstances_of_sheet(rows, whole, steps))
    return {
        "recipe": whole["recipe"],
        "yeast": whole["yeast"],
        "written_for_l": written_for,
        "target_volume_l": target,
        "factor": factor,
        "start": day.isoformat(),
        "ferment_temperature_c": whole["ferment_temperature_c"],
        "sweeten_to_g_l": whole["sweeten_to_g_l"],
        "lines": rows,
        "vessel": _vessel(must),
        "expected": {
            "original_gravity": must["original_gravity_by_mass"],
            **_acidity(must),
            "so2_added_mg_l": must["so2_added_mg_l"],
        },
        "steps": with_cautions([step.as_dict(day) for step in steps], rows, due),
        "cost": must["cost"],
        "fruit_notes": _fruit_notes(rows),
        "doubts": [doubt.as_dict() for doubt in sheet_doubts(rows, whole, must)],
        "cautions": [caution.as_dict() for caution in due],
        "next_step": _next_step(rows),
    }


def _recipe(cellar: Cellar, name: str) -> pl.DataFrame:
    recipes = cellar.table("staged_recipes")
    found = recipes.filter(pl.col("recipe").str.to_lowercase() == " ".join(name.lower().split()))
    if found.is_empty():
        known = ", ".join(recipes["recipe"].unique(maintain_order=True).head(8)) or "none"
        raise UnknownNameError(f"There is no recipe '{name}' in recipes.csv. It has: {known}.")
    return found


def _factor(recipe: str, written_for: float | None, wanted: float | None) -> float:
    if wanted is None:
        return 1.0
    if written_for is None:
        raise CannotSayError(
            f"'{recipe}' does not say what volume it is for, so it cannot be scaled. "
            "Write its target_volume on any one of its lines in recipes.csv."
        )
    return wanted / written_for


def _vessel(must: dict[str, Any]) -> dict[str, float] | None:
    """Return the room the must takes, fruit and foam included; None if something is unknown."""
    parts = [must[name] for name in ("water_l", "juice_l", "sugar_l", "fruit_displaced_l")]
    if any(part is None for part in parts):
        return None
    filled = float(sum(parts))
    return {
        "filled_l": filled,
        "headspace_fraction": HEADSPACE_FRACTION,
        "smallest_l": float(vessel_for(filled)),
        "jar_l": must["strained_expected_l"],
    }


def _acidity(must: dict[str, Any]) -> dict[str, float | None]:
    """Return the must's acidity [g/L as tartaric], and what of it is added less taken out.

    What is added is counted per litre that runs off, the fruit's own per litre in the vessel: both
    are brought to the litre in the vessel, where they are dissolved.
    """
    names = ("acid_added_g_l", "acid_removed_g_l", "must_l", "liquid_l")
    added, removed, runs_off, in_vessel = (must[name] for name in names)
    if None in (added, removed, runs_off, in_vessel):
        return {"acidity_g_l": None, "acidity_added_g_l": None}
    change, own = (added - removed) * runs_off / in_vessel, must["fruit_acid_g_l"]
    return {
        "acidity_g_l": None if own is None else float(max(own + change, 0.0)),
        "acidity_added_g_l": float(change),
    }


def _fruit_notes(rows: list[dict]) -> list[dict[str, str]]:
    """Return what is known of each fruit that somebody handling it should know."""
    names = [row["ingredient_key"] for row in rows if row["kind"] == "fruit"]
    known = fruits().filter(pl.col("fruit").is_in(names) & (pl.col("cautions") != ""))
    return [
        {"fruit": fruit, "text": text}
        for fruit, text in known.select("fruit", "cautions").iter_rows()
    ]


def _next_step(rows: list[dict]) -> str:
    unknown = [row for row in rows if row["amount_kg"] is None and row["amount_l"] is None]
    if unknown:
        return (
            f"Weigh the {unknown[0]['ingredient']} once and write its weight in recipes.csv, "
            f"line {unknown[0]['line']}."
        )
    return "Weigh everything out the evening before, and start a page for the batch in the logbook."
