"""One file from text cells to typed rows, with every fault of every cell."""

from typing import NamedTuple

import polars as pl

from pipeline.logbook.amounts import with_amounts, with_keys
from pipeline.logbook.cells import read_cells
from pipeline.logbook.contract import FILES, Column
from pipeline.logbook.distinct import ReadColumn
from pipeline.logbook.gallons import settle
from pipeline.logbook.problems import PROBLEM_SCHEMA, found, problem_frame
from pipeline.logbook.settings import Settings
from pipeline.logbook.table import SourceTable

_KEPT_AS_TEXT = ("text", "id", "name", "amount")


class TypedRows(NamedTuple):
    """All rows of a file as understood so far, and the problems of their cells.

    `frame` has more columns than the typed contract: the parts of quantities, for later checks.
    """

    frame: pl.DataFrame
    problems: pl.DataFrame


def read_rows(table: SourceTable, settings: Settings, gallon: pl.Series | None) -> TypedRows:
    """Read all cells of a file.

    Parameters
    ----------
    table : SourceTable
        The file as text.
    settings : Settings
        The logbook's settings.
    gallon : polars.Series, optional
        The gallon of each row; if not given, the row's own `gallon` column says it.
    """
    lines = table.cells["line"]
    units = {heading.name: heading.unit for heading in table.headings}
    columns: list[pl.DataFrame] = [lines.to_frame()]
    problems: list[pl.DataFrame] = []
    for column in _gallon_first(FILES[table.name]):
        cells = _cells(table, column)
        read = read_cells(cells, column, units.get(column.name), settings)
        if column.name == "gallon" and gallon is None:
            gallon = read.values["gallon"].fill_null(pl.lit(settings.gallon, dtype=pl.String))
        if column.kind in ("amount", "volume"):
            own = gallon if gallon is not None else _same_gallon(settings, len(cells))
            read = _named(settle(read, cells, own), column, cells)
        elif "is_rough" in read.values.columns:
            problems.append(_rough_readings(read, column, table))
            read = ReadColumn(read.values.drop("is_rough"), read.faults)
        columns.append(read.values)
        problems.append(cell_problems(read, column.name, table))
    frame = pl.concat(columns, how="horizontal")
    if "kind" in frame.columns:
        frame = with_amounts(with_keys(frame), settings.counts)
    return TypedRows(frame, pl.concat(problems))


def _cells(table: SourceTable, column: Column) -> pl.Series:
    """Return a column's cells; blanks around those that are read text by text do no harm there."""
    if column.kind in _KEPT_AS_TEXT or column.name not in table.cells.columns:
        return table.stripped(column.name)
    return table.cells[column.name]


def _gallon_first(columns: tuple[Column, ...]) -> list[Column]:
    return sorted(columns, key=lambda column: column.name != "gallon")


def _same_gallon(settings: Settings, height: int) -> pl.Series:
    return pl.repeat(settings.gallon, height, dtype=pl.String, eager=True)


def _named(read: ReadColumn, column: Column, cells: pl.Series) -> ReadColumn:
    """Give a settled volume or amount its column names."""
    if column.kind == "amount":
        return ReadColumn(read.values.with_columns(cells.alias("amount")), read.faults)
    names = {"size": f"{column.name}_l", "error": f"{column.name}_error"}
    return ReadColumn(read.values.rename(names), read.faults)


def cell_problems(read: ReadColumn, column: str, table: SourceTable) -> pl.DataFrame:
    """Turn the faults of a column into problems; each sets its row aside."""
    if read.faults.is_empty():
        return problem_frame()
    lines = table.cells["line"].gather(read.faults["row"])
    return read.faults.select(
        level=pl.lit("error"),
        file=pl.lit(table.file),
        line=lines,
        column=pl.lit(column),
        value="value",
        rule="rule",
        message="message",
        hint="hint",
    ).cast(PROBLEM_SCHEMA)


def _rough_readings(read: ReadColumn, column: Column, table: SourceTable) -> pl.DataFrame:
    """Warn of a reading marked rough: there is no ±10 % of a gravity or a temperature."""
    rough = pl.DataFrame([table.cells["line"], read.values["is_rough"]]).filter("is_rough")
    return found(
        rough,
        level="warning",
        file=table.file,
        column=column.name,
        rule="rough-reading",
        message="marked as rough; a reading is used as it stands",
        hint="leave the cell empty if it was not really read",
    )
