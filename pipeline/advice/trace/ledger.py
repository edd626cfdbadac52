"""How the gravity that stands for all of a batch's sugar is worked out: the ledger, as rules.

A change of the liquid after the start is named by its number, as in ``sugar_kg of change 2``.
"""

from __future__ import annotations

import math
from dataclasses import replace

from pipeline.advice.trace.fruits import OF
from pipeline.advice.trace.rules import Cells, Numbers, Rule, added, values
from pipeline.cellar.origins import Cell, Origins, Row
from pipeline.cellar.origins_reference import brought_by
from pipeline.enology.dissolving import dissolved_sugar_volume
from pipeline.enology.ledger import (
    alcohol_after_topping_up,
    equivalent_gravity_after_liquid,
    equivalent_gravity_after_sugar,
)

_CHANGE = "change "
_SUGARS = ("sugar_g", "juice_sugar_g", "fruit_sugar_g")
_LIQUIDS = ("juice_l", "poured_l", "fruit_strained_l")
_OF_CHANGE = ("before_l", "sugar_kg", "added_l")


def _changes(must: Origins, *, later: bool) -> list[Row]:
    """Return the changes before the last gravity was read, or those after it."""
    last = must.row("fermentations")["last_day"]
    ordered = sorted(must.rows("liquid_changes"), key=lambda row: row["change_number"])
    if last is None:
        return []
    if later:
        return [row for row in ordered if row["day"] is not None and row["day"] >= last]
    return [row for row in ordered if row["day"] is None or row["day"] < last]


def _names(must: Origins, parts: tuple[str, ...], *, later: bool = False) -> tuple[str, ...]:
    numbers = [row["change_number"] for row in _changes(must, later=later)]
    return tuple(f"{part}{OF}{_CHANGE}{number}" for number in numbers for part in parts)


def _equivalent(given: Numbers, _: Cells) -> float:
    """Fold every change into the original gravity, as SQL does for all batches at once."""
    gravity = given[0]
    for at in range(1, len(given), len(_OF_CHANGE)):
        before, sugar, added_l = given[at : at + len(_OF_CHANGE)]
        sugared = equivalent_gravity_after_sugar(gravity, before, sugar)
        gravity = float(equivalent_gravity_after_liquid(float(sugared), before, added_l))
    return gravity


def _undiluted(given: Numbers, _: Cells) -> float:
    share = 1.0
    width = 3
    for at in range(0, len(given), width):
        before, liquid, sugar_l = given[at : at + width]
        share = float(alcohol_after_topping_up(share, before, liquid + sugar_l))
    return share


def _change(must: Origins, number: str) -> Row:
    rows = must.rows("liquid_changes")
    return next(row for row in rows if str(row["change_number"]) == number)


def rule_of_change(measure: str) -> Rule | None:
    """Return the rule of a measure named after a change of the liquid; None if it is none."""
    name, _, number = measure.partition(f"{OF}{_CHANGE}")
    if not number:
        return None
    if name == "before_l":
        return _before(number)
    quantities, factor = {
        "sugar_kg": (_SUGARS, 0.001),
        "sugar_l": (("sugar_l",), 1.0),
        "added_l": (_LIQUIDS, 1.0),
    }[name]

    def cells(must: Origins) -> list[Cell]:
        row = _change(must, number)
        if row["kind"] == "topping":
            return _topping(must, row, name)
        return _brought(must, row, quantities, factor)

    by = dissolved_sugar_volume if name == "sugar_l" else None
    return replace(added(cells), formula=lambda _: by)


def _topping(must: Origins, change: Row, name: str) -> list[Cell]:
    """Return what was topped up; nothing but water and wine is known to bring no sugar."""
    step = next(row for row in must.rows("steps") if row["line"] == change["line"])
    is_water = step["topped_up_with"] == "water"
    with_it = must.cell(
        "transfers", step["line"], "topped_up_with", None, None if is_water else 1.0
    )
    if name != "added_l":
        return [with_it]
    return [must.cell("transfers", step["line"], "topped_up", step["topped_up_l"]), with_it]


def _brought(must: Origins, change: Row, quantities: tuple[str, ...], factor: float) -> list[Cell]:
    found: list[Cell] = []
    for row in must.rows("contributions"):
        is_mine = row["line"] == change["line"] and row["kind"] == change["kind"]
        if is_mine and row["quantity"] in quantities:
            value = None if row["amount"] is None else factor * row["amount"]
            found.append(must.cell(must.additions, row["line"], "amount", value, weight=1.0))
            found += brought_by(row["quantity"], row["ingredient_name"] or "")
    return found


def _before(number: str) -> Rule:
    """Return the rule of the liquid a change went into: as last measured, else as expected."""

    def measured(must: Origins) -> list[Cell]:
        change = _change(must, number)
        steps = [row for row in must.rows("steps") if row["volume_after_l"] is not None]
        if change["kind"] == "topping":
            mine = [row for row in steps if row["line"] == change["line"]]
            return must.cells("transfers", mine, "volume_after", "volume_after_l")
        if change["day"] is None:
            return []
        before = [row for row in steps if row["day"] <= change["day"]]
        last = sorted(before, key=lambda row: row["step_number"])[-1:]
        found = must.cells("transfers", last, "volume_after", "volume_after_l")
        topped = [row for row in last if row["topped_up_l"] is not None]
        return [*found, *must.cells("transfers", topped, "topped_up", "topped_up_l")]

    def uses(must: Origins) -> tuple[str, ...]:
        if measured(must):
            return ()
        is_known = must.row("musts")["liquid_l"] is not None
        return ("liquid_l", "must_l") if is_known else ("must_l",)

    def work(given: Numbers, cells: Cells) -> float:
        if given:
            # With the fruit still in, between all the liquid and what runs off.
            return math.fsum(given) / len(given)
        return math.fsum(values(cells)) if cells else math.nan

    return Rule("measured or expected", work, measured, uses)


LEDGER_RULES: dict[str, Rule] = {
    "equivalent_gravity": Rule(
        "ledger",
        _equivalent,
        uses=lambda must: ("original_gravity", *_names(must, _OF_CHANGE)),
        formula=lambda _: equivalent_gravity_after_sugar,
    ),
    "undiluted_share": Rule(
        "ledger",
        _undiluted,
        uses=lambda must: _names(must, ("before_l", "added_l", "sugar_l"), later=True),
        formula=lambda _: alcohol_after_topping_up,
    ),
}
