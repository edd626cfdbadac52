"""Another text in one place of a file, with every other byte as it was.

The file is cut into what stands before the place, the place, and what follows; only the middle is
written anew, in the file's own encoding. What comes out is read again and compared with what was
there: whatever is not the place must read as before.
"""

from dataclasses import dataclass

import polars as pl

from pipeline.errors import LogbookError
from pipeline.logbook.decoding import Decoded, decode
from pipeline.logbook.headings import find_heading, read_headings, unique_names
from pipeline.logbook.records import (
    LINE_END,
    QUOTE,
    Record,
    cell_spans,
    records,
    split_line,
    split_lines,
)
from pipeline.logbook.table import SourceTable


@dataclass(frozen=True)
class Place:
    """A record in its file.

    Attributes
    ----------
    file : str
        As the maker knows it.
    data : bytes
        The whole file.
    decoded : Decoded
        The same as text.
    start, end : int
        Where the record stands in that text, its last line end left out.
    record : Record
        What it reads as.
    names : tuple of str
        The columns of the file, as the raw layer calls them.
    delimiter : str
        What stands between cells.
    """

    file: str
    data: bytes
    decoded: Decoded
    start: int
    end: int
    record: Record
    names: tuple[str, ...]
    delimiter: str

    @property
    def cells(self) -> dict[str, str]:
        """The record's cells by column; of a record without certain columns, as far as they go."""
        return dict(zip(self.names, self.record.cells, strict=False))


def find_place(data: bytes, name: str, file: str, line: int) -> Place:
    """Find the record that begins on a line.

    Parameters
    ----------
    data : bytes
        The whole file.
    name, file : str
        The contract's name, and the file as the maker knows it.
    line : int
        As a text editor counts it.

    Raises
    ------
    LogbookError
        If no record begins there.
    """
    decoded = decode(data, file)
    heading_at, delimiter = find_heading(decoded.text, name, file)
    lines = split_lines(decoded.text)
    names = unique_names(read_headings(split_line(lines[heading_at], delimiter), name, file))
    below = records(lines, heading_at + 1, delimiter, len(names))
    record = next((record for record in below if record.line == line), None)
    if record is None:
        raise LogbookError(
            f"{file} has no row that begins on line {line} any more. It was changed elsewhere: "
            "look at it again."
        )
    start, end = _span(decoded.text, line, record.lines)
    return Place(file, data, decoded, start, end, record, tuple(names), delimiter)


def _span(text: str, line: int, lines: int) -> tuple[int, int]:
    """Return where `lines` lines begin and end, from the line numbered `line` on."""
    ends = [found.span() for found in LINE_END.finditer(text)]
    starts = [0, *(end for _, end in ends)]
    stops = [*(start for start, _ in ends), len(text)]
    return starts[line - 1], stops[line + lines - 2]


def with_cell(place: Place, column: str, now: str) -> bytes:
    """Return the file with another text in one cell of the record.

    A cell that stood between quotation marks stays between them; another gets them only if it has
    to.

    Raises
    ------
    LogbookError
        If the file has no such column, or its encoding lacks a letter of the text.
    """
    if column not in place.names:
        raise LogbookError(
            f"{place.file} has no column {column}. Add it to the heading in a spreadsheet program "
            "or a text editor first."
        )
    raw = place.decoded.text[place.start : place.end]
    start, end = cell_spans(raw, place.delimiter)[place.names.index(column)]
    written = _written(now, raw[start:end], place.delimiter)
    return _spliced(place, place.start + start, place.start + end, written)


def with_row(place: Place, now: str) -> bytes:
    """Return the file with another text in place of the whole record.

    Raises
    ------
    LogbookError
        If the file's encoding lacks a letter of the text.
    """
    return _spliced(place, place.start, place.end, now)


def _written(now: str, before: str, delimiter: str) -> str:
    """Write a cell as its file does."""
    signs = (delimiter, QUOTE, "\n", "\r")
    if not before.startswith(QUOTE) and not any(sign in now for sign in signs):
        return now
    end = LINE_END.search(before)
    text = LINE_END.sub(end[0] if end else "\n", now)
    return f"{QUOTE}{text.replace(QUOTE, 2 * QUOTE)}{QUOTE}"


def _spliced(place: Place, start: int, end: int, new: str) -> bytes:
    decoded, text = place.decoded, place.decoded.text
    try:
        before, after = (_bytes(part, decoded) for part in (text[:start], text[end:]))
        is_kept = decoded.mark + _bytes(text, decoded) == place.data
    except UnicodeEncodeError:
        is_kept = False
    if not is_kept:
        raise LogbookError(
            f"{place.file} holds letters that cannot be written back as they stand there. Save it "
            "as UTF-8 in the program it comes from, and mend the cell then."
        )
    try:
        middle = new.encode(decoded.codec)
    except UnicodeEncodeError as error:
        raise LogbookError(
            f"{place.file} is kept as {decoded.label}, which cannot hold {new[error.start]!r}. "
            "Save the file as UTF-8 first, or write it without that letter."
        ) from error
    return decoded.mark + before + middle + after


def _bytes(text: str, decoded: Decoded) -> bytes:
    return text.encode(decoded.codec, errors="surrogateescape")


def lines_more(place: Place, data: bytes) -> int:
    """Return how many lines the file has gained by the change."""
    after = split_lines(decode(data, place.file).text)
    return len(after) - len(split_lines(place.decoded.text))


def moved(line: pl.Expr, place: Place, shift: int) -> pl.Expr:
    """Return the lines that records stand on after the change."""
    return line + pl.when(line > place.record.line).then(shift).otherwise(0)


def refuse_other_changes(
    before: SourceTable, after: SourceTable, place: Place, shift: int, cells: dict[str, str] | None
) -> None:
    """Make sure that all but one record reads as before the change.

    Parameters
    ----------
    before, after : SourceTable
        The file as it was and as it would be.
    place : Place
        The record that was changed.
    shift : int
        Lines the file has gained by it.
    cells : dict or None
        What the record has to read as now; None if any sound record will do.

    Raises
    ------
    LogbookError
        If anything else would read otherwise, or the record itself would not read so.
    """
    line = place.record.line
    was = before.cells.with_columns(moved(pl.col("line"), place, shift))
    is_other = pl.col("line") != line
    same_rows = was.filter(is_other).equals(after.cells.filter(is_other))
    own = after.cells.filter(~is_other)
    ragged = [
        row._replace(line=row.line + (shift if row.line > line else 0))
        for row in before.ragged
        if row.line != line
    ]
    same_rest = before.headings == after.headings and ragged == list(after.ragged)
    if not (same_rows and same_rest and own.height == 1 and (cells is None or _is(own, cells))):
        raise LogbookError(
            f"{place.file} line {line} would not read as one row with that text, or would take "
            "other rows with it. Nothing was written; mend it in a spreadsheet program or a text "
            "editor."
        )


def _is(own: pl.DataFrame, cells: dict[str, str]) -> bool:
    row = own.drop("line").row(0, named=True)
    return row == {name: _one_line_end(cell) or None for name, cell in cells.items()}


def _one_line_end(text: str) -> str:
    return LINE_END.sub("\n", text)
