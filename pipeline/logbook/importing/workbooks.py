"""The sheets of a workbook as text, from its bytes."""

import tempfile
from pathlib import Path
from typing import BinaryIO

from python_calamine import CalamineError, load_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.workbook import sheet_rows
from pipeline.logbook.workbook_errors import error_cells

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
