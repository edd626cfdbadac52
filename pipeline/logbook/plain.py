"""The short way through a large file: lines that are one record each, cut by a library at once.

Only lines that are certain to give the same cells as `pipeline.logbook.records` go this way. Before
the library touches them, the place of every delimiter and quotation mark is checked: quoted cells
open after a delimiter, close before one, and end on their line.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import polars as pl

from pipeline.logbook.lines import BLOCK, LINE_FEED, Lines
from pipeline.logbook.records import QUOTE, Record

_BLANK, _QUOTE, _LAST_ASCII = 32, ord(QUOTE), 126
# [bytes] First letters from here to there begin no sort of blank and no byte order mark.
_ACCENTED = (0xC3, 0xDF)
_UNUSED_SIGNS = "\x1f\x1e\x1d\x1c\x01\x02\x03\x04"  # no text has all of them


class Form(NamedTuple):
    """How a file's lines are to be cut.

    `cells` is the number of cells of its heading line; `spare` of them, at the end, are unnamed.
    """

    delimiter: str
    cells: int
    spare: int = 0


def plain_lines(lines: Lines, form: Form) -> np.ndarray:
    """Return for every line whether it is certainly one sound record of its own.

    Parameters
    ----------
    lines : Lines
        The whole file.
    form : Form
        How it is to be cut.

    Returns
    -------
    numpy.ndarray of bool
        A line that is not may still be a sound record; it must be looked at by hand.
    """
    is_plain = np.zeros(len(lines), dtype=bool)
    for some in _blocks(lines):
        first, last = lines.starts[some.start], lines.ends[some.stop - 1]
        letters = lines.letters[first : last + 1]
        starts, ends = lines.starts[some] - first, lines.ends[some] - first
        is_plain[some] = _plain(letters, starts, ends, form)
    if not lines.is_whole:
        high = np.unique(np.searchsorted(lines.ends, np.flatnonzero(lines.letters > _LAST_ASCII)))
        is_plain[[at for at in high if not lines.is_readable(at)]] = False
    return is_plain


def _blocks(lines: Lines) -> Iterator[slice]:
    """Yield runs of lines that are some megabytes together."""
    places = np.searchsorted(lines.starts, np.arange(0, len(lines.letters), BLOCK))
    for first, last in zip(places, [*places[1:], len(lines)], strict=True):
        if last > first:
            yield slice(int(first), int(last))


def _plain(letters: np.ndarray, starts: np.ndarray, ends: np.ndarray, form: Form) -> np.ndarray:
    """Return which lines of a block are plain; `starts` and `ends` are places in `letters`."""
    delimiter = ord(form.delimiter)
    marks = np.flatnonzero(letters == delimiter)
    quotes = np.flatnonzero(letters == _QUOTE)
    first_marks = np.searchsorted(marks, starts)
    counts = np.diff(first_marks, append=len(marks))
    is_plain = _begins_with_content(letters, starts, ends, delimiter)
    if len(quotes):
        is_plain &= _is_well_quoted(letters, quotes, starts, ends, delimiter)
        counts -= _quoted_marks(marks, first_marks, quotes, starts)
    is_plain &= counts == form.cells - 1
    for back in range(1, form.spare + 1):
        is_plain &= letters[ends - back] == delimiter
    return is_plain


def _begins_with_content(
    letters: np.ndarray, starts: np.ndarray, ends: np.ndarray, delimiter: int
) -> np.ndarray:
    """Whether the first cell holds something: a line of empty cells is no record."""
    is_content = np.zeros(256, dtype=bool)
    is_content[_BLANK + 1 : _LAST_ASCII + 1] = True
    is_content[_ACCENTED[0] : _ACCENTED[1] + 1] = True
    is_content[[delimiter, _QUOTE]] = False
    within = np.minimum(starts + 1, len(letters) - 1)
    is_quoted = (letters[starts] == _QUOTE) & is_content[letters[within]]
    return (starts < ends) & (is_content[letters[starts]] | is_quoted)


def _is_well_quoted(
    letters: np.ndarray, quotes: np.ndarray, starts: np.ndarray, ends: np.ndarray, delimiter: int
) -> np.ndarray:
    """Return for every line whether each of its quotation marks opens, closes or is doubled."""
    line = np.searchsorted(ends, quotes)
    firsts = np.searchsorted(quotes, starts)
    is_opening = (np.arange(len(quotes)) - firsts[line]) % 2 == 0
    before, after = np.maximum(quotes - 1, 0), np.minimum(quotes + 1, len(letters) - 1)
    edges = (delimiter, LINE_FEED, _QUOTE)
    opens = (quotes == starts[line]) | np.isin(letters[before], edges)
    closes = (quotes + 1 == ends[line]) | np.isin(letters[after], edges)
    is_odd = np.diff(firsts, append=len(quotes)) % 2 == 1
    is_odd[line[np.where(is_opening, ~opens, ~closes)]] = True
    return ~is_odd


def _quoted_marks(
    marks: np.ndarray, first_marks: np.ndarray, quotes: np.ndarray, starts: np.ndarray
) -> np.ndarray:
    """Return how many delimiters of every line stand between quotation marks."""
    first_quotes = np.searchsorted(quotes, starts)
    quoted = np.flatnonzero(np.diff(first_quotes, append=len(quotes)))
    counts = np.diff(first_marks, append=len(marks))[quoted]
    line = np.repeat(quoted, counts)
    # The places of the delimiters of those lines alone, which are few in most files.
    within = np.arange(len(line)) - np.repeat(np.cumsum(counts) - counts, counts)
    own = marks[first_marks[line] + within]
    is_inside = (np.searchsorted(quotes, own) - first_quotes[line]) % 2 == 1
    return np.bincount(line[is_inside], minlength=len(starts))


def is_regular(lines: Lines, form: Form) -> bool:
    """Whether a file without quotation marks has as many delimiters as its lines should.

    The library refuses a longer line, and if none is longer and the total is right, none is
    shorter: so only if it does not refuse is every line certain.
    """
    letters = lines.letters
    if not lines.is_whole or not len(letters) or form.spare or QUOTE.encode() in lines.body:
        return False
    count = np.count_nonzero(letters == LINE_FEED) + (letters[-1] != LINE_FEED)
    marks = np.count_nonzero(letters == ord(form.delimiter))
    return bool(marks == count * (form.cells - 1))


def read_regular(lines: Lines, form: Form, names: list[str]) -> pl.DataFrame | None:
    """Read the records of a regular file; None if a line turns out to be no record."""
    try:
        frame = _cut(lines.body, form, None, skip=1)
    except pl.exceptions.ComputeError:
        return None
    if frame.is_empty():
        return pl.DataFrame(schema={"line": pl.Int64} | {name: pl.String() for name in names})
    # A line whose first cell is empty may be a line of delimiters only, which is no record.
    first = frame.to_series().str.strip_chars()
    if frame.width != len(names) or first.null_count() or (first == "").any():
        return None
    frame.columns = names
    return frame.select(pl.int_range(2, 2 + pl.len(), dtype=pl.Int64).alias("line"), pl.all())


def read_plain(
    lines: Lines, is_plain: np.ndarray, sound: Sequence[Record], form: Form, names: list[str]
) -> pl.DataFrame | None:
    """Read the records of the plain lines, and those found by hand in their places among them.

    Parameters
    ----------
    lines : Lines
        The whole file.
    is_plain : numpy.ndarray of bool
        Which lines are a record each.
    sound : sequence of Record
        Records found by hand, in order.
    form : Form
        How the lines are cut.
    names : list of str
        Column names for the frame.

    Returns
    -------
    polars.DataFrame or None
        One row per record: `line` and text columns, empty cells null. None if the library sees
        other records than there are.
    """
    at = np.sort(np.append(np.flatnonzero(is_plain) + 1, [record.line for record in sound]))
    at = at.astype(np.int64)
    if not len(at):
        return pl.DataFrame(schema={"line": pl.Int64} | {name: pl.String() for name in names})
    stand_in = _stand_in(lines.body)
    if stand_in is None:
        return None
    rows = {record.line - 1: _row(record, form, stand_in) for record in sound}
    body = _joined(lines, is_plain, rows)
    frame = _cut(body, form, QUOTE)
    if frame.shape != (len(at), form.cells):
        return None
    frame = frame[:, : len(names)]
    frame.columns = names
    if b'""' in body:
        # The library makes unquoted empty cells null and leaves quoted ones as empty text.
        frame = frame.with_columns(pl.when(pl.all() != "").then(pl.all()))
    broken = {at for record in sound for at, cell in enumerate(record.cells) if "\n" in cell}
    return frame.select(
        pl.Series("line", at),
        *(
            pl.col(name).str.replace_all(stand_in, "\n", literal=True) if place in broken else name
            for place, name in enumerate(names)
        ),
    )


def _stand_in(body: bytes) -> str | None:
    """Return a sign that stands nowhere in the file, to stand in for line ends inside cells."""
    return next((sign for sign in _UNUSED_SIGNS if sign.encode() not in body), None)


def _row(record: Record, form: Form, stand_in: str) -> bytes:
    """Write a record on one line."""
    cells: Sequence[str] = record.cells
    if QUOTE in form.delimiter.join(cells):
        cells = [cell.replace(QUOTE, 2 * QUOTE) for cell in cells]
    row = form.delimiter.join([f"{QUOTE}{cell}{QUOTE}" if cell else "" for cell in cells])
    return (row.replace("\n", stand_in) + form.delimiter * form.spare).encode()


def _joined(lines: Lines, is_plain: np.ndarray, rows: dict[int, bytes]) -> bytes:
    """Return the plain lines run by run, and between them the rows, by their line."""
    turns = np.flatnonzero(np.diff(is_plain, prepend=False, append=False))
    view = memoryview(lines.body)
    parts: dict[int, bytes | memoryview] = {
        first: view[lines.starts[first] : lines.ends[last - 1]]
        for first, last in turns.reshape(-1, 2).tolist()
    }
    parts |= rows
    return b"\n".join(parts[at] for at in sorted(parts))


def _cut(body: bytes, form: Form, quote: str | None, skip: int = 0) -> pl.DataFrame:
    return pl.read_csv(
        body,
        has_header=False,
        skip_rows=skip,
        separator=form.delimiter,
        quote_char=quote,
        infer_schema=False,
        raise_if_empty=False,
    )
