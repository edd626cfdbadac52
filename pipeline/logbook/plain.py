"""The short way through a large file: every line one record, as wide as the heading.

Only what is certain to give the same cells as `pipeline.logbook.records` goes this way. Before a
library touches the file, the place of every delimiter and quotation mark is checked: quoted cells
open after a delimiter, close before one, and end on their line.
"""

import io
from typing import NamedTuple

import numpy as np
import polars as pl

from pipeline.logbook.decoding import Decoded
from pipeline.logbook.records import QUOTE, split_line

_LINE_FEED, _RETURN, _BLANK, _QUOTE = 10, 13, 32, ord(QUOTE)
_BLOCK = 1 << 24  # [bytes] looked at together, so that the positions stay in memory


class Plain(NamedTuple):
    """A file that can be cut line by line: UTF-8 without a mark; the first line is the heading."""

    body: memoryview
    delimiter: str
    width: int
    is_quoted: bool


def plain_form(data: bytes, decoded: Decoded, delimiter: str) -> Plain | None:
    """Return a file in the form that can be cut line by line, or None if that is not certain.

    Parameters
    ----------
    data : bytes
        The whole file; its first line is the heading.
    decoded : Decoded
        The same as text.
    delimiter : str
        One character.
    """
    if not decoded.is_whole:
        return None
    if decoded.codec == "utf-8":
        body = memoryview(data)[len(decoded.mark) :]
    else:
        body = memoryview(decoded.text.encode())
    letters = np.frombuffer(body, dtype=np.uint8)
    first = bytes(body[: _first_line_end(letters)]).decode(errors="replace").rstrip("\r")
    heading = split_line(first, delimiter)
    if len(heading) < 2 or not all(cell.strip() for cell in heading):
        return None
    plain = Plain(body, delimiter, len(heading), bool((letters == _QUOTE).any()))
    return plain if _is_regular(plain, letters) else None


def _is_regular(plain: Plain, letters: np.ndarray) -> bool:
    """Whether all lines have as many delimiters as the heading.

    Without quotation marks the total is enough: the library refuses a longer line, and if none is
    longer and the total is right, none is shorter.
    """
    if not _returns_end_lines(letters):
        return False
    if plain.is_quoted:
        blocks = _blocks(letters)
        return all(_is_regular_block(block, ord(plain.delimiter), plain.width) for block in blocks)
    lines = np.count_nonzero(letters == _LINE_FEED) + (letters[-1] != _LINE_FEED)
    marks = np.count_nonzero(letters == ord(plain.delimiter))
    return bool(marks == lines * (plain.width - 1))


def _first_line_end(letters: np.ndarray) -> int:
    ends = np.flatnonzero(letters[:_BLOCK] == _LINE_FEED)
    return int(ends[0]) if len(ends) else len(letters)


def _blocks(letters: np.ndarray) -> list[np.ndarray]:
    """Cut the bytes into blocks that end at a line end."""
    blocks = []
    start = 0
    while start < len(letters):
        end = min(start + _BLOCK, len(letters))
        if end < len(letters):
            last = np.flatnonzero(letters[start:end] == _LINE_FEED)
            if not len(last):
                return [letters]
            end = start + int(last[-1]) + 1
        blocks.append(letters[start:end])
        start = end
    return blocks


def _is_regular_block(letters: np.ndarray, delimiter: int, width: int) -> bool:
    """Whether every line of a block has `width` cells, some of them between quotation marks."""
    ends = np.flatnonzero(letters == _LINE_FEED)
    if len(letters) and letters[-1] != _LINE_FEED:
        ends = np.append(ends, len(letters))
    quotes = np.flatnonzero(letters == _QUOTE)
    if not _is_well_quoted(letters, quotes, ends, delimiter):
        return False
    marks = np.flatnonzero(letters == delimiter)
    marks = marks[np.searchsorted(quotes, marks) % 2 == 0]
    if len(marks) != (width - 1) * len(ends):
        return False
    by_line = marks.reshape(len(ends), width - 1)
    starts = np.concatenate(([0], ends[:-1] + 1))
    return bool((by_line[:, 0] >= starts).all() and (by_line[:, -1] < ends).all())


def _is_well_quoted(
    letters: np.ndarray, quotes: np.ndarray, ends: np.ndarray, delimiter: int
) -> bool:
    """Whether every quotation mark opens a cell, closes it on its line, or is doubled in it."""
    if len(quotes) % 2 or (np.searchsorted(quotes, ends) % 2).any():
        return False
    opening, closing = quotes[::2], quotes[1::2]
    before = np.where(opening > 0, letters[opening - 1], _LINE_FEED)
    after = np.where(
        closing + 1 < len(letters), letters[np.minimum(closing + 1, len(letters) - 1)], _LINE_FEED
    )
    opens = np.isin(before, (delimiter, _LINE_FEED, _QUOTE))
    closes = np.isin(after, (delimiter, _LINE_FEED, _RETURN, _QUOTE))
    return bool(opens.all() and closes.all())


def _returns_end_lines(letters: np.ndarray) -> bool:
    """Whether carriage returns stand only before line feeds."""
    returns = np.flatnonzero(letters == _RETURN)
    following = np.minimum(returns + 1, len(letters) - 1)
    return bool((letters[following] == _LINE_FEED).all())


def has_outer_blanks(plain: Plain) -> bool:
    """Whether a cell may begin or end with a blank of any kind, in a file of ASCII letters."""
    letters = np.frombuffer(plain.body, dtype=np.uint8)
    edges = (_LINE_FEED, _RETURN, ord(plain.delimiter))
    expected = sum(np.count_nonzero(letters == edge) for edge in edges if edge < _BLANK)
    if plain.is_quoted or np.count_nonzero(letters < _BLANK) != expected:
        return True
    blanks = np.flatnonzero(letters == _BLANK)
    before = letters[np.maximum(blanks - 1, 0)]
    after = letters[np.minimum(blanks + 1, len(letters) - 1)]
    return any(bool((side == edge).any()) for side in (before, after) for edge in edges)


def read_plain(plain: Plain, names: list[str]) -> pl.DataFrame | None:
    """Read the records of a file in plain form; None if a line turns out to be no record.

    Parameters
    ----------
    plain : Plain
        The file.
    names : list of str
        Column names for the frame.

    Returns
    -------
    polars.DataFrame
        One row per record: `line` and text columns, empty cells null.
    """
    try:
        frame = pl.read_csv(
            io.BytesIO(plain.body),
            has_header=False,
            skip_rows=1,
            separator=plain.delimiter,
            quote_char=QUOTE if plain.is_quoted else None,
            infer_schema=False,
            raise_if_empty=False,
        )
    except pl.exceptions.ComputeError:
        return None
    if frame.is_empty():
        return pl.DataFrame(schema={"line": pl.Int64} | {name: pl.String() for name in names})
    # A line whose first cell is empty may be a line of delimiters only, which is no record.
    first = frame.to_series().str.strip_chars()
    if frame.width != len(names) or first.null_count() or (first == "").any():
        return None
    frame.columns = names
    if plain.is_quoted:
        # The library makes unquoted empty cells null and leaves quoted ones as empty text.
        frame = frame.with_columns(pl.when(pl.all() != "").then(pl.all()))
    return frame.select(pl.int_range(2, 2 + pl.len(), dtype=pl.Int64).alias("line"), pl.all())
