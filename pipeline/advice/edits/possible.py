"""What a maker could change in a recipe, one thing at a time, within what the logbook has seen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import polars as pl

from pipeline.advice.amounts import Amount, resized
from pipeline.advice.edits import Edit
from pipeline.advice.edits.added import added
from pipeline.advice.experience import Experience
from pipeline.logbook.numerals import Decimal

# As far up as water, since the strength goes with both.
SUGAR_SIZES = (0.8, 0.9, 1.1, 1.2, 1.35, 1.5)
FRUIT_SIZES = (0.6, 0.75, 0.9, 1.15, 1.3, 1.5)
WATER_SIZES = (0.85, 0.92, 1.08, 1.15, 1.25, 1.4)
POWDER_SIZES = (0.5, 1.5, 2.0)
NUTRIENT_SIZES = (1.5, 2.0, 3.0)
SWEETNESS_G_L = (0.0, 5.0, 10.0, 20.0, 30.0)
DAYS_OUT = (3, 5, 7, 10, 14)
TEMPERATURES_C = (16.0, 18.0, 20.0, 22.0)

Row = dict[str, Any]


def possible_edits(
    lines: pl.DataFrame, experience: Experience, decimal: Decimal = "."
) -> list[Edit]:
    """Return every single change worth trying.

    Parameters
    ----------
    lines : polars.DataFrame
        The recipe's rows of `staged_recipes`.
    experience : Experience
        What the logbook has seen; changes outside it are left out.
    decimal : {".", ","}
        How the logbook writes decimals.
    """
    found: list[Edit] = []
    for row in lines.iter_rows(named=True):
        if row["kind"] in _OF_LINE:
            found += _OF_LINE[row["kind"]](row, experience, decimal)
    first = lines.row(0, named=True)
    found += [*_yeasts(first, experience), *_sweetness(first), *_temperature(first, experience)]
    return [*found, *added(lines, experience, decimal)]


def _sizes(row: Row, sizes: tuple[float, ...], decimal: Decimal) -> Iterator[Amount]:
    now = row["amount_kg"] if row["amount_kg"] is not None else row["amount_l"]
    if not now:
        return
    seen = {row["amount"]}
    for size in sizes:
        amount = resized(row["amount"], now, size * now, decimal)
        if amount is not None and amount.text not in seen:
            seen.add(amount.text)
            yield amount


def amount_edit(row: Row, amount: Amount) -> Edit:
    """Return the change of a line's amount; what it costs goes with it.

    Parameters
    ----------
    row : dict
        The line, as in `staged_recipes`, with its weight or volume known.
    amount : Amount
        What it is to be.
    """
    column = "amount_kg" if row["amount_kg"] is not None else "amount_l"
    cells = {column: amount.si, "amount": amount.text}
    if row["cost"]:
        cells["cost"] = row["cost"] * amount.si / row[column]
    return Edit(
        row["line"],
        row["kind"],
        row["ingredient"],
        "amount",
        row["amount"],
        amount.text,
        amount.si,
        cells,
    )


def _resize(sizes: tuple[float, ...]) -> Callable[[Row, Experience, Decimal], Iterator[Edit]]:
    def edits(row: Row, _: Experience, decimal: Decimal) -> Iterator[Edit]:
        return (amount_edit(row, amount) for amount in _sizes(row, sizes, decimal))

    return edits


def _powder(row: Row, _: Experience, decimal: Decimal) -> Iterator[Edit]:
    for amount in _sizes(row, POWDER_SIZES, decimal):
        yield amount_edit(row, amount)
    if row["amount_kg"] or row["amount_l"]:
        yield amount_edit(row, Amount("", 0.0))


def _fruit(row: Row, experience: Experience, decimal: Decimal) -> Iterator[Edit]:
    target = row["target_volume_l"]
    for amount in _sizes(row, FRUIT_SIZES, decimal):
        if target is None or experience.has("fruit_load_kg_l", amount.si / target):
            yield amount_edit(row, amount)
    base = Edit(row["line"], "fruit", row["ingredient"], "", "", "")
    other = {"on": "off", "off": "on"}.get(row["skins"] or "")
    # Nobody peels a blackberry: only what this very fruit has been through before.
    if other and experience.knows_skins(row["ingredient_key"] or row["ingredient"], other):
        yield replace(base, field="skins", before=row["skins"], after=other, cells={"skins": other})
    yield from _days(row, base, experience)
    yield from _forms(row, base, experience)


def _days(row: Row, base: Edit, experience: Experience) -> Iterator[Edit]:
    now = row["removed_day"]
    if now is None:
        return
    for day in DAYS_OUT:
        if abs(day - now) >= 1.5 and experience.has("contact_days", day - row["day"]):
            yield replace(
                base,
                field="removed_day",
                before=f"{now:g}",
                after=str(day),
                after_si=float(day),
                cells={"removed_day": float(day)},
            )


def _forms(row: Row, base: Edit, experience: Experience) -> Iterator[Edit]:
    if row["form"] is None:
        return
    now = f"{row['form']} frozen" if row["is_frozen"] else row["form"]
    options = [(form, row["is_frozen"]) for form in ("whole", "sliced", "crushed")]
    options.append((row["form"], not row["is_frozen"]))
    for form, is_frozen in options:
        after = f"{form} frozen" if is_frozen else form
        if after != now and experience.knows_form(form, is_frozen=is_frozen):
            yield replace(
                base,
                field="form",
                before=now,
                after=after,
                cells={"form": form, "is_frozen": is_frozen},
            )


def _whole(field: str, before: str, after: str, si: float | None, cells: Row) -> Edit:
    kind = "yeast" if field == "yeast" else "recipe"
    return Edit(None, kind, None, field, before, after, si, cells)


def _yeasts(row: Row, experience: Experience) -> Iterator[Edit]:
    now = (row["yeast"] or "").casefold()
    for yeast in experience.yeasts:
        if yeast.casefold() != now:
            yield _whole("yeast", row["yeast"] or "", yeast, None, {"yeast": yeast})


def _sweetness(row: Row) -> Iterator[Edit]:
    now = row["sweeten_to_g_l"]
    before = "" if now is None else f"{now:g} g/L"
    for sugar in SWEETNESS_G_L:
        if sugar != (now or 0.0):
            yield _whole("sweeten_to", before, f"{sugar:g} g/L", sugar, {"sweeten_to_g_l": sugar})


def _temperature(row: Row, experience: Experience) -> Iterator[Edit]:
    now = row["ferment_temperature_c"]
    before = "" if now is None else f"{now:g} C"
    for degrees in TEMPERATURES_C:
        is_other = now is None or abs(degrees - now) >= 1
        if is_other and experience.has("must_temperature_mean_c", degrees):
            cells = {"ferment_temperature_c": degrees}
            yield _whole("ferment_temperature", before, f"{degrees:g} C", degrees, cells)


_OF_LINE: dict[str, Callable[[Row, Experience, Decimal], Iterator[Edit]]] = {
    "fruit": _fruit,
    "sugar": _resize(SUGAR_SIZES),
    "honey": _resize(SUGAR_SIZES),
    "water": _resize(WATER_SIZES),
    "acid": _powder,
    "tannin": _powder,
    "nutrient": _resize(NUTRIENT_SIZES),
}
