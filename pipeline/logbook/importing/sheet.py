"""One sheet of old notes as text: where its heading is, its rows, and what is no row of data.

Every line of the file belongs to exactly one of: title, heading, row, set aside, blank.
"""

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from pipeline.errors import LogbookError
from pipeline.logbook.decoding import Decoded, decode
from pipeline.logbook.importing.delimiting import find_delimiter, most_cells, said_delimiter
from pipeline.logbook.importing.finding_headings import (
    HeadingPlace,
    Line,
    find_heading,
    shown,
)
from pipeline.logbook.importing.row_faults import FAULTS, row_fault
from pipeline.logbook.importing.turning import turn
from pipeline.logbook.importing.vocabulary import plain
from pipeline.logbook.limits import (
    MOST_COLUMNS,
    refuse_long_lines,
    refuse_many_columns,
    refuse_many_faulty,
)
from pipeline.logbook.records import QUOTE, Record, records, split_lines

_SAMPLES = 3
_MOST_NAMES = 200  # [lines] no sheet has more columns, on its side or not


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
    is_turned : bool
        Whether every column is a batch; the lines of its rows are then numbers of columns.
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
    is_turned: bool = False

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
        If the file is no text, is empty, is not in that encoding, or holds more than any notes.
    """
    refuse_long_lines(data, name)
    decoded = decode(data, name) if codec is None else _decoded_as(data, name, codec)
    lines = split_lines(decoded.text)
    refuse_many_columns(most_cells(lines), name)
    start, said = said_delimiter(lines)
    delimiter = said or find_delimiter(lines[start:])
    first = [(r.line, r.cells) for r in _first_records(lines, start, delimiter)]
    sheet = _turned(name, lines, start, delimiter)
    if sheet is None:
        place = _with_unnamed(find_heading(first, name), lines, delimiter)
        each = records(lines, place.last_line, delimiter, len(place.heading))
        found = list(refuse_many_faulty(each, name))
        sheet = make_sheet(name, place, found, titles_above(first, place))
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


def _turned(name: str, lines: list[str], start: int, delimiter: str) -> Sheet | None:
    """Read a sheet with one column a batch, if it is one and no record of it is broken."""
    width = max((line.count(delimiter) + 1 for line in lines[start:]), default=1)
    if len(lines) > _MOST_NAMES or width > MOST_COLUMNS:
        return None
    found = list(records(lines, start, delimiter, width))
    if any(record.fault == "quote" for record in found):
        return None
    return from_turned(name, [(record.line, record.cells) for record in found])


def from_turned(name: str, lines: Sequence[Line]) -> Sheet | None:
    """Return a sheet that stands on its side, turned; nothing if it stands upright."""
    turned = turn([one for one in lines if any(cell.strip() for cell in one[1])])
    if turned is None:
        return None
    titles = tuple(
        Aside(line, shown(" ".join(cells).strip()), "title", "a title")
        for line, cells in turned.titles
    )
    return replace(make_sheet(name, turned.place, turned.found, titles), is_turned=True)


def _decoded_as(data: bytes, name: str, codec: str) -> Decoded:
    try:
        return Decoded(data.decode(codec), codec, codec)
    except (LookupError, UnicodeError) as error:
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


def titles_above(
    first: Sequence[tuple[int, Sequence[str]]], place: HeadingPlace
) -> tuple[Aside, ...]:
    """Return what stands above the heading."""
    return tuple(
        Aside(line, shown(" ".join(cell for cell in cells if cell.strip())), "title", "a title")
        for line, cells in first
        if line < place.first_line and any(cell.strip() for cell in cells)
    )


def make_sheet(
    name: str, place: HeadingPlace, found: Sequence[Record], titles: tuple[Aside, ...]
) -> Sheet:
    """Return a sheet of the records below its heading: rows of data, and the others."""
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
