"""One file of a logbook as text cells: every record with its line, none lost.

The delimiter is told from the heading, never from the rows.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import polars as pl

from pipeline.logbook.decoding import DAMAGED, Decoded, decode, readable
from pipeline.logbook.headings import Heading, find_heading, read_headings, unique_names
from pipeline.logbook.plain import Plain, has_outer_blanks, plain_form, read_plain
from pipeline.logbook.records import Record, records, split_line, split_lines


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
    has_outer_blanks : bool
        Whether a cell may begin or end with a blank.
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
    has_outer_blanks: bool = True

    @cached_property
    def stripped(self) -> pl.DataFrame:
        """The cells without outer blanks, null where nothing is left."""
        if not self.has_outer_blanks:
            return self.cells
        inner = self.cells.with_columns(pl.col(pl.String).str.strip_chars())
        emptied = [cells.name for cells in inner.iter_columns() if _has_empty(cells)]
        return inner.with_columns(pl.col(emptied).replace("", None))

    @property
    def rows_read(self) -> int:
        """Records with any content, sound or not."""
        return self.cells.height + len(self.ragged)


def _has_empty(cells: pl.Series) -> bool:
    return cells.dtype == pl.String() and bool((cells == "").any())


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
        If the file is no text, is empty, or its heading lacks a required column or names one twice.
    """
    decoded = decode(data, file)
    heading_at, delimiter = find_heading(decoded.text, name, file)
    if heading_at == 0 and (plain := plain_form(data, decoded, delimiter)) is not None:
        table = _plain_table(plain, decoded, name, file)
        if table is not None:
            return table
    return _careful_table(decoded, name, file, heading_at, delimiter)


def _plain_table(plain: Plain, decoded: Decoded, name: str, file: str) -> SourceTable | None:
    first = split_lines(_first_line(decoded.text))[0]
    headings = read_headings(split_line(first, plain.delimiter), name, file)
    cells = read_plain(plain, unique_names(headings))
    if cells is None:
        return None
    return SourceTable(
        name=name,
        file=file,
        headings=headings,
        cells=cells,
        lines=cells.height + 1,
        encoding=decoded.label,
        delimiter=plain.delimiter,
        has_outer_blanks=not decoded.text.isascii() or has_outer_blanks(plain),
        is_encoding_guessed=decoded.is_guessed,
        has_damage=DAMAGED in decoded.text,
    )


def _first_line(text: str) -> str:
    end = text.find("\n")
    return text if end < 0 else text[: end + 1]


def _careful_table(
    decoded: Decoded, name: str, file: str, heading_at: int, delimiter: str
) -> SourceTable:
    lines = split_lines(decoded.text)
    headings = read_headings(split_line(lines[heading_at], delimiter), name, file)
    found = list(records(lines, heading_at + 1, delimiter, len(headings)))
    filled = [record for record in found if any(cell.strip() for cell in record.cells)]
    sound = [record for record in filled if record.fault is None]
    ragged = [record for record in filled if record.fault is not None]
    return SourceTable(
        name=name,
        file=file,
        headings=headings,
        cells=_cells(sound, unique_names(headings)),
        ragged=tuple(_ragged(record) for record in ragged),
        lines=len(lines),
        blank_lines=len(found) - len(filled),
        encoding=decoded.label,
        delimiter=delimiter,
        is_encoding_guessed=decoded.is_guessed,
        has_damage=DAMAGED in decoded.text,
    )


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
