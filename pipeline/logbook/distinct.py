"""Reading a column by its distinct texts: each text is understood once, however often it stands.

Columns of a long logbook repeat themselves: three million temperatures are a few hundred texts.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import polars as pl

from pipeline.logbook.problems import Fault

_FAULT_FIELDS = {"rule": pl.String(), "message": pl.String(), "hint": pl.String()}


class ReadColumn(NamedTuple):
    """A column as understood: its values row by row, and the rows that could not be read.

    `faults` has `row` (position), `value` (the cell), `rule`, `message` and `hint`.
    """

    values: pl.DataFrame
    faults: pl.DataFrame


_NO_FAULTS = pl.DataFrame(schema={"row": pl.UInt32(), "value": pl.String(), **_FAULT_FIELDS})


def no_faults() -> pl.DataFrame:
    """Return an empty fault table."""
    return _NO_FAULTS


def read_distinct(
    cells: pl.Series,
    read: Callable[[str], Sequence[object] | Fault],
    fields: Mapping[str, pl.DataType],
    quick: pl.DataFrame | None = None,
) -> ReadColumn:
    """Read every distinct text of a column once.

    Parameters
    ----------
    cells : polars.Series
        Text; null or nothing but blanks where the cell is blank.
    read : callable
        Returns the values of `fields` for a text, or why it cannot be read.
    fields : mapping of str to polars.DataType
        Names and types of the values.
    quick : polars.DataFrame, optional
        The same fields for the cells that were read already, null for the others.

    Returns
    -------
    ReadColumn
        Values are null for blank and for faulty cells.
    """
    if quick is not None:
        return _with_quick(cells, read, fields, quick)
    if cells.null_count() == len(cells):
        empty = (pl.repeat(None, len(cells), dtype=kind, eager=True) for kind in fields.values())
        columns = [column.alias(name) for name, column in zip(fields, empty, strict=True)]
        return ReadColumn(pl.DataFrame(columns), no_faults())
    distinct = cells.drop_nulls().unique()
    distinct = distinct.filter(distinct.str.strip_chars() != "")
    lookup = _lookup(distinct, read, fields)
    place = cells.replace_strict(
        distinct,
        pl.int_range(len(distinct), dtype=pl.UInt32, eager=True),
        default=None,
        return_dtype=pl.UInt32,
    )
    values = pl.DataFrame([lookup[name].gather(place) for name in fields])
    return ReadColumn(values, _faults(lookup, place))


def _lookup(
    distinct: pl.Series,
    read: Callable[[str], Sequence[object] | Fault],
    fields: Mapping[str, pl.DataType],
) -> pl.DataFrame:
    """Return one row per text: the text, its values, and its fault if it has one."""
    no_values: list[object] = [None] * len(fields)
    rows: list[tuple[object, ...]] = []
    for text in distinct:
        outcome = read(text)
        if isinstance(outcome, Fault):
            rows.append((text, *no_values, *outcome))
        else:
            rows.append((text, *outcome, None, None, None))
    schema = {"value": pl.String(), **fields, **_FAULT_FIELDS}
    return pl.DataFrame(rows, schema=schema, orient="row")


def _with_quick(
    cells: pl.Series,
    read: Callable[[str], Sequence[object] | Fault],
    fields: Mapping[str, pl.DataType],
    quick: pl.DataFrame,
) -> ReadColumn:
    open_at = (quick.to_series().is_null() & cells.is_not_null()).arg_true()
    if open_at.is_empty():
        return ReadColumn(quick, no_faults())
    rest = read_distinct(cells.gather(open_at), read, fields)
    both = [quick[name].scatter(open_at, rest.values[name]) for name in fields]
    row = open_at.gather(rest.faults["row"]).alias("row")
    return ReadColumn(pl.DataFrame(both), rest.faults.with_columns(row))


def _faults(lookup: pl.DataFrame, place: pl.Series) -> pl.DataFrame:
    """Return the rows whose text could not be read."""
    is_faulty = lookup["rule"].is_not_null()
    if not is_faulty.any():
        return no_faults()
    row = is_faulty.gather(place).fill_null(value=False).arg_true()
    return lookup[place.gather(row).to_list()].select(
        row.cast(pl.UInt32).alias("row"), "value", *_FAULT_FIELDS
    )
