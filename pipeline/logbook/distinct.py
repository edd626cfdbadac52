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
        Text; null where the cell is blank.
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
    nothing: list[object] = [None] * len(fields)
    rows: list[tuple[object, ...]] = []
    for text in distinct:
        outcome = read(text)
        is_fault = isinstance(outcome, Fault)
        rows.append(
            (text, *(nothing if is_fault else outcome), *(outcome if is_fault else [None] * 3))
        )
    lookup = pl.DataFrame(
        rows, schema={"cell": pl.String(), **fields, **_FAULT_FIELDS}, orient="row"
    )
    joined = (
        cells.alias("cell").to_frame().join(lookup, on="cell", how="left", maintain_order="left")
    )
    return ReadColumn(joined.select(*fields), _faults(joined))


def _with_quick(
    cells: pl.Series,
    read: Callable[[str], Sequence[object] | Fault],
    fields: Mapping[str, pl.DataType],
    quick: pl.DataFrame,
) -> ReadColumn:
    is_open = quick.to_series().is_null() & cells.is_not_null()
    if not is_open.any():
        return ReadColumn(quick, no_faults())
    rest = read_distinct(cells.zip_with(is_open, pl.Series([None], dtype=pl.String)), read, fields)
    both = [quick[name].zip_with(~is_open, rest.values[name]) for name in fields]
    return ReadColumn(pl.DataFrame(both), rest.faults)


def _faults(joined: pl.DataFrame) -> pl.DataFrame:
    if joined["rule"].null_count() == joined.height:
        return no_faults()
    return (
        joined.with_row_index("row")
        .filter(pl.col("rule").is_not_null())
        .select("row", pl.col("cell").alias("value"), *_FAULT_FIELDS)
    )
