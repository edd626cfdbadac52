"""A logbook kept as one `.xlsx` workbook, with sheets named as the files are.

A workbook's cells have types of their own; they are turned back into what the maker sees, and then
read exactly as CSV is: a cell that the spreadsheet made a date of stays a date, visibly.
"""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

from python_calamine import CalamineError, CalamineWorkbook, load_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES
from pipeline.logbook.decoding import DAMAGED
from pipeline.logbook.headings import read_headings, unique_names
from pipeline.logbook.limits import LONGEST_LINE
from pipeline.logbook.table import Ragged, SourceTable, cell_frame
from pipeline.logbook.workbook_errors import error_cells
from pipeline.logbook.workbook_parts import looked_through, unreadable

# What the readers of a workbook say of one that is damaged, or only made to look like one.
CANNOT_BE_READ = (CalamineError, OSError, ValueError, KeyError, OverflowError, ParseError)


def read_workbook(path: Path) -> dict[str, SourceTable]:
    """Read the contract's sheets of a workbook; other sheets are left alone.

    Raises
    ------
    LogbookError
        If the file is no workbook, or a sheet lacks a required column.
    """
    with looked_through(path, path.name) as copy:
        workbook = _opened(copy, path.name)
        try:
            return {
                name: _sheet_table(workbook, copy, sheet, (name, path.name))
                for name, sheet in _sheets_of(workbook).items()
            }
        except CANNOT_BE_READ as error:
            raise unreadable(path.name, error) from error


def sheets_there(path: Path) -> list[str]:
    """Return which of the contract's files are sheets of a workbook.

    Raises
    ------
    LogbookError
        If the file is no workbook.
    """
    with looked_through(path, path.name) as copy:
        return list(_sheets_of(_opened(copy, path.name)))


def _opened(copy: Path, file: str) -> CalamineWorkbook:
    try:
        return load_workbook(copy)
    except CANNOT_BE_READ as error:
        raise unreadable(file, error) from error


def _sheets_of(workbook: CalamineWorkbook) -> dict[str, str]:
    sheets = {_plain(name): name for name in workbook.sheet_names}
    return {name: sheets[name] for name in FILES if name in sheets}


def _plain(sheet: str) -> str:
    return sheet.strip().lower().removesuffix(".csv")


def _sheet_table(
    workbook: CalamineWorkbook, copy: Path, sheet: str, called: tuple[str, str]
) -> SourceTable:
    """Read one sheet; `called` is the contract's name of it and the workbook's own."""
    name, workbook_file = called
    file = f"{workbook_file}/{sheet}"
    rows = sheet_rows(workbook, sheet, error_cells(copy, sheet))
    filled = [(line, row) for line, row in rows if has_text(row)]
    if not filled:
        raise LogbookError(f"{file} is empty. Its first row must name the columns.")
    headings = read_headings(list(filled[0][1]), name, file)
    width = len(headings)
    sound = [(line, row) for line, row in filled[1:] if not any(c.strip() for c in row[width:])]
    beside = [(line, row) for line, row in filled[1:] if any(c.strip() for c in row[width:])]
    columns = list(zip(*(row[:width] for _, row in sound), strict=True)) or [()] * width
    names = unique_names(headings)
    return SourceTable(
        name=name,
        file=file,
        headings=headings,
        cells=cell_frame([line for line, _ in sound], dict(zip(names, columns, strict=True))),
        ragged=tuple(Ragged(line, row, ", ".join(row), "cells") for line, row in beside),
        lines=len(rows),
        blank_lines=len(rows) - len(filled),
        encoding="workbook",
        delimiter="",
        has_damage=any(DAMAGED in cell for _, row in filled for cell in row),
    )


def sheet_rows(
    workbook: CalamineWorkbook, sheet: str, errors: dict[tuple[int, int], str]
) -> list[tuple[int, tuple[str, ...]]]:
    """Return a sheet's rows as text with their row numbers, all equally wide."""
    values = workbook.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    if any(
        isinstance(value, str) and len(value) > LONGEST_LINE
        for row in values
        for value in row
        if value
    ):
        raise ValueError(f"a cell of {sheet} is longer than {LONGEST_LINE // 1000} kB")
    # One cell far below the others makes hundreds of thousands of rows with nothing in them.
    nothing = ("",) * max(map(len, values), default=0)
    marked = {line for line, _ in errors}
    return [
        (line, nothing)
        if not any(row) and row.count("") == len(row) and line not in marked
        else (line, tuple(errors.get((line, at)) or cell_text(v) for at, v in enumerate(row)))
        for line, row in enumerate(values, start=1)
    ]


def has_text(row: Sequence[str]) -> bool:
    """Whether any cell of a row has more on it than blanks."""
    return bool("".join(row).strip())


def cell_text(value: Any) -> str:
    """Return a workbook cell as the text a maker would have typed.

    Numbers have 15 digits as in the spreadsheet itself, so that a stored 0.30000000000000004 is
    0.3; a midnight is a day.
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number_text(float(value))
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%d %H:%M:%S").removesuffix(":00").removesuffix(" 00:00")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time | timedelta):
        return str(value)
    return str(value).replace("\r\n", "\n")


def _number_text(value: float) -> str:
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    text = f"{value:.15g}"
    return text if "e" not in text else f"{value:.18f}".rstrip("0")
