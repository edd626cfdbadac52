"""How what went into a must is worked out: every number of the mart's `musts`, as rules."""

from __future__ import annotations

import math
from dataclasses import replace

from pipeline.advice.trace.doubts import DOUBT_RULES, marks_of
from pipeline.advice.trace.fruits import FRUIT_RULES, tannin_of_fruits
from pipeline.advice.trace.rules import (
    Cells,
    Formula,
    Numbers,
    Rule,
    added,
    difference,
    formula,
    most,
    number_of,
    ratio,
    together,
    values,
)
from pipeline.cellar.origins import Cell, Origins
from pipeline.cellar.origins_reference import brought_by, weighed_by
from pipeline.enology.fruit import fruit_displaced_volume
from pipeline.enology.must import dissolved_sugar_volume
from pipeline.enology.nitrogen import nitrogen_needed
from pipeline.enology.sucrose import gravity_from_sugar

_BENEATH = ("fruit_displaced_l", "juice_l", "poured_l", "sugar_l")


def lines_of(
    must: Origins, *quantities: str, factor: float = 1.0, late: bool = False
) -> list[Cell]:
    """Return the amounts that add to these quantities, with the reference cells behind each.

    Parameters
    ----------
    must : Origins
    *quantities : str
        As in `must_sums`.
    factor : float
        From the quantity's unit to the measure's.
    late : bool
        Only what came later than the day after the yeast.
    """
    found: list[Cell] = []
    for row in must.rows("contributions"):
        # What is not known is not known of any part of it either.
        is_in = not late or row["amount"] is None or is_late(must, row["day"])
        if row["quantity"] not in quantities or not is_in:
            continue
        found += line_of(must, row, factor)
    return found


def line_of(must: Origins, row: dict, factor: float = 1.0) -> list[Cell]:
    """Return the amount that one contribution rests on, and the reference cells behind it."""
    value = None if row["amount"] is None else factor * row["amount"]
    amount = must.cell(must.additions, row["line"], "amount", value, weight=1.0)
    ingredient = row["ingredient_name"] or ""
    return [
        amount,
        *weighed_by(row["kind"], ingredient, amount.as_written),
        *brought_by(row["quantity"], ingredient),
    ]


def is_late(must: Origins, day: float | None) -> bool:
    """Tell whether a day is later than the one after the yeast."""
    yeast = must.row("must_days")["yeast_day"]
    return day is not None and day > (1 if yeast is None else math.floor(yeast)) + 1


def _total(
    quantity: str, factor: float = 1.0, *, late: bool = False, by: Formula | None = None
) -> Rule:
    rule = added(lambda must: lines_of(must, quantity, factor=factor, late=late))
    return replace(rule, formula=lambda _: by)


def _whole(column: str, written: str) -> Rule:
    """Return the rule of what is said once of a recipe, or of a batch in batches.csv."""

    def cells(must: Origins) -> list[Cell]:
        if must.is_planned:
            # Read once, it stands on every line of the recipe: only the cells that say it count.
            rows = [row for row in must.rows("staged_recipes") if row[column] is not None]
            cells = must.cells("recipes", rows, written, column)
            return [cell for cell in cells if cell.as_written is not None]
        row = must.row("staged_batches")
        is_said = row.get(column) is not None
        return must.cells("batches", [row], written, column) if is_said else []

    return replace(most(cells), how="read")


def _water() -> Rule:
    """Return the rule of the water: as poured, or what the mark leaves over."""

    def cells(must: Origins) -> list[Cell]:
        found = lines_of(must, "poured_l")
        marks = [row for row in marks_of(must) if row["amount_l"] is not None]
        if not marks:
            return found
        mark = max(marks, key=lambda row: row["amount_l"])
        beneath = [
            Cell(cell.file, cell.line, cell.column, cell.as_written, _negative(cell), cell.weight)
            for row in must.rows("contributions")
            if row["quantity"] in _BENEATH and (row["day"] is None or row["day"] <= mark["day"])
            for cell in line_of(must, row)[:1]
        ]
        level = must.cell(must.additions, mark["line"], "amount", mark["amount_l"], weight=0.0)
        return [*found, level, *beneath]

    def work(_: Numbers, given: Cells) -> float:
        level = next((at for at, cell in enumerate(given) if cell.weight == 0.0), len(given))
        above = math.fsum(values(given[level:]))
        return math.fsum(values(given[:level])) + (above if above != above else max(above, 0.0))

    return Rule("mark", work, cells)


def _negative(cell: Cell) -> float | None:
    return None if cell.value is None else -cell.value


def _must_volume() -> Rule:
    def cells(must: Origins) -> list[Cell]:
        strains = [row for row in must.rows("staged_transfers") if row["step"] == "strain"]
        first = sorted(strains, key=lambda row: (row["moved_at"], row["line"]))[:1]
        known = [row for row in first if row["volume_after_l"] is not None]
        return must.cells("transfers", known, "volume_after", "volume_after_l")

    return Rule(
        "measured or expected",
        lambda uses, given: next(iter([*values(given), *uses]), math.nan),
        lambda must: [] if must.is_planned else cells(must),
        lambda must: () if not must.is_planned and cells(must) else ("strained_expected_l",),
    )


def _sugar_per_litre(*grams: str, litres: str, less: str | None = None) -> Rule:
    names = (*grams, *((less,) if less else ()), litres)

    def work(uses: Numbers, _: Cells) -> float:
        sugar = math.fsum(uses[: len(grams)]) - (uses[len(grams)] if less else 0.0)
        return sugar / uses[-1] if uses[-1] else math.nan

    return Rule("ratio", work, uses=lambda _: names)


def _costs(must: Origins) -> list[Cell]:
    rows = [row for row in must.rows("must_lines") if row["cost"] is not None]
    return must.cells(must.additions, rows, "cost", "cost")


SUMS: dict[str, Rule] = {
    "fruit_kg": _total("fruit_kg"),
    "fruit_displaced_l": _total("fruit_displaced_l", by=fruit_displaced_volume),
    "sugar_l": _total("sugar_l", by=dissolved_sugar_volume),
    "late_sugar_l": _total("sugar_l", late=True, by=dissolved_sugar_volume),
    **{
        name: _total(name)
        for name in (
            *("fruit_sugar_g", "fruit_starch_g", "fruit_acid_g", "fruit_liquid_l"),
            *("fruit_strained_l", "juice_l", "juice_sugar_g", "juice_acid_g", "poured_l"),
            *("sugar_g", "acid_g", "acid_removed_g", "tannin_g", "nitrogen_g"),
            *("ammonium_phosphate_g", "so2_g", "sorbic_g"),
        )
    },
    "late_sugar_g": _total("sugar_g", late=True),
    "sugar_kg": _total("sugar_g", 0.001),
    "late_sugar_kg": _total("sugar_g", 0.001, late=True),
}
WHOLE: dict[str, Rule] = {
    "target_volume_l": _whole("target_volume_l", "target_volume"),
    "ferment_temperature_c": _whole("ferment_temperature_c", "ferment_temperature"),
    "sweeten_to_g_l": _whole("sweeten_to_g_l", "sweeten_to"),
    "rackings": _whole("rackings", "rackings"),
    "taste_day": _whole("taste_day", "taste_day"),
}
MUST_RULES: dict[str, Rule] = {
    **SUMS,
    **WHOLE,
    **FRUIT_RULES,
    **DOUBT_RULES,
    "fruits": number_of(
        lambda must: [
            must.cell(must.additions, row["line"], "ingredient")
            for row in {row["fruit"]: row for row in must.rows("fruit_lines")}.values()
        ]
    ),
    "fruit_load_kg_l": ratio("fruit_kg", "target_volume_l"),
    "to_mark_l": most(
        lambda must: must.cells(must.additions, marks_of(must), "amount", "amount_l")
    ),
    "water_l": _water(),
    "liquid_l": together("water_l", "juice_l", "sugar_l", "fruit_liquid_l"),
    "liquid_at_start_l": difference("liquid_l", "late_sugar_l"),
    "strained_expected_l": together("water_l", "juice_l", "sugar_l", "fruit_strained_l"),
    "must_l": _must_volume(),
    "sugar_at_start_g_l": _sugar_per_litre(
        "sugar_g", "juice_sugar_g", "fruit_sugar_g", less="late_sugar_g", litres="liquid_at_start_l"
    ),
    "sugar_in_all_g_l": _sugar_per_litre(
        "sugar_g", "juice_sugar_g", "fruit_sugar_g", litres="liquid_l"
    ),
    "original_gravity_by_mass": formula(gravity_from_sugar, "sugar_at_start_g_l"),
    "equivalent_gravity_by_mass": formula(gravity_from_sugar, "sugar_in_all_g_l"),
    "acid_added_g_l": ratio("acid_g", "must_l"),
    "acid_removed_g_l": ratio("acid_removed_g", "must_l"),
    "fruit_acid_g_l": _sugar_per_litre("fruit_acid_g", "juice_acid_g", litres="liquid_l"),
    "nitrogen_added_mg_l": ratio("nitrogen_g", "must_l", 1000.0),
    "nitrogen_needed_mg_l": formula(nitrogen_needed, "equivalent_gravity_by_mass"),
    "ammonium_phosphate_g_l": ratio("ammonium_phosphate_g", "must_l"),
    "tannin_added_g_l": ratio("tannin_g", "must_l"),
    "tannin_exposure": tannin_of_fruits(),
    "so2_added_mg_l": ratio("so2_g", "must_l", 1000.0),
    "sorbic_added_mg_l": ratio("sorbic_g", "must_l", 1000.0),
    "cost": added(_costs, if_none=math.nan),
}
