"""Text to records: lines, quotes and delimiters, with the line where each record begins.

Read by hand and not by a library because nothing may be lost and no neighbour damaged: a row with
too many or too few cells, or with a quotation mark that is never closed, is kept as raw text, and
reading goes on at the next line.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from pipeline.logbook.decoding import UNREADABLE

QUOTE = '"'
# What a text editor counts as the end of a line; str.splitlines would also break at form feeds
# and other signs that occur inside notes.
LINE_END = re.compile(r"\r\n|\n|\r")


# [lines] A note longer than this is a quotation mark that was never closed.
LONGEST_CELL = 200


class Record(NamedTuple):
    """One record: where it begins, its cells, its text, and what is wrong with its form.

    `lines` is the number of lines it stands on.
    """

    line: int
    cells: tuple[str, ...]
    raw: str
    fault: str | None = None
    lines: int = 1


class _Split(NamedTuple):
    cells: list[str]
    is_open: bool
    is_broken: bool


class _Patterns(NamedTuple):
    """A record whose quotation marks all open, close or are doubled; a cell of it; an open one."""

    sound: re.Pattern[str]
    cell: re.Pattern[str]
    open: re.Pattern[str]


@cache
def _patterns(delimiter: str) -> _Patterns:
    edge = re.escape(delimiter)
    inside = '(?:[^"]|"")*+'
    cell = f'(?:"{inside}"|(?!")[^{edge}]*+)'
    return _Patterns(
        sound=re.compile(f"(?:{cell}{edge})*+{cell}"),
        cell=re.compile(f'(?:\\A|{edge})(?:"({inside})"|((?!")[^{edge}]*+))'),
        open=re.compile(f'(?:{cell}{edge})*+"{inside}'),
    )


def split_lines(text: str) -> list[str]:
    """Return the lines of a text as a text editor counts them, without their ends."""
    lines = LINE_END.split(text)
    if lines[-1] == "":
        lines.pop()
    return lines


def split_line(line: str, delimiter: str) -> list[str]:
    """Return the cells of one line, for the heading."""
    return _split(line, delimiter).cells


def records(lines: Sequence[str], start: int, delimiter: str, width: int) -> Iterator[Record]:
    """Yield every record of a file in order; every line belongs to exactly one.

    Parameters
    ----------
    lines : sequence of str
        All lines of the file.
    start : int
        Index of the first line after the heading.
    delimiter : str
        What stands between cells.
    width : int
        Number of columns of the heading.
    """
    at = start
    while at < len(lines):
        record = record_at(lines, at, delimiter, width)
        at += record.lines
        yield record


def record_at(lines: Sequence[str], at: int, delimiter: str, width: int) -> Record:
    """Return the record that begins at a line; see `records`."""
    line = lines[at]
    if QUOTE not in line:
        return _checked(Record(at + 1, tuple(line.split(delimiter)), line), width)
    split = _quick_split(line, delimiter)
    taken = 1
    is_open = split.is_open
    last = min(len(lines) - at, LONGEST_CELL)
    while is_open and taken < last:
        taken += 1
        is_open = _stays_open(lines[at + taken - 1], delimiter)
    if is_open or _swallowed_rows(lines[at + 1 : at + taken], delimiter, width):
        return Record(at + 1, tuple(_split(line, delimiter).cells), line, "quote")
    text = "\n".join(lines[at : at + taken])
    if taken > 1:
        split = _quick_split(text, delimiter)
    if split.is_broken:
        return Record(at + 1, tuple(_split(line, delimiter).cells), line, "quote")
    return _checked(Record(at + 1, tuple(split.cells), text, None, taken), width)


@lru_cache(maxsize=4 * LONGEST_CELL)
def _stays_open(line: str, delimiter: str) -> bool:
    """Whether a quoted cell that is open where a line begins is open where it ends.

    Kept for the lines that the records before it looked through: each of a hundred thousand lines
    may look as if it opened a cell, and would look through two hundred others.
    """
    return QUOTE not in line or _quick_split(QUOTE + line, delimiter).is_open


def cell_spans(text: str, delimiter: str) -> list[tuple[int, int]]:
    """Return where each cell of a sound record begins and ends, its quotation marks included."""
    spans: list[tuple[int, int]] = []
    at = 0
    while True:
        if text.startswith(QUOTE, at):
            _, end, _ = _quoted(text, at + 1)
        else:
            end = text.find(delimiter, at)
            end = len(text) if end < 0 else end
        spans.append((at, end))
        if end >= len(text):
            return spans
        at = end + 1


def _checked(record: Record, width: int) -> Record:
    """Mark a record that has another number of cells than the heading, or unreadable letters."""
    cells = record.cells
    if UNREADABLE.search(record.raw):
        return record._replace(fault="letters")
    if len(cells) > width and not any(cell.strip() for cell in cells[width:]):
        # Empty cells beyond the heading hold nothing that could be lost.
        return record._replace(cells=cells[:width])
    if len(cells) != width and any(cell.strip() for cell in cells):
        return record._replace(fault="cells")
    return record


def _swallowed_rows(lines: Sequence[str], delimiter: str, width: int) -> bool:
    """Whether the later lines of a record look like rows of their own.

    A missing closing quotation mark takes in the rows below until the next mark, and the result
    can have the right number of cells by chance. A line inside it that has as many cells as the
    heading, a number among them, is a row that was swallowed.
    """
    return width > 2 and any(
        line.count(delimiter) == width - 1 and any(letter.isdigit() for letter in line)
        for line in lines
    )


def _quick_split(text: str, delimiter: str) -> _Split:
    """Split a record as `_split` does; of an open one the cells are left out."""
    patterns = _patterns(delimiter)
    if patterns.sound.fullmatch(text):
        cells = [
            quoted.replace(2 * QUOTE, QUOTE) if quoted else plain
            for quoted, plain in patterns.cell.findall(text)
        ]
        return _Split(cells, is_open=False, is_broken=False)
    if patterns.open.fullmatch(text):
        return _Split([], is_open=True, is_broken=False)
    return _split(text, delimiter)


def _split(text: str, delimiter: str) -> _Split:
    """Split a record at its delimiters; quotes count only where a cell begins with one."""
    cells: list[str] = []
    at = 0
    while True:
        if text.startswith(QUOTE, at):
            cell, end, is_open = _quoted(text, at + 1)
            if is_open:
                return _Split([*cells, cell], is_open=True, is_broken=False)
            if end < len(text) and not text.startswith(delimiter, end):
                return _Split(cells, is_open=False, is_broken=True)
        else:
            end = text.find(delimiter, at)
            end = len(text) if end < 0 else end
            cell = text[at:end]
        cells.append(cell)
        if end >= len(text):
            return _Split(cells, is_open=False, is_broken=False)
        at = end + 1


def _quoted(text: str, at: int) -> tuple[str, int, bool]:
    """Return a quoted cell from after its opening mark, where it ends, and whether it is open."""
    parts: list[str] = []
    while True:
        end = text.find(QUOTE, at)
        if end < 0:
            return "".join([*parts, text[at:]]), len(text), True
        parts.append(text[at:end])
        if not text.startswith(QUOTE, end + 1):
            return "".join(parts), end + 1, False
        parts.append(QUOTE)
        at = end + 2
