"""A workbook unpacked with care, before anything reads its sheets.

A workbook is a packed archive: a small file can unpack to more than any memory holds, and one cell
far down and far right makes its reader set aside room for all the cells before it. So the archive
is unpacked here, up to a limit, its sheets are measured, and the reader gets a plain copy of what
was looked at.
"""

import re
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from pipeline.errors import LogbookError
from pipeline.logbook.limits import MOST_PARTS, MOST_SHEET_CELLS, MOST_UNPACKED

_WORKBOOK = "xl/workbook.xml"
_TEXTS = (".xml", ".rels")  # pictures and the like are left in the archive
_ATTRIBUTES = rb"(?:\s+[\w:.-]+\s*+=\s*+(?:\"[^\"]*\"|'[^']*'))*+"
# The opening of a cell that has anything in it.
_CELL = re.compile(rb"<(?:[\w.-]+:)?c(" + _ATTRIBUTES + rb")\s*>(?!\s*</)")
_PLACE = re.compile(rb"\sr\s*=\s*[\"']([^\"']*)[\"']")
_NAMED = re.compile(rb"([A-Za-z]{1,3})([0-9]{1,7})")
# How many of something follow, as a hint to readers: one sets aside as much memory as it says.
_COUNT = re.compile(rb"(<[^<>]*)\s(?:count|uniqueCount)\s*=\s*(?:\"[^\"<>]*\"|'[^'<>]*')")
_UNREADABLE = (
    *(zipfile.BadZipFile, zlib.error, EOFError, OSError),
    # A password, a way of packing that is not known here, a header that contradicts itself.
    *(RuntimeError, NotImplementedError, ValueError, KeyError),
)


@contextmanager
def looked_through(source: Path | BinaryIO, name: str) -> Iterator[Path]:
    """Give the path of a plain copy of a workbook, once it is known to be of a sane size.

    Parameters
    ----------
    source : pathlib.Path or file
        The workbook; it is only read.
    name : str
        What to call it in a refusal.

    Raises
    ------
    LogbookError
        If it is no such workbook, or holds more than any logbook.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.xlsx"
        try:
            with zipfile.ZipFile(source) as archive, zipfile.ZipFile(copy, "w") as plain:
                for part, content in _contents(archive, name):
                    plain.writestr(part, content)
        except _UNREADABLE as error:
            raise unreadable(name, error) from error
        yield copy


def unreadable(name: str, error: object) -> LogbookError:
    """Return the refusal of a file that is no workbook, or a damaged one."""
    return LogbookError(
        f"{name} cannot be read as a workbook ({str(error)[:200]}). Save it again as .xlsx, or "
        "save each sheet as CSV."
    )


def _contents(archive: zipfile.ZipFile, name: str) -> Iterator[tuple[str, bytes]]:
    """Yield the parts that hold text, up to the limits."""
    parts = {part.filename: part for part in archive.infolist()}
    if _WORKBOOK not in parts:
        raise KeyError(f"there is no {_WORKBOOK} in it")
    if len(parts) > MOST_PARTS:
        raise LogbookError(
            f"{name} is packed of {len(parts)} parts, and at most {MOST_PARTS} are read. Save the "
            "sheet that you need as CSV."
        )
    left = MOST_UNPACKED
    for part in parts.values():
        if part.filename.lower().endswith(_TEXTS):
            # What stands in the archive about its size may be a lie, so it is counted here.
            with archive.open(part) as packed:
                content = packed.read(left + 1)
            left -= len(content)
            if left < 0:
                raise LogbookError(
                    f"{name} unpacks to more than {MOST_UNPACKED // 1_000_000} MB, the most that "
                    "is read of a workbook. Save the sheet that you need as CSV."
                )
            _refuse_far_cells(content, name)
            yield part.filename, _COUNT.sub(rb"\1", content)


def _refuse_far_cells(content: bytes, name: str) -> None:
    """Refuse a sheet that reaches over more cells than `MOST_SHEET_CELLS`, filled or not."""
    if b"\0" in content:
        raise ValueError("a part of it holds zero bytes")
    if b"sheetData" not in content:
        return
    rows = columns = 1
    for cell in _CELL.finditer(content):
        if (place := _PLACE.search(cell[1])) is not None:
            named = _NAMED.fullmatch(place[1])
            if named is None:
                raise ValueError(f"a cell in it is called {place[1][:40].decode(errors='replace')}")
            rows = max(rows, int(named[2]))
            columns = max(columns, _column(named[1].upper()))
    if rows * columns > MOST_SHEET_CELLS:
        raise LogbookError(
            f"{name} has a sheet that reaches over {rows} rows and {columns} columns, and at most "
            f"{MOST_SHEET_CELLS // 1_000_000} million cells are read. Delete what stands far "
            "outside the rest, or save the sheet as CSV."
        )


def _column(letters: bytes) -> int:
    column = 0
    for letter in letters:
        column = 26 * column + letter - 64
    return column
