"""Adding one checked row to a logbook.

The row is checked as it would be read, in its whole logbook; one that does not pass is not written.
The file is replaced in one step, so a reader sees the old file or the new one and a crash leaves
one of the two; its last version stays beside it as `.bak`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.errors import LogbookError
from pipeline.logbook.appending import appended, heading_line, line_count
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.file_writing import file_state, replace_file, sole_writer
from pipeline.logbook.folder import read_folder
from pipeline.logbook.problems import Problem, problem_frame
from pipeline.logbook.reading import check_tables
from pipeline.logbook.settings import read_settings
from pipeline.logbook.table import SourceTable, read_csv_table

ENTRIES = {
    "batch": "batches",
    "addition": "additions",
    "reading": "readings",
    "transfer": "transfers",
    "tasting": "tastings",
    "recipe": "recipes",
}
# What says only whose row it is and when: alone it is no entry.
_NAMES_ONLY = {
    "readings": frozenset({"batch_id", "taken_on", "instrument", "ta_as"}),
    "tastings": frozenset({"batch_id", "tasted_on", "taster", "blind", "sweetened_to"}),
}
_ATTEMPTS = 5


@dataclass(frozen=True)
class Entry:
    """What became of a row that was to be added.

    Attributes
    ----------
    is_written : bool
        Whether it passed and is in the file now.
    file : str
        The file it belongs to.
    line : int
        Its line there, or the line it would have had.
    problems : polars.DataFrame
        What the logbook has to say that it did not say before: the errors that kept the row out, or
        the warnings it brought.
    rows : int
        How many rows the file has now.
    """

    is_written: bool
    file: str
    line: int
    problems: pl.DataFrame
    rows: int = 0


def add_entry(
    folder: Path, kind: str, cells: Mapping[str, str], *, today: date | None = None
) -> Entry:
    """Add one row to a logbook if it passes every check.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    kind : str
        One of `ENTRIES`, such as "reading".
    cells : mapping of str to str
        The cells as a maker would type them, by the contract's column names; blank ones may be left
        out.
    today : datetime.date, optional
        The day after which an entry is in the future; by default the real one.

    Returns
    -------
    Entry
        Look at `is_written`.

    Raises
    ------
    LogbookError
        If the logbook cannot be read or written, or a column is not in the contract.
    """
    name = _file_of(kind)
    given = _given_cells(name, cells)
    with sole_writer(folder):
        return _add(Path(folder), name, given, today or date.today())


def _file_of(kind: str) -> str:
    if kind not in ENTRIES:
        raise LogbookError(f"an entry must be one of {', '.join(ENTRIES)}, got '{kind}'.")
    return ENTRIES[kind]


def _given_cells(name: str, cells: Mapping[str, str]) -> dict[str, str]:
    unknown = [column for column in cells if column not in column_names(name)]
    if unknown:
        raise LogbookError(
            f"{name}.csv has no column {', '.join(unknown)}. It has "
            f"{', '.join(column_names(name))}."
        )
    return {column: cell.strip() for column, cell in cells.items() if cell.strip()}


def _add(folder: Path, name: str, cells: dict[str, str], today: date) -> Entry:
    for _ in range(_ATTEMPTS):
        tables = read_folder(folder)
        path = _csv_path(folder, name, tables)
        state = file_state(path)
        data = path.read_bytes() if path.exists() else heading_line(name)
        candidate = appended(data, name, path.name, cells)
        line = line_count(data, path.name) + 1
        entry = _checked_entry(folder, tables, candidate, name, line, today)
        if entry.is_written and set(cells) <= _NAMES_ONLY.get(name, frozenset()):
            return _saying_nothing(entry)
        if not entry.is_written:
            return entry
        # Another program that knows nothing of the lock may have saved the file meanwhile.
        if file_state(path) == state:
            replace_file(path, candidate)
            return entry
    raise LogbookError(
        f"{path.name} keeps changing while a row is added. Close it elsewhere first."
    )


def _saying_nothing(entry: Entry) -> Entry:
    """Refuse a row that would only say that there was something to say."""
    problem = Problem(
        *("error", entry.file, entry.line, None, None, "nothing-said"),
        "the row says whose it is and when, and nothing else",
        "what was measured or tasted, such as a gravity or a score",
    )
    return replace(entry, is_written=False, problems=problem_frame([problem]), rows=entry.rows - 1)


def _csv_path(folder: Path, name: str, tables: dict[str, SourceTable]) -> Path:
    if name not in tables:
        return folder / f"{name}.csv"
    file = tables[name].file
    if "/" in file:
        raise LogbookError(
            f"{file} is a sheet of a workbook, and rows are added to CSV files only. Add the row "
            "in "
            "the workbook, or save the sheet as CSV."
        )
    # A linked file is replaced where it really is.
    return (folder / file).resolve()


def _checked_entry(
    folder: Path,
    tables: dict[str, SourceTable],
    candidate: bytes,
    name: str,
    line: int,
    today: date,
) -> Entry:
    """Check the logbook with and without the row, and tell what it changes."""
    settings, _ = read_settings(folder)
    file = tables[name].file if name in tables else f"{name}.csv"
    with_row = tables | {name: read_csv_table(candidate, name, file)}
    in_order = {other: with_row[other] for other in FILES if other in with_row}
    before = check_tables(folder, tables, settings, problem_frame(), today).problems
    after = check_tables(folder, in_order, settings, problem_frame(), today)
    new = after.problems.join(before, on=before.columns, how="anti", nulls_equal=True)
    errors = new.filter((pl.col("level") == "error") & (pl.col("file") == file))
    refused = errors.filter(pl.col("line") >= line)
    rows = int(after.files.filter(pl.col("file") == file)["rows_read"].sum())
    if refused.is_empty():
        return Entry(is_written=True, file=file, line=line, problems=new, rows=rows)
    return Entry(is_written=False, file=file, line=line, problems=refused, rows=rows - 1)
