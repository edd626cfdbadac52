"""The sheets of a workbook, from its bytes."""

import io
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO

from python_calamine import CalamineError, load_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.importing.finding_headings import find_heading
from pipeline.logbook.importing.sheet import Sheet, from_turned, make_sheet, titles_above
from pipeline.logbook.records import Record
from pipeline.logbook.workbook import sheet_rows
from pipeline.logbook.workbook_errors import error_cells

_LOOKED_AT = 40  # [rows] among which the heading is looked for
SheetText = tuple[str, list[tuple[int, tuple[str, ...]]]]


def sheet_texts(data: BinaryIO, name: str) -> list[SheetText]:
    """Return every sheet's title and its rows as text with their row numbers.

    Raises
    ------
    LogbookError
        If the file is no workbook.
    """
    with tempfile.TemporaryDirectory() as folder:
        # The readers of workbooks take a path; the original stays untouched.
        path = Path(folder) / "copy.xlsx"
        path.write_bytes(data.read())
        try:
            workbook = load_workbook(path)
            return [
                (sheet, sheet_rows(workbook, sheet, error_cells(path, sheet)))
                for sheet in workbook.sheet_names
            ]
        except (CalamineError, OSError, ValueError, KeyError) as error:
            raise LogbookError(
                f"{name} cannot be read as a workbook ({error}). Save it again as .xlsx, or save "
                "each sheet as CSV."
            ) from error


def read_workbook_sheets(data: bytes, name: str) -> list[Sheet]:
    """Read every sheet of a workbook that has anything on it.

    Raises
    ------
    LogbookError
        If the file is no workbook.
    """
    sheets = []
    for title, rows in sheet_texts(io.BytesIO(data), name):
        filled = [row for row in rows if any(cell.strip() for cell in row[1])]
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
