"""How the treatment of each fruit is worked out, and that of a must from its fruits.

A measure of one fruit is named after it, such as ``skins_share of damson``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from pipeline.advice.trace.rules import Cells, Numbers, Rule, added, averaged, read
from pipeline.cellar.origins import Cell, Origins, Row
from pipeline.cellar.origins_reference import trait_of, weighed_by
from pipeline.enology.tannin import tannin_exposure

OF = " of "
_FORMS = {"crushed_share": ("crushed", "pureed"), "frozen_share": ("frozen",)}
_RIPENESS = {"unripe_share": "under", "overripe_share": "over"}
# Where a fruit's treatment is not known, these still count it among the rest.
_OVER_ALL = frozenset({"crushed_share", "frozen_share"})
_PARTS = ("kg", "tannin_class", "skins_share")
_DAYS = ("contact_days_before_yeast", "contact_days_after_yeast")


def fruits_of(must: Origins) -> list[str]:
    """Return the fruits of a must."""
    return [row["fruit"] for row in must.rows("must_fruits")]


def _lines(must: Origins, fruit: str) -> list[Row]:
    return [row for row in must.rows("fruit_lines") if row["fruit"] == fruit]


def _weight(row: Row) -> float:
    """Return what a line counts by; one of unknown weight still says how it was treated."""
    return 1.0 if row["kg"] is None else float(row["kg"])


def _kg(fruit: str) -> Rule:
    def cells(must: Origins) -> list[Cell]:
        found: list[Cell] = []
        for row in _lines(must, fruit):
            amount = must.cell(must.additions, row["line"], "amount", row["kg"], weight=1.0)
            found += [amount, *weighed_by("fruit", fruit, amount.as_written)]
        return found

    return added(cells)


def _share(fruit: str, column: str, tell: Callable[[Row], bool | None]) -> Rule:
    """Return the rule of the part of a fruit, by weight, of which something is true."""

    def cells(must: Origins) -> list[Cell]:
        found = []
        for row in _lines(must, fruit):
            is_so = tell(row)
            if is_so is not None:
                found.append(
                    must.cell(must.additions, row["line"], column, float(is_so), _weight(row))
                )
        return found

    return averaged(cells)


def _form(fruit: str, measure: str) -> Rule:
    words = _FORMS[measure]
    if measure == "frozen_share":
        return _share(fruit, "form", lambda row: row["is_frozen"])
    return _share(fruit, "form", lambda row: None if row["form"] is None else row["form"] in words)


def _ripeness(fruit: str, measure: str) -> Rule:
    word = _RIPENESS[measure]
    return _share(
        fruit, "ripeness", lambda row: None if row["ripeness"] is None else row["ripeness"] == word
    )


def _skins(fruit: str, _: str) -> Rule:
    return _share(
        fruit, "skins", lambda row: None if row["skins"] is None else row["skins"] == "on"
    )


def _days(fruit: str, measure: str) -> Rule:
    """Return the rule of the days in the must: to the fruit's removal, else to the straining."""

    def cells(must: Origins) -> list[Cell]:
        found: list[Cell] = []
        for row in _lines(must, fruit):
            if row[measure] is None:
                continue
            went_in = "day" if must.is_planned else "added_on"
            found.append(must.cell(must.additions, row["line"], went_in))
            found.append(_came_out(must, row, measure))
            if measure != "contact_days":
                found += _yeast(must)
        return found

    return averaged(cells)


def _came_out(must: Origins, row: Row, measure: str) -> Cell:
    column = "removed_day" if must.is_planned else "removed_on"
    said = must.cell(must.additions, row["line"], column, row[measure], _weight(row))
    strains = [step for step in must.rows("staged_transfers") if step["step"] == "strain"]
    if said.as_written is not None or must.is_planned or not strains:
        # Blank and never strained: how long is not known, and the blank cell says so.
        return said if said.as_written is not None else replace(said, value=None)
    first = min(strains, key=lambda step: (step["moved_on"], step["line"]))
    return must.cell("transfers", first["line"], "moved_on", row[measure], _weight(row))


def _yeast(must: Origins) -> list[Cell]:
    yeasts = [row for row in must.rows("must_lines") if row["kind"] == "yeast"]
    first = sorted(yeasts, key=lambda row: (row["day"], row["line"]))[:1]
    return must.cells(must.additions, first, "day" if must.is_planned else "added_on")


def _after(fruit: str, _: str) -> Rule:
    names = (f"contact_days{OF}{fruit}", f"contact_days_before_yeast{OF}{fruit}")
    return Rule("difference", lambda uses, _: uses[0] - uses[1], uses=lambda _: names)


def _tannin_class(fruit: str, _: str) -> Rule:
    def cells(must: Origins) -> list[Cell]:
        row = next(row for row in must.rows("must_fruits") if row["fruit"] == fruit)
        return [replace(trait_of(fruit, "tannin_class"), value=float(row["tannin_class"]))]

    return read(cells)


_LEVEL: dict[str, Callable[[str, str], Rule]] = {
    "kg": lambda fruit, _: _kg(fruit),
    "skins_share": _skins,
    "crushed_share": _form,
    "frozen_share": _form,
    "unripe_share": _ripeness,
    "overripe_share": _ripeness,
    "contact_days": _days,
    "contact_days_before_yeast": _days,
    "contact_days_after_yeast": _after,
    "tannin_class": _tannin_class,
}


def _weighed(must: Origins) -> list[Cell]:
    """Return the amounts of the fruits whose weight is known."""
    known = [row["fruit"] for row in must.rows("must_fruits") if row["kg"] is not None]
    return [cell for fruit in known for cell in _kg(fruit).cells(must)]


def rule_of_fruit(measure: str) -> Rule | None:
    """Return the rule of a measure named after a fruit; None if it is none."""
    name, found, fruit = measure.partition(OF)
    return _LEVEL[name](fruit, name) if found and name in _LEVEL else None


def over_fruits(measure: str) -> Rule:
    """Return the rule of a must's treatment: that of its fruits, weighed by their weights."""
    is_over_all = measure in _OVER_ALL

    def uses(must: Origins) -> tuple[str, ...]:
        rows = must.rows("must_fruits")
        kept = [row["fruit"] for row in rows if row["kg"] is not None and row[measure] is not None]
        names = [f"{part}{OF}{fruit}" for fruit in kept for part in ("kg", measure)]
        return (*names, "weighed_kg") if is_over_all else tuple(names)

    def work(given: Numbers, _: Cells) -> float:
        pairs = given[:-1] if is_over_all else given
        total = given[-1] if is_over_all else math.fsum(given[0::2])
        if not total or not pairs:
            return math.nan
        return (
            math.fsum(kg * share for kg, share in zip(pairs[0::2], pairs[1::2], strict=True))
            / total
        )

    return Rule("mean", work, uses=uses)


def tannin_of_fruits() -> Rule:
    """Return the rule of the tannin that a must's fruits can give, per litre of target."""

    def known(must: Origins) -> list[str]:
        parts = (*_PARTS, *_DAYS)
        rows = must.rows("must_fruits")
        return [row["fruit"] for row in rows if all(row[part] is not None for part in parts)]

    def uses(must: Origins) -> tuple[str, ...]:
        parts = (*_PARTS, *_DAYS)
        return (
            *(f"{part}{OF}{fruit}" for fruit in known(must) for part in parts),
            "target_volume_l",
        )

    def work(given: Numbers, _: Cells) -> float:
        width = len(_PARTS) + len(_DAYS)
        fruits = [given[at : at + width] for at in range(0, len(given) - 1, width)]
        exposure = [float(tannin_exposure(*fruit)) for fruit in fruits]
        return math.fsum(exposure) / given[-1] if exposure else math.nan

    return Rule("formula", work, uses=uses, formula=lambda _: tannin_exposure)


FRUIT_RULES: dict[str, Rule] = {
    name: over_fruits(name)
    for name in (
        *("crushed_share", "frozen_share", "skins_share", "unripe_share", "overripe_share"),
        *("contact_days", "contact_days_before_yeast"),
    )
} | {
    "weighed_kg": added(_weighed),
    "contact_days_after_yeast": Rule(
        "difference",
        lambda uses, _: uses[0] - uses[1],
        uses=lambda _: ("contact_days", "contact_days_before_yeast"),
    ),
}
