"""The short way through a large file: no quotation mark, every line as wide as the heading.

Only what is certain to give the same cells as `pipeline.logbook.records` goes this way: the check
counts the delimiters of every line before a library touches the file.
"""

import io

import numpy as np
import polars as pl

from pipeline.logbook.decoding import UNREADABLE, Decoded
from pipeline.logbook.records import QUOTE

_LINE_FEED, _RETURN = 10, 13
_BLOCK = 1 << 24  # [bytes] looked at together, so that the positions stay in memory


def plain_bytes(data: bytes, decoded: Decoded, delimiter: str) -> memoryview | None:
    """Return a file as UTF-8 that can be cut at its delimiters alone, one record per line, or None.

    Parameters
    ----------
    data : bytes
        The whole file; its first line is the heading.
    decoded : Decoded
        The same as text.
    delimiter : str
        One character.
    """
    if decoded.codec == "utf-8":
        body = memoryview(data)[len(decoded.mark) :]
    elif UNREADABLE.search(decoded.text):
        return None
    else:
        body = memoryview(decoded.text.encode())
    letters = np.frombuffer(body, dtype=np.uint8)
    heading = bytes(body[: _first_line_end(letters)]).rstrip(b"\r").split(delimiter.encode())
    if (
        len(heading) < 2
        or not all(cell.strip() for cell in heading)
        or (letters == ord(QUOTE)).any()
    ):
        return None
    blocks = _blocks(letters)
    is_regular = all(_is_regular(block, ord(delimiter), len(heading) - 1) for block in blocks)
    return body if is_regular else None


def _first_line_end(letters: np.ndarray) -> int:
    start = letters[:_BLOCK]
    ends = np.flatnonzero(start == _LINE_FEED)
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
    if len(marks) != width * len(ends) or not _returns_end_lines(letters):
        return False
    by_line = marks.reshape(len(ends), width)
    starts = np.concatenate(([0], ends[:-1] + 1))
    return bool(
        (by_line[:, 0] >= starts).all()
        and (by_line[:, -1] < ends).all()
        # The first cell is a key in every file; an empty one may be a blank line of delimiters.
        and (by_line[:, 0] > starts).all()
        and not (letters[starts] <= 32).any()
    )


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
        quote_char=None,
        infer_schema=False,
        raise_if_empty=False,
    )
    if frame.is_empty():
        return pl.DataFrame(schema={"line": pl.Int64} | {name: pl.String() for name in names})
    frame.columns = names
    return frame.select(pl.int_range(2, 2 + pl.len(), dtype=pl.Int64).alias("line"), pl.all())
