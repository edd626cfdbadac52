"""The short way through a large file: every line one record, as wide as the heading.

Only what is certain to give the same cells as `pipeline.logbook.records` goes this way. Before a
library touches the file, the place of every delimiter and quotation mark is checked: quoted cells
open after a delimiter, close before one, and end on their line.
"""

import io

import numpy as np
import polars as pl

from pipeline.logbook.decoding import Decoded
from pipeline.logbook.records import QUOTE, split_line

_LINE_FEED, _RETURN, _BLANK, _QUOTE = 10, 13, 32, ord(QUOTE)
_BLOCK = 1 << 24  # [bytes] looked at together, so that the positions stay in memory


def plain_bytes(data: bytes, decoded: Decoded, delimiter: str) -> memoryview | None:
    """Return a file as UTF-8 that can be cut line by line, or None if that is not certain.

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
    is_regular = all(
        _is_regular(block, ord(delimiter), len(heading) - 1) for block in _blocks(letters)
    )
    return body if is_regular else None


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


def _is_regular(letters: np.ndarray, delimiter: int, width: int) -> bool:
    """Whether every line of a block has `width` delimiters, some content and a usual line end."""
    ends = np.flatnonzero(letters == _LINE_FEED)
    if len(letters) and letters[-1] != _LINE_FEED:
        ends = np.append(ends, len(letters))
    marks = np.flatnonzero(letters == delimiter)
    quotes = np.flatnonzero(letters == _QUOTE)
    if len(quotes):
        if not _is_well_quoted(letters, quotes, ends, delimiter):
            return False
        marks = marks[np.searchsorted(quotes, marks) % 2 == 0]
    if len(marks) != width * len(ends) or not _returns_end_lines(letters):
        return False
    by_line = marks.reshape(len(ends), width)
    starts = np.concatenate(([0], ends[:-1] + 1))
    is_apart = (by_line[:, 0] > starts).all() and (by_line[:, -1] < ends).all()
    return bool(is_apart) and not _may_be_blank(letters, starts)


def _may_be_blank(letters: np.ndarray, starts: np.ndarray) -> bool:
    """Whether a line begins with an empty cell: it may be all delimiters, which is no record."""
    first = letters[starts]
    quoted = starts[first == _QUOTE] + 1
    second = letters[np.minimum(quoted, len(letters) - 1)]
    return bool((first <= _BLANK).any() or (second <= _BLANK).any() or (second == _QUOTE).any())


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
    returns = np.flatnonzero(letters == _RETURN)
    following = np.minimum(returns + 1, len(letters) - 1)
    return bool((letters[following] == _LINE_FEED).all())


def read_plain(plain: memoryview, delimiter: str, names: list[str]) -> pl.DataFrame:
    """Read the records of a file that `plain_bytes` returned.

    Parameters
    ----------
    plain : memoryview
        UTF-8 without a byte order mark; the first line is the heading.
    delimiter : str
        One character.
    names : list of str
        Column names for the frame.

    Returns
    -------
    polars.DataFrame
        One row per record: `line` and text columns, empty cells null.
    """
    frame = pl.read_csv(
        io.BytesIO(plain),
        has_header=False,
        skip_rows=1,
        separator=delimiter,
        quote_char=QUOTE,
        infer_schema=False,
        raise_if_empty=False,
    )
    if frame.is_empty():
        return pl.DataFrame(schema={"line": pl.Int64} | {name: pl.String() for name in names})
    frame.columns = names
    if QUOTE.encode() in bytes(plain):
        # The library makes unquoted empty cells null and leaves quoted ones as empty text.
        frame = frame.with_columns(pl.when(pl.all() != "").then(pl.all()))
    return frame.select(pl.int_range(2, 2 + pl.len(), dtype=pl.Int64).alias("line"), pl.all())
