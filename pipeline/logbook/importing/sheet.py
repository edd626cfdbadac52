"""One sheet of old notes as text: where its heading is, its rows, and what is no row of data.

Every line of the file belongs to exactly one of: title, heading, row, set aside, blank.
"""

import hashlib
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from pipeline.errors import LogbookError
from pipeline.logbook.decoding import Decoded, decode
from pipeline.logbook.importing.delimiting import find_delimiter, said_delimiter
from pipeline.logbook.importing.finding_headings import HeadingPlace, find_heading, shown
from pipeline.logbook.importing.row_faults import FAULTS, row_fault
from pipeline.logbook.importing.vocabulary import plain
from pipeline.logbook.records import QUOTE, Record, records, split_lines

_SAMPLES = 3


class Row(NamedTuple):
    """One row of data: the line where it begins, and a cell for every column."""

    line: int
    cells: tuple[str, ...]

    @property
    def text(self) -> str:
        """Return the whole row on one line, by which it is known again wherever it stands."""
        return " | ".join(" ".join(cell.split()) for cell in self.cells)


class Aside(NamedTuple):
    """A record that is no row of data, with its raw text and why."""

    line: int
    raw: str
    fault: str
    reason: str


@dataclass(frozen=True)
class Sheet:
    """A sheet as read, before any cell is understood.

    Attributes
    ----------
    name : str
        The file as the maker knows it, with the sheet's name for a workbook.
    heading : tuple of str
        One text per column; of a heading on two rows both, joined.
    rows, aside : tuple
        Rows of data; records set aside with their raw text.
    titles : tuple of Aside
        Lines above the heading.
    lines, blank_lines, heading_lines : int
        Physical lines of the file; those with nothing on them; those the heading stands on.
    samples : tuple of str
        Cells with accented letters, to confirm an encoding that is guessed.
    """

    name: str
    heading: tuple[str, ...]
    rows: tuple[Row, ...]
    aside: tuple[Aside, ...] = ()
    titles: tuple[Aside, ...] = ()
    lines: int = 0
    blank_lines: int = 0
    heading_lines: tuple[int, ...] = ()
    encoding: str = "workbook"
    codec: str = ""
    is_encoding_guessed: bool = False
    codec_is_said: bool = False
    samples: tuple[str, ...] = ()
    delimiter: str = ""

    @property
    def records(self) -> int:
        """Records below the heading with anything on them."""
        return len(self.rows) + len(self.aside)

    @property
    def fingerprint(self) -> str:
        """Return what the next sheet with this heading has as well."""
        joined = "\x1f".join(plain(cell) for cell in self.heading)
        return hashlib.sha256(joined.encode()).hexdigest()[:16]


def read_sheet(data: bytes, name: str, codec: str | None = None) -> Sheet:
    """Read a delimited file.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What to call it.
    codec : str, optional
        An encoding the maker has confirmed, in place of the one that is found.

    Raises
    ------
    LogbookError
        If the file is no text, is empty, or is not in that encoding.
    """
    decoded = decode(data, name) if codec is None else _decoded_as(data, name, codec)
    lines = split_lines(decoded.text)
    start, said = said_delimiter(lines)
    delimiter = said or find_delimiter(lines[start:])
    first = [(r.line, r.cells) for r in _first_records(lines, start, delimiter)]
    place = _with_unnamed(find_heading(first, name), lines, delimiter)
    found = list(records(lines, place.last_line, delimiter, len(place.heading)))
    sheet = _sheet(name, place, found, _titles(first, place))
    return replace(
        sheet,
        lines=len(lines),
        blank_lines=sum(not line.strip(f" \t{delimiter}") for line in lines),
        encoding=decoded.label,
        codec=decoded.codec,
        is_encoding_guessed=decoded.is_guessed and codec is None,
        codec_is_said=codec is not None,
        samples=_samples(sheet),
        delimiter=delimiter,
    )


def _decoded_as(data: bytes, name: str, codec: str) -> Decoded:
    try:
        return Decoded(data.decode(codec), codec, codec)
    except (LookupError, UnicodeDecodeError) as error:
        raise LogbookError(
            f"{name} cannot be read as {codec} ({error}). Give another encoding in the mapping "
            "file, or leave it out."
        ) from error


def _first_records(lines: list[str], start: int, delimiter: str) -> list[Record]:
    """Return the records among which the heading is looked for."""
    head = lines[: start + 40]
    widths = [line.count(delimiter) + 1 for line in head[start:] if line.strip()]
    return list(records(head, start, delimiter, max(widths, default=1)))


def _with_unnamed(place: HeadingPlace, lines: list[str], delimiter: str) -> HeadingPlace:
    """Add columns without a name where most rows have something in them."""
    widths = Counter(
        len(line.rstrip(f" \t{delimiter}").split(delimiter))
        for line in lines[place.last_line :]
        if line.strip() and QUOTE not in line
    )
    width, rows = widths.most_common(1)[0] if widths else (0, 0)
    missing = width - len(place.heading)
    if missing <= 0 or 2 * rows < widths.total():
        return place
    return place._replace(heading=(*place.heading, *[""] * missing))


def _titles(first: Sequence[tuple[int, Sequence[str]]], place: HeadingPlace) -> tuple[Aside, ...]:
    return tuple(
        Aside(line, shown(" ".join(cell for cell in cells if cell.strip())), "title", "a title")
        for line, cells in first
        if line < place.first_line and any(cell.strip() for cell in cells)
    )


def _sheet(
    name: str, place: HeadingPlace, found: Sequence[Record], titles: tuple[Aside, ...]
) -> Sheet:
    rows: list[Row] = []
    aside: list[Aside] = []
    width = len(place.heading)
    for record in found:
        if not any(cell.strip() for cell in record.cells):
            continue
        fault = row_fault(record, place.heading)
        if fault:
            aside.append(Aside(record.line, shown(record.raw), fault, FAULTS[fault]))
        else:
            cells = (*record.cells, *[""] * (width - len(record.cells)))
            rows.append(Row(record.line, tuple(cells)))
    return Sheet(name, place.heading, tuple(rows), tuple(aside), titles, heading_lines=place.lines)


def _samples(sheet: Sheet) -> tuple[str, ...]:
    cells = [*(cell for row in sheet.rows for cell in row.cells), *sheet.heading]
    accented = [cell.strip() for cell in cells if not cell.isascii()]
    return tuple(dict.fromkeys(accented))[:_SAMPLES]


def read_workbook_sheets(data: bytes, name: str) -> list[Sheet]:
    """Read every sheet of a workbook that has anything on it.

    Raises
    ------
    LogbookError
        If the file is no workbook.
    """
    from pipeline.logbook.importing.workbooks import sheet_texts

    sheets = []
    for title, rows in sheet_texts(io.BytesIO(data), name):
        filled = [row for row in rows if any(cell.strip() for cell in row[1])]
        if not filled:
            continue
        place = find_heading(filled[:40], f"{name}/{title}")
        body = [
            Record(line, cells, ", ".join(cells), _too_wide(cells, place.heading))
            for line, cells in filled
            if line > place.last_line
        ]
        found = [
            record if record.fault else record._replace(cells=record.cells[: len(place.heading)])
            for record in body
        ]
        sheet = _sheet(f"{name}/{title}", place, found, _titles(filled[:40], place))
        blank = len(rows) - len(filled)
        sheets.append(replace(sheet, lines=len(rows), blank_lines=blank))
    return sheets


def _too_wide(cells: Sequence[str], heading: Sequence[str]) -> str | None:
    return "cells" if any(cell.strip() for cell in cells[len(heading) :]) else None
