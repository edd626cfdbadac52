"""Mending one cell of a logbook, or one row whose cells cannot be told apart.

What is typed is checked in its whole logbook before it is written. The file keeps its encoding, its
delimiter, its quotation marks and line ends, and every other byte.
"""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.appending import refuse_formulas
from pipeline.logbook.contract import FILES
from pipeline.logbook.decoding import readable
from pipeline.logbook.file_writing import file_state, replace_file, sole_writer
from pipeline.logbook.folder import read_folder
from pipeline.logbook.mend.judging import Change, Mending, judged
from pipeline.logbook.mend.place import Place, find_place, with_cell, with_row
from pipeline.logbook.table import SourceTable, read_csv_table

__all__ = ["Mending", "mend_cell", "mend_row"]

_Changed = Callable[[Place], Change]


def mend_cell(
    folder: Path,
    file: str,
    line: int,
    column: str,
    was: str | None,
    now: str,
    *,
    row: Mapping[str, str | None] | None = None,
    today: date | None = None,
) -> Mending:
    """Write another text into one cell if it passes every check.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    file : str
        The file as problems name it, such as "readings.csv".
    line : int
        The line its row begins on.
    column : str
        The column as problems name it.
    was : str or None
        The cell as it was shown; None is an empty one.
    now : str
        The cell as a maker types it; blanks around it are dropped.
    row : mapping of str to str, optional
        Other cells of the row as they were shown.
    today : datetime.date, optional
        The day after which an entry is in the future; by default the real one.

    Returns
    -------
    Mending
        Look at `is_written`. It is not written if the cell would still be at fault, or if a row
        that loads now would be set aside.

    Raises
    ------
    LogbookError
        If the row does not stand there as it was shown, the file is a workbook or cannot be
        written, or the text cannot be kept in the file without harm.
    """
    text = now.strip()
    refuse_formulas({column: text})
    shown = {**(row or {}), column: was}

    def changed(place: Place) -> Change:
        _refuse_if_other(place, shown)
        data = with_cell(place, column, text)
        return Change(place, data, column, {**place.cells, column: text})

    return _mend(folder, file, line, changed, today)


def mend_row(
    folder: Path, file: str, line: int, was: str, now: str, *, today: date | None = None
) -> Mending:
    """Write another text in place of a row whose cells cannot be told apart, if it passes.

    Parameters
    ----------
    folder, file, line, today
        As in `mend_cell`.
    was : str
        The row as it was shown, as the value of its problem.
    now : str
        The whole row as it is to stand in the file, with the file's delimiter.

    Returns
    -------
    Mending
        Look at `is_written`.

    Raises
    ------
    LogbookError
        As `mend_cell`, and if the row would still not have as many cells as the heading.
    """

    def changed(place: Place) -> Change:
        if readable(place.record.raw) != was:
            raise _changed_elsewhere(place, f"now reads {readable(place.record.raw)!r}")
        change = Change(place, with_row(place, now.strip("\r\n")))
        after = find_place(change.data, _contract_name(file), file, line)
        refuse_formulas({name: cell.lstrip(" ") for name, cell in after.cells.items()})
        return change

    return _mend(folder, file, line, changed, today)


def _refuse_if_other(place: Place, shown: Mapping[str, str | None]) -> None:
    if place.record.fault is not None:
        raise _changed_elsewhere(place, "cannot be cut into cells")
    for column, cell in shown.items():
        stands = place.cells.get(column, "")
        if stands != (cell or ""):
            raise _changed_elsewhere(
                place, f"now has {stands!r} under {column}, where it had {cell or ''!r}"
            )


def _changed_elsewhere(place: Place, how: str) -> LogbookError:
    return LogbookError(
        f"{place.file} was changed elsewhere since it was shown: line {place.record.line} {how}. "
        "Nothing was written; look at it again."
    )


def _mend(folder: Path, file: str, line: int, changed: _Changed, today: date | None) -> Mending:
    with sole_writer(Path(folder)):
        tables = read_folder(Path(folder))
        name = _contract_name(file)
        path = _csv_path(Path(folder), file, tables)
        state = file_state(path)
        data = path.read_bytes()
        before = tables | {name: read_csv_table(data, name, file)}
        change = changed(find_place(data, name, file, line))
        if change.data == data:
            raise LogbookError(f"{file} line {line} says that already: nothing was written.")
        mending = judged(Path(folder), before, name, change, today or date.today())
        if not mending.is_written:
            return mending
        # Another program that knows nothing of the lock may have saved the file meanwhile.
        if file_state(path) != state:
            raise LogbookError(
                f"{file} was saved by another program just now. Nothing was written; look at it "
                "again."
            )
        replace_file(path, change.data)
        return mending


def _contract_name(file: str) -> str:
    name = Path(file).stem.lower()
    if name not in FILES or not file.lower().endswith(".csv"):
        raise LogbookError(
            f"{file} is not one of the logbook's CSV files, and only those are mended here. Mend "
            "it in the spreadsheet or text program it was made with and save it; it is read again."
        )
    return name


def _csv_path(folder: Path, file: str, tables: dict[str, SourceTable]) -> Path:
    if file not in (table.file for table in tables.values()):
        raise LogbookError(f"{file} is not in {folder} any more. Look at the logbook again.")
    # A linked file is replaced where it really is.
    return (folder / file).resolve()
