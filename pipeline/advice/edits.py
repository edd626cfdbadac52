"""What a maker could change in a recipe, one thing at a time, within what the logbook has seen."""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import polars as pl

from pipeline.advice.amounts import Amount, resized
from pipeline.advice.experience import Experience

SUGAR_SIZES = (0.8, 0.9, 1.1, 1.2)
FRUIT_SIZES = (0.6, 0.75, 0.9, 1.15, 1.3, 1.5)
WATER_SIZES = (0.85, 0.92, 1.08, 1.15, 1.25, 1.4)
POWDER_SIZES = (0.5, 1.5, 2.0)
SWEETNESS_G_L = (0.0, 5.0, 10.0, 20.0, 30.0)
DAYS_OUT = (3, 5, 7, 10, 14)
TEMPERATURES_C = (16.0, 18.0, 20.0, 22.0)


@dataclass(frozen=True)
class Edit:
    """One change to a recipe.

    Parameters
    ----------
    line : int or None
        Line in recipes.csv; None for something new.
    kind, ingredient : str
        Of that line; for what concerns the whole recipe, kind is ``recipe``.
    field : str
        The contract's column.
    before, after : str
        As a maker would write them.
    after_si : float or None
        `after` as a number in SI.
    cells : dict
        Typed cells that change in that line, or in every line where `line` is None.
    row : dict or None
        The new line, where one is added.
    """

    line: int | None
    kind: str
    ingredient: str | None
    field: str
    before: str
    after: str
    after_si: float | None = None
    cells: dict[str, Any] = dataclasses.field(default_factory=dict)
    row: dict[str, Any] | None = None

    @property
    def place(self) -> tuple[int | None, str, str | None]:
        """What the edit touches; two edits of one place exclude each other."""
        return (self.line, self.field, self.ingredient if self.row else None)


def apply_edits(lines: pl.DataFrame, edits: tuple[Edit, ...], name: str) -> pl.DataFrame:
    """Return a recipe's lines with the edits made, under a new name."""
    changed = lines.with_columns(recipe=pl.lit(name))
    for edit in edits:
        if edit.row is not None:
            new = pl.DataFrame([edit.row | {"recipe": name}], schema=changed.schema)
            changed = pl.concat([changed, new])
            continue
        here = pl.lit(True) if edit.line is None else pl.col("line") == edit.line
        changed = changed.with_columns(
            pl.when(here)
            .then(pl.lit(value, changed.schema[column]))
            .otherwise(column)
            .alias(column)
            for column, value in edit.cells.items()
        )
    return changed


def possible_edits(lines: pl.DataFrame, experience: Experience) -> list[Edit]:
    """Return every single change worth trying.

    Parameters
    ----------
    lines : polars.DataFrame
        The recipe's rows of `staged_recipes`.
    experience : Experience
        What the logbook has seen; changes outside it are left out.
    """
    found: list[Edit] = []
    for row in lines.iter_rows(named=True):
        found += _LINE_EDITS.get(row["kind"], _no_edits)(row, experience)
    first = lines.row(0, named=True)
    found += [*_yeasts(first, experience), *_sweetness(first), *_temperature(first, experience)]
    return found


def _no_edits(_: dict[str, Any], __: Experience) -> Iterator[Edit]:
    return iter(())


def _sizes(row: dict[str, Any], sizes: tuple[float, ...]) -> Iterator[tuple[float, Amount]]:
    column = "amount_kg" if row["amount_kg"] is not None else "amount_l"
    now = row[column]
    if not now:
        return
    seen = {row["amount"]}
    for size in sizes:
        amount = resized(row["amount"], now, size * now)
        if amount is not None and amount.text not in seen:
            seen.add(amount.text)
            yield size, amount


def _amount_edit(row: dict[str, Any], amount: Amount) -> Edit:
    column = "amount_kg" if row["amount_kg"] is not None else "amount_l"
    return Edit(
        row["line"],
        row["kind"],
        row["ingredient"],
        "amount",
        row["amount"],
        amount.text,
        amount.si,
        {column: amount.si, "amount": amount.text},
    )


def _resize(sizes: tuple[float, ...]):  # type: ignore[no-untyped-def]
    def edits(row: dict[str, Any], _: Experience) -> Iterator[Edit]:
        for _size, amount in _sizes(row, sizes):
            yield _amount_edit(row, amount)

    return edits


def _fruit(row: dict[str, Any], experience: Experience) -> Iterator[Edit]:
    target = row["target_volume_l"]
    for _, amount in _sizes(row, FRUIT_SIZES):
        if target is None or experience.has("fruit_load_kg_l", amount.si / target):
            yield _amount_edit(row, amount)
    base = Edit(row["line"], "fruit", row["ingredient"], "", "", "")
    if row["skins"] in ("on", "off") and experience.both_skins:
        other = "off" if row["skins"] == "on" else "on"
        yield replace(base, field="skins", before=row["skins"], after=other, cells={"skins": other})
    yield from _days(row, base, experience)
    yield from _forms(row, base, experience)


def _days(row: dict[str, Any], base: Edit, experience: Experience) -> Iterator[Edit]:
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


def _forms(row: dict[str, Any], base: Edit, experience: Experience) -> Iterator[Edit]:
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


def _powder(row: dict[str, Any], _: Experience) -> Iterator[Edit]:
    for _size, amount in _sizes(row, POWDER_SIZES):
        yield _amount_edit(row, amount)
    column = "amount_kg" if row["amount_kg"] is not None else "amount_l"
    yield Edit(
        row["line"],
        row["kind"],
        row["ingredient"],
        "amount",
        row["amount"],
        "",
        0.0,
        {column: 0.0, "amount": ""},
    )


def _yeasts(row: dict[str, Any], experience: Experience) -> Iterator[Edit]:
    for yeast in experience.yeasts:
        if yeast != row["yeast"]:
            yield Edit(
                None, "yeast", None, "yeast", row["yeast"] or "", yeast, None, {"yeast": yeast}
            )


def _sweetness(row: dict[str, Any]) -> Iterator[Edit]:
    now = row["sweeten_to_g_l"]
    for sugar in SWEETNESS_G_L:
        if sugar != (now or 0.0):
            yield Edit(
                None,
                "recipe",
                None,
                "sweeten_to",
                "" if now is None else f"{now:g} g/L",
                f"{sugar:g} g/L",
                sugar,
                {"sweeten_to_g_l": sugar},
            )


def _temperature(row: dict[str, Any], experience: Experience) -> Iterator[Edit]:
    now = row["ferment_temperature_c"]
    for degrees in TEMPERATURES_C:
        is_other = now is None or abs(degrees - now) >= 1
        if is_other and experience.has("must_temperature_mean_c", degrees):
            yield Edit(
                None,
                "recipe",
                None,
                "ferment_temperature",
                "" if now is None else f"{now:g} C",
                f"{degrees:g} C",
                degrees,
                {"ferment_temperature_c": degrees},
            )


_LINE_EDITS = {
    "fruit": _fruit,
    "sugar": _resize(SUGAR_SIZES),
    "honey": _resize(SUGAR_SIZES),
    "water": _resize(WATER_SIZES),
    "acid": _powder,
    "tannin": _powder,
    "nutrient": _resize((1.5, 2.0, 3.0)),
}
