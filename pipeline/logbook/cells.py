"""How each kind of cell is read: one small function for one text, applied column by column."""

import difflib
import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from functools import lru_cache

import polars as pl

from pipeline.logbook.contract import Column
from pipeline.logbook.dates import FIRST_YEAR, DateOrder, read_date
from pipeline.logbook.distinct import ReadColumn, no_faults, read_distinct
from pipeline.logbook.numerals import Decimal, read_number, tidy
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity_cells import read_quantities
from pipeline.logbook.settings import Settings
from pipeline.logbook.units import Unit

_FLOAT, _TEXT, _FLAG, _DAY = pl.Float64(), pl.String(), pl.Boolean(), pl.Date()
_MOMENT = pl.Datetime("us")
_ISO_DATE = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}(?: [0-9]{2}:[0-9]{2})?$"
_PLAIN_NUMBER = r"^[0-9]{1,12}(?:\.[0-9]{1,20})?$"
_SCORE_SCALE = re.compile(r"([0-9.,]+) ?(?:/|out of|of) ?([0-9]+)", re.IGNORECASE)


def read_cells(
    cells: pl.Series, column: Column, heading: Unit | None, settings: Settings
) -> ReadColumn:
    """Read one column.

    Parameters
    ----------
    cells : polars.Series
        Text; null or nothing but blanks where the cell is blank. Names and notes must have no outer
        blanks; other kinds may.
    column : Column
        What the contract says of it.
    heading : Unit, optional
        The unit its heading says.
    settings : Settings
        Date order and decimal mark.

    Returns
    -------
    ReadColumn
        Values under the names of the typed contract; quantities that depend on the gallon, the
        ingredient or the scale still in their parts.
    """
    match column.kind:
        case "text" | "id":
            return ReadColumn(cells.alias(column.name).to_frame(), no_faults())
        case "name":
            return _names(cells, column)
        case "day" | "moment":
            return _dates(cells, column, settings.dates)
        case "choice" | "form" | "faults" | "yes_no":
            return _words(cells, column)
        case "number" | "score":
            return _numbers(cells, column, settings.decimal)
        case _:
            return read_quantities(cells, column, heading, settings.decimal)


def _names(cells: pl.Series, column: Column) -> ReadColumn:
    name = cells.str.replace_all(r"\s+", " ")
    if column.name == "ingredient":
        name = name.str.to_lowercase()
    return ReadColumn(name.alias(column.name).to_frame(), no_faults())


def _dates(cells: pl.Series, column: Column, order: DateOrder | None) -> ReadColumn:
    stem = column.name.removesuffix("_on")
    fields = {f"{stem}_at": _MOMENT, column.name: _DAY, "has_time": _FLAG}
    found = read_distinct(
        cells, lambda text: _moment(text, order), fields, _iso_dates(cells, *fields)
    )
    if column.kind == "day":
        return ReadColumn(found.values.select(column.name), found.faults)
    return found


# The same days stand in many columns of a logbook.
@lru_cache(maxsize=1 << 16)
def _moment(text: str, order: DateOrder | None) -> tuple[datetime, date, bool] | Fault:
    found = read_date(text, order)
    if isinstance(found, Fault):
        return found
    day, clock = found
    return datetime.combine(day, clock or time()), day, clock is not None


def _iso_dates(cells: pl.Series, at: str, on: str, has_time: str) -> pl.DataFrame:
    """Read at once the cells that are plain ISO 8601, to just what `read_date` makes of them."""
    cell = pl.col("cell")
    is_iso = cell.str.contains(_ISO_DATE)
    is_long = cell.str.len_bytes() > len("2026-11-25")
    moment = pl.coalesce(
        pl.when(is_iso & is_form).then(cell).str.to_datetime(form, time_unit="us", strict=False)
        for form, is_form in (("%Y-%m-%d %H:%M", is_long), ("%Y-%m-%d", ~is_long))
    )
    return (
        cells.alias("cell")
        .to_frame()
        .select(moment.alias(at), has=is_long)
        .with_columns(pl.when(pl.col(at).dt.year() >= FIRST_YEAR).then(at))
        .select(
            at,
            pl.col(at).dt.date().alias(on),
            pl.when(pl.col(at).is_not_null()).then("has").alias(has_time),
        )
    )


def _words(cells: pl.Series, column: Column) -> ReadColumn:
    readers: dict[str, tuple[Callable[[str, Column], Sequence[object] | Fault], dict]] = {
        "choice": (_choice, {column.name: _TEXT}),
        "form": (_form, {"form": _TEXT, "is_frozen": _FLAG}),
        "faults": (_fault_list, {"faults": _TEXT}),
        "yes_no": (_yes_no, {f"is_{column.name}": _FLAG}),
    }
    read, fields = readers[column.kind]
    return read_distinct(cells, lambda text: read(text, column), fields)


def _choice(text: str, column: Column) -> Sequence[object] | Fault:
    word = tidy(text).lower()
    return (word,) if word in column.choices else _not_a_choice(word, column)


def _not_a_choice(word: str, column: Column) -> Fault:
    close = difflib.get_close_matches(word, column.choices, n=1, cutoff=0.6)
    return Fault(
        "choice",
        f"{column.name} must be one of {', '.join(column.choices)}",
        close[0] if close else None,
    )


def _form(text: str, column: Column) -> Sequence[object] | Fault:
    words = tidy(text).lower().split(" ")
    is_frozen = len(words) > 1 and words[-1] == "frozen"
    form = " ".join(words[:-1] if is_frozen else words)
    if form in column.choices:
        return form, is_frozen
    others = [word for word in words if word != "frozen"]
    if "frozen" in words and (not others or others[0] in column.choices):
        return Fault(
            "choice",
            f"form must be one of {', '.join(column.choices)}, with 'frozen' after it if it was",
            f"{others[0] if others else 'whole'} frozen",
        )
    return _not_a_choice(form, column)


def _fault_list(text: str, column: Column) -> Sequence[object] | Fault:
    words = [word for word in (tidy(part).lower() for part in text.split(";")) if word]
    for word in words:
        if word not in column.choices:
            fault = _not_a_choice(word, column)
            return fault._replace(
                message=f"faults must be a list separated by ; from {', '.join(column.choices)}"
            )
    return ("; ".join(words),)


def _yes_no(text: str, column: Column) -> Sequence[object] | Fault:
    word = tidy(text).lower()
    if word in ("yes", "no"):
        return (word == "yes",)
    meant = "yes" if word[:1] in ("y", "t", "1") else "no"
    return Fault("choice", f"{column.name} must be yes or no", meant)


def _numbers(cells: pl.Series, column: Column, decimal: Decimal) -> ReadColumn:
    def read(text: str) -> Sequence[object] | Fault:
        plain = tidy(text)
        value = read_number(plain, decimal)
        if value is not None and not re.fullmatch(r"-?[0-9]+/[0-9]+", plain):
            return (value,)
        return _not_a_number(plain, column, decimal)

    quick = _plain_numbers(cells, column.name) if decimal == "." else None
    return read_distinct(cells, read, {column.name: _FLOAT}, quick)


def _plain_numbers(cells: pl.Series, name: str) -> pl.DataFrame:
    """Read at once the cells that are digits with at most one decimal point."""
    is_plain = pl.col("cell").str.contains(_PLAIN_NUMBER)
    number = pl.when(is_plain).then("cell").cast(pl.Float64).alias(name)
    return cells.alias("cell").to_frame().select(number)


def _not_a_number(text: str, column: Column, decimal: Decimal) -> Fault:
    if column.kind == "score" and (match := _SCORE_SCALE.fullmatch(text)):
        return Fault(
            "score-scale",
            f"this names a scale out of {match[2]}; the logbook has one scale, and scores are "
            "never rescaled",
            "score it again on the logbook's scale, or leave the cell empty",
        )
    bare = re.search(r"[0-9]+(?:[.,][0-9]+)?", text)
    is_one_number = bare is not None and len(re.findall(r"[0-9]+(?:[.,][0-9]+)?", text)) == 1
    return Fault(
        "number",
        f"{column.name} must be a bare number",
        bare[0].replace("," if decimal == "." else ".", decimal)
        if bare and is_one_number
        else None,
    )
