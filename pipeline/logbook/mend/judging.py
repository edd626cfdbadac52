"""Whether a change to one row of a logbook may be written, and what it brings."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.logbook.checked import CheckedLogbook
from pipeline.logbook.mend.place import Place, lines_more, moved, refuse_other_changes
from pipeline.logbook.problems import problem_frame
from pipeline.logbook.reading import check_tables
from pipeline.logbook.settings import read_settings
from pipeline.logbook.table import SourceTable, read_csv_table

# The cell may be right and its row still wait for another row to be mended.
_NOT_THE_CELL = "batch-set-aside"


@dataclass(frozen=True)
class Mending:
    """What became of a cell or row that was to be mended.

    Attributes
    ----------
    is_written : bool
        Whether it passed and is in the file now.
    file : str
        The file it belongs to.
    line : int
        Its line there.
    problems : polars.DataFrame
        One row per problem: why it was not written, or what is still to say about the row and what
        the change brought elsewhere.
    """

    is_written: bool
    file: str
    line: int
    problems: pl.DataFrame


@dataclass(frozen=True)
class Change:
    """A file with its change: the record, the new bytes, and what it must read as."""

    place: Place
    data: bytes
    column: str = ""  # of a whole row: none
    cells: dict[str, str] | None = None


def judged(
    folder: Path, before: dict[str, SourceTable], name: str, change: Change, today: date
) -> Mending:
    """Check the logbook with and without a change, and tell what it brings.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    before : dict of str to SourceTable
        Its files as they are.
    name : str
        The contract's name of the changed file.
    change : Change
        What is to be written.
    today : datetime.date
        The day after which an entry is in the future.

    Raises
    ------
    LogbookError
        If the change would not read as one row, or would take others with it.
    """
    place = change.place
    table = read_csv_table(change.data, name, place.file)
    shift = lines_more(place, change.data)
    refuse_other_changes(before[name], table, place, shift, change.cells)
    settings, _ = read_settings(folder)
    was, now = (
        check_tables(folder, tables, settings, problem_frame(), today)
        for tables in (before, before | {name: table})
    )
    reasons = _reasons(was, now, change, shift)
    if not reasons.is_empty():
        return Mending(False, place.file, place.record.line, reasons)
    known = _moved(was.problems, place, shift)
    new = now.problems.join(known, on=known.columns, how="anti", nulls_equal=True)
    own = now.problems.filter(_in_row(place))
    problems = pl.concat([own, new]).unique(maintain_order=True)
    return Mending(True, place.file, place.record.line, problems)


def _in_row(place: Place) -> pl.Expr:
    return (pl.col("file") == place.file) & (pl.col("line") == place.record.line)


def _moved(frame: pl.DataFrame, place: Place, shift: int) -> pl.DataFrame:
    is_own = pl.col("file") == place.file
    line = moved(pl.col("line"), place, shift)
    return frame.with_columns(line=pl.when(is_own).then(line).otherwise(pl.col("line")))


def _reasons(was: CheckedLogbook, now: CheckedLogbook, change: Change, shift: int) -> pl.DataFrame:
    """Return why the change must not be written: its own cell is at fault, or a row is lost."""
    errors = now.problems.filter(pl.col("level") == "error")
    is_cell = pl.col("column") == change.column
    own = errors.filter(_in_row(change.place) & is_cell & (pl.col("rule") != _NOT_THE_CELL))
    rows = ["file", "line"]
    aside = _moved(was.set_aside, change.place, shift).select(rows)
    lost = now.set_aside.select(rows).join(aside, on=rows, how="anti", nulls_equal=True)
    return pl.concat([own, errors.join(lost, on=rows, how="semi")]).unique(maintain_order=True)
