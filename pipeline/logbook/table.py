"""One file of a logbook as text cells: every record with its line, none lost.

The delimiter is told from the heading, never from the rows.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import polars as pl

from pipeline.logbook.decoding import DAMAGED, decode, readable
from pipeline.logbook.headings import Heading, find_heading, read_headings, unique_names
from pipeline.logbook.limits import refuse_long_lines, refuse_many_faulty
from pipeline.logbook.lines import Lines
from pipeline.logbook.plain import (
    Form,
    is_regular,
    plain_lines,
    read_plain,
    read_regular,
)
from pipeline.logbook.records import Record, record_at, records, split_line


class Ragged(NamedTuple):
    """A record without certain columns: line, cells as far as split, raw text and reason."""

    line: int
    cells: tuple[str, ...]
    raw: str
    fault: str


@dataclass(frozen=True)
class SourceTable:
    """A file as read, before any cell is understood.

    Attributes
    ----------
    name : str
        The contract's name, such as "readings".
    file : str
        The file as the maker knows it, such as "readings.csv".
    headings : tuple of Heading
        In file order.
    cells : polars.DataFrame
        One row per sound record: `line` and every column as text; an empty cell is null.
    ragged : tuple of Ragged
        Records set aside for their form.
    lines, blank_lines : int
        Physical lines in the file; records without any content among them.
    encoding, delimiter : str
        For the report of what was read.
    is_encoding_guessed : bool
        Whether nothing proves the encoding.
    has_damage : bool
        Whether some program before has put a replacement sign in place of a letter.
    """

    name: str
    file: str
    headings: tuple[Heading, ...]
    cells: pl.DataFrame
    ragged: tuple[Ragged, ...] = ()
    lines: int = 0
    blank_lines: int = 0
    encoding: str = ""
    delimiter: str = ""
    is_encoding_guessed: bool = False
    has_damage: bool = False

    @cached_property
    def _stripped(self) -> dict[str, pl.Series]:
        return {}

    def stripped(self, column: str) -> pl.Series:
        """Return a column's cells without outer blanks, null where nothing is left."""
        if column not in self.cells.columns:
            return pl.repeat(None, self.cells.height, dtype=pl.String, eager=True).alias(column)
        if column not in self._stripped:
            self._stripped[column] = _without_outer_blanks(self.cells[column])
        return self._stripped[column]

    @property
    def rows_read(self) -> int:
        """Records with any content, sound or not."""
        return self.cells.height + len(self.ragged)


def _without_outer_blanks(cells: pl.Series) -> pl.Series:
    inner = cells.str.strip_chars()
    if (inner == cells).all():
        # Usually there are none, and then one copy is enough.
        return cells
    return inner.replace("", None)


def read_csv_table(data: bytes, name: str, file: str) -> SourceTable:
    """Read one delimited file of the contract.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        The contract's name, such as "readings".
    file : str
        What to call the file in problems.

    Raises
    ------
    LogbookError
        If the file is no text, is empty or holds more than any logbook, or its heading lacks a
        required column or names one twice.
    """
    refuse_long_lines(data, file)
    decoded = decode(data, file)
    heading_at, delimiter = find_heading(decoded.text, name, file)
    lines = Lines(data, decoded)
    written = split_line(lines.near_the_top(heading_at), delimiter)
    headings = read_headings(written, name, file)
    form = Form(delimiter, len(written), len(written) - len(headings))
    body = _read_body(lines, heading_at, form, unique_names(headings), file)
    ragged = (record for record in body.by_hand if record.fault is not None)
    return SourceTable(
        name=name,
        file=file,
        headings=headings,
        cells=body.cells,
        ragged=tuple(_ragged(record) for record in ragged),
        lines=body.lines,
        blank_lines=body.blank_lines,
        encoding=decoded.label,
        delimiter=delimiter,
        is_encoding_guessed=decoded.is_guessed,
        has_damage=DAMAGED.encode() in lines.body,
    )


class _Body(NamedTuple):
    """What stands below the heading; `by_hand` are the records that were not certain at sight."""

    cells: pl.DataFrame
    lines: int
    by_hand: tuple[Record, ...] = ()
    blank_lines: int = 0


def _read_body(lines: Lines, heading_at: int, form: Form, names: list[str], file: str) -> _Body:
    if heading_at == 0 and is_regular(lines, form):
        cells = read_regular(lines, form, names)
        if cells is not None:
            return _Body(cells, cells.height + 1)
    is_plain = plain_lines(lines, form)
    is_plain[: heading_at + 1] = False
    by_hand = _by_hand(lines, heading_at + 1, is_plain, form, len(names))
    found = list(refuse_many_faulty(by_hand, file))
    cells = read_plain(lines, is_plain, _sound(found), form, names)
    if cells is None:
        # The library and this reader do not agree on what a line is: then every line by hand.
        each = records(lines, heading_at + 1, form.delimiter, len(names))
        found = list(refuse_many_faulty(each, file))
        cells = _cells(_sound(found), names)
    filled = [record for record in found if any(cell.strip() for cell in record.cells)]
    return _Body(cells, len(lines), tuple(filled), len(found) - len(filled))


def _sound(found: list[Record]) -> list[Record]:
    return [r for r in found if r.fault is None and any(cell.strip() for cell in r.cells)]


def _by_hand(
    lines: Lines, start: int, is_plain: np.ndarray, form: Form, width: int
) -> Iterator[Record]:
    """Yield the records that begin at a line which is not plain; what they take in is not either.

    A plain line is a record of its own unless a record before it takes it in.
    """
    at = start
    for line in (np.flatnonzero(~is_plain[start:]) + start).tolist():
        if line >= at:
            record = record_at(lines, line, form.delimiter, width)
            at = line + record.lines
            is_plain[line:at] = False
            yield record


def _ragged(record: Record) -> Ragged:
    cells = tuple(readable(cell) for cell in record.cells)
    return Ragged(record.line, cells, readable(record.raw), record.fault or "")


def _cells(found: list[Record], names: list[str]) -> pl.DataFrame:
    columns = list(zip(*(record.cells for record in found), strict=True)) or [()] * len(names)
    return cell_frame([record.line for record in found], dict(zip(names, columns, strict=True)))


def cell_frame(lines: list[int], columns: dict[str, tuple[str, ...]]) -> pl.DataFrame:
    """Return lines and text columns as a frame with empty cells null."""
    return pl.DataFrame(
        {"line": pl.Series(lines, dtype=pl.Int64)}
        | {name: pl.Series(values, dtype=pl.String) for name, values in columns.items()}
    ).with_columns(pl.col(pl.String).replace("", None))
