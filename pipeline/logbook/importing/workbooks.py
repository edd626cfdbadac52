"""The sheets of a workbook, from its bytes."""

import io
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO

from python_calamine import CalamineWorkbook, load_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.importing.finding_headings import find_heading
from pipeline.logbook.importing.sheet import Sheet, from_turned, make_sheet, titles_above
from pipeline.logbook.records import Record
from pipeline.logbook.workbook import CANNOT_BE_READ, has_text, sheet_rows
from pipeline.logbook.workbook_errors import error_cells
from pipeline.logbook.workbook_parts import looked_through, unreadable

_LOOKED_AT = 40  # [rows] among which the heading is looked for
_MOST_CELLS = 2_000_000  # of one sheet, blank ones between filled ones among them
SheetText = tuple[str, list[tuple[int, tuple[str, ...]]]]


def sheet_texts(data: BinaryIO, name: str) -> list[SheetText]:
    """Return every sheet's title and its rows as text with their row numbers.

    Raises
    ------
    LogbookError
        If the file is no workbook, or holds more than old notes ever do.
    """
    with looked_through(data, name) as path:
        try:
            workbook = load_workbook(path)
            return [(sheet, _rows(workbook, path, sheet, name)) for sheet in workbook.sheet_names]
        except CANNOT_BE_READ as error:
            raise unreadable(name, error) from error


def _rows(
    workbook: CalamineWorkbook, path: Path, sheet: str, name: str
) -> list[tuple[int, tuple[str, ...]]]:
    found = workbook.get_sheet_by_name(sheet)
    if found.total_height * found.total_width > _MOST_CELLS:
        raise LogbookError(
            f"{name}/{sheet} reaches over {found.total_height} rows and {found.total_width} "
            "columns. Delete what stands far outside the notes, or save them as CSV."
        )
    return sheet_rows(workbook, sheet, error_cells(path, sheet))


def read_workbook_sheets(data: bytes, name: str) -> list[Sheet]:
    """Read every sheet of a workbook that has anything on it.

    Raises
    ------
    LogbookError
        If the file is no workbook.
    """
    sheets = []
    for title, rows in sheet_texts(io.BytesIO(data), name):
        filled = [row for row in rows if has_text(row[1])]
        if filled:
            sheet = from_turned(f"{name}/{title}", filled) or _upright(f"{name}/{title}", filled)
            blank = len(rows) - len(filled)
            sheets.append(replace(sheet, lines=len(rows), blank_lines=blank))
    return sheets


def _upright(name: str, filled: Sequence[tuple[int, tuple[str, ...]]]) -> Sheet:
    place = find_heading(filled[:_LOOKED_AT], name)
    width = len(place.heading)
    found = [
        Record(
            line,
            cells if _is_wide(cells, width) else cells[:width],
            ", ".join(cells),
            "cells" if _is_wide(cells, width) else None,
        )
        for line, cells in filled
        if line > place.last_line
    ]
    return make_sheet(name, place, found, titles_above(filled[:_LOOKED_AT], place))


def _is_wide(cells: Sequence[str], width: int) -> bool:
    return any(cell.strip() for cell in cells[width:])
