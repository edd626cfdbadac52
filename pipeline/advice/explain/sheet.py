"""How the numbers of a recipe sheet came about: from recipes.csv, by the litre."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import polars as pl

from pipeline.advice.explain.asked import Asked, is_one
from pipeline.advice.explain.bench import in_spoons
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import (
    CUSTOM,
    Way,
    constant,
    from_others,
    place,
    typed,
    unit_named,
    whose,
)
from pipeline.advice.trace import Step, Trace
from pipeline.advice.trace.sources import ARITHMETIC, name_of, source_of
from pipeline.cellar.origins import Cell
from pipeline.cellar.origins_reference import weighed_by
from pipeline.cellar.plan import PlannedLines
from pipeline.cellar.planned import PlannedTables
from pipeline.enology.enzymes import enzyme_window
from pipeline.enology.fruit import vessel_for
from pipeline.enology.sulphite_doses import solution_ml

_SHEET = "advice.sheet"
_FILLED = ("water_l", "juice_l", "sugar_l", "fruit_displaced_l")
_ACID = ("acid_added_g_l", "acid_removed_g_l", "must_l", "liquid_l")


def _plan(asked: Asked) -> Trace:
    """Return the trace of the recipe in the size it is written out for."""

    def make() -> Trace:
        note = asked.kept_of(PlannedLines)[0]
        name = note.lines["recipe"][0]
        tables = PlannedTables(asked.cellar, note.lines)
        return Trace(tables, name, is_planned=True, called=str(asked.data["recipe"]))

    return asked.once(("sheet",), make)


def planned(measure: str) -> Way:
    """Return the way to a number of the scaled recipe that the mart holds."""

    def way(asked: Asked, number: Number) -> list[Step]:
        trace = _plan(asked)
        step = trace.step(measure)
        is_same = step.value is not None and is_one(step.value, number.single)
        return [*trace.steps.values(), number.as_answer(step)] if is_same else []

    return way


def written_for(asked: Asked, number: Number) -> list[Step]:
    """Trace the volume that recipes.csv gives the recipe for."""
    trace = asked.trace(str(asked.data["recipe"]), is_planned=True)
    step = replace(trace.step("target_volume_l"), measure="written_for_l")
    return [number.as_answer(step)]


def target(asked: Asked, number: Number) -> list[Step]:
    """Trace the volume wanted: as it was typed, else as the recipe has it."""
    if asked.call.get("volume") is not None:
        return typed("--volume")(asked, number)
    return from_others(_SHEET, "written_for_l", work=lambda litres: litres)(asked, number)


def factor(asked: Asked, number: Number) -> list[Step]:
    """Trace what the amounts are multiplied by."""
    if asked.data["written_for_l"] is None:
        return constant(_SHEET, ARITHMETIC)(asked, number)
    names = ("target_volume_l", "written_for_l")
    return from_others(_SHEET, *names, work=lambda wanted, for_l: wanted / for_l)(asked, number)


def line_factor(asked: Asked, number: Number) -> list[Step]:
    """Trace what a line is multiplied by: yeast goes by the packet, all else by the litre."""
    if number.said("kind") == "yeast":
        return constant("advice.sheet.scale.yeast_factor")(asked, number)
    return from_others(_SHEET, float(asked.data["factor"]), work=lambda by: by)(asked, number)


def _of_line(column: str, typed_as: str | None = None, *, scaled: bool = False) -> Way:
    """Return the way to what stands in a cell of the recipe's line, scaled or as it is."""

    def way(asked: Asked, number: Number) -> list[Step]:
        line: dict[str, Any] = _line(asked, number)
        cells = _cells(asked, line, column)
        by = float(line["factor"]) if scaled else 1.0
        name = typed_as or number.name
        before = asked.cellar.table("staged_recipes").filter(pl.col("line") == line["line"])
        known = before[name][0] if name in before.columns else number.single / by
        if not is_one(known * by, number.single):
            return []
        of, measure = whose(asked, number)
        step = Step(
            of=of,
            measure=measure,
            value=number.single,
            unit=unit_named(name),
            how="product" if scaled else "read",
            by=_SHEET,
            source=ARITHMETIC,
            cells=cells,
            uses=("factor",) if scaled else (),
        )
        return [number.as_answer(step)]

    return way


def _line(asked: Asked, number: Number) -> dict[str, Any]:
    found: dict[str, Any] = asked.data["lines"][number.keys[1]]
    return found


def _cells(asked: Asked, line: dict[str, Any], column: str) -> list[Cell]:
    must = asked.trace(str(asked.data["recipe"]), is_planned=True).must
    cell = must.cell("recipes", line["line"], column)
    if column != "amount":
        return [cell]
    name = line["ingredient_key"] or line["ingredient"]
    return [cell, *weighed_by(line["kind"], name, cell.as_written)]


def filled(asked: Asked, number: Number) -> list[Step]:
    """Trace the room that everything together takes."""
    return _of_plan(asked, number, _FILLED, lambda parts: sum(parts), name_of(vessel_for))


def acidity(asked: Asked, number: Number) -> list[Step]:
    """Trace the acid that is added, and with the fruit's own, per litre in the vessel."""
    is_all = number.name == "acidity_g_l"
    names = (*_ACID, "fruit_acid_g_l") if is_all else _ACID

    def work(parts: list[float]) -> float:
        added, removed, runs_off, in_vessel, *own = parts
        change = (added - removed) * runs_off / in_vessel
        return max(own[0] + change, 0.0) if own else change

    return _of_plan(asked, number, names, work, _SHEET)


def _of_plan(
    asked: Asked,
    number: Number,
    names: tuple[str, ...],
    work: Callable[[list[float]], float],
    by: str,
) -> list[Step]:
    trace = _plan(asked)
    trace.of(names)
    parts = [trace.value(name) for name in names]
    known = [part for part in parts if part is not None]
    if len(known) < len(names) or not is_one(float(work(known)), number.single):
        return []
    of, measure = whose(asked, number)
    unit = unit_named(number.name)
    step = Step(of, measure, number.single, unit, "sum", by, ARITHMETIC, uses=names)
    return [*trace.steps.values(), number.as_answer(step)]


def step_day(asked: Asked, number: Number) -> list[Step]:
    """Trace the day of a step: the recipe's own, else what most makers do."""
    step = asked.data["steps"][number.keys[1]]
    lines = [line for line in asked.data["lines"] if line["line"] in step["lines"]]
    column = "day"
    if step["code"] in ("fruit_out", "stir"):
        lines = [line for line in asked.data["lines"] if line["kind"] == "fruit"]
        column = "removed_day"
    is_own = bool(lines) and not step["is_guide"]
    cells = [cell for line in lines if is_own for cell in _cells(asked, line, column)]
    of, measure = whose(asked, number)
    source = ARITHMETIC if is_own else CUSTOM
    by = "advice.sheet.steps"
    return [number.as_answer(Step(of, measure, number.single, "days", "days", by, source, cells))]


SHEET_WAYS: dict[str, Way] = {
    "written_for_l": written_for,
    "target_volume_l": target,
    "factor": factor,
    "ferment_temperature_c": planned("ferment_temperature_c"),
    "sweeten_to_g_l": planned("sweeten_to_g_l"),
    "lines[[]].line": place("recipes", "ingredient"),
    "steps[[]].lines[[]]": place("recipes", "ingredient"),
    "lines[[]].day": _of_line("day"),
    "lines[[]].removed_day": _of_line("removed_day"),
    "lines[[]].amount_error": _of_line("amount"),
    "lines[[]].amount_*": _of_line("amount", scaled=True),
    "lines[[]].pieces": _of_line("amount", "pieces", scaled=True),
    "lines[[]].cost": _of_line("cost", scaled=True),
    "lines[[]].factor": line_factor,
    "lines[[]].powder.grams": from_others(_SHEET, "amount_kg", work=lambda kg: 1000 * kg),
    "lines[[]].powder.level_teaspoons": in_spoons,
    "lines[[]].powder.teaspoon_error": constant("logbook.quantity_cells.SPOON_ERROR"),
    "lines[[]].powder.solution_10_percent_ml": from_others(solution_ml, "grams"),
    "vessel.filled_l": filled,
    "vessel.headspace_fraction": constant("enology.fruit.HEADSPACE_FRACTION"),
    "vessel.smallest_l": from_others(vessel_for, "filled_l"),
    "vessel.jar_l": planned("strained_expected_l"),
    "expected.original_gravity": planned("original_gravity_by_mass"),
    "expected.so2_added_mg_l": planned("so2_added_mg_l"),
    "expected.acidity*": acidity,
    "steps[[]].day": step_day,
    "steps[[]].cooler_than_c": constant(name_of(enzyme_window), source_of(enzyme_window)),
    "cost": planned("cost"),
}
