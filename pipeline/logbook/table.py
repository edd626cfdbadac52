"""One file of a logbook as text cells: every record with its line, none lost.

The delimiter is told from the heading, never from the rows.
"""

import re
from dataclasses import dataclass
from typing import NamedTuple

import polars as pl

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.decoding import Decoded, decode, readable
from pipeline.logbook.plain import plain_bytes, read_plain
from pipeline.logbook.records import Record, records, split_line, split_lines
from pipeline.logbook.units import Unit, find_unit

DELIMITERS = (",", ";", "\t")
_SEPARATOR_LINE = re.compile(r'"?sep=(.)"?', re.IGNORECASE)
_HEADING_UNIT = re.compile(r"^(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^)\]]+?)\s*[)\]]$")


class Heading(NamedTuple):
    """One column as its heading names it; `unit` if the heading says one."""

    name: str
    written: str
    unit: Unit | None = None
    is_known: bool = True


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

    @property
    def rows_read(self) -> int:
        """Records with any content, sound or not."""
        return self.cells.height + len(self.ragged)


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
    if heading_at == 0 and (plain := plain_bytes(data, decoded, delimiter)) is not None:
        return _plain_table(plain, decoded, name, file, delimiter)
    return _careful_table(decoded, name, file, heading_at, delimiter)


def _plain_table(
    plain: memoryview, decoded: Decoded, name: str, file: str, delimiter: str
) -> SourceTable:
    headings = read_headings(split_lines(_first_line(decoded.text))[0].split(delimiter), name, file)
    cells = read_plain(plain, delimiter, unique_names(headings))
    return SourceTable(
        name=name,
        file=file,
        headings=headings,
        cells=cells,
        lines=cells.height + 1,
        encoding=decoded.label,
        delimiter=delimiter,
        is_encoding_guessed=decoded.is_guessed,
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


def find_heading(text: str, name: str, file: str) -> tuple[int, str]:
    """Return the index of the heading line and the delimiter it uses.

    Raises
    ------
    LogbookError
        If the file holds no line.
    """
    at = 0
    for line in _first_lines(text):
        if (separator := _SEPARATOR_LINE.fullmatch(line.strip())) is not None and at == 0:
            # Some spreadsheets say on a line of its own which delimiter follows.
            at += 1
            if separator[1] not in DELIMITERS:
                break
            continue
        if line.strip():
            return at, max(DELIMITERS, key=lambda mark: _known_columns(line, mark, name))
        at += 1
    raise LogbookError(
        f"{file} is empty. Its first line must name the columns: "
        f"{', '.join(required_columns(name))}."
    )


def _first_lines(text: str) -> list[str]:
    return split_lines(text[:100_000])


def _known_columns(line: str, delimiter: str, name: str) -> tuple[int, int]:
    cells = split_line(line, delimiter)
    known = sum(contract_name(cell)[0] in column_names(name) for cell in cells)
    return known, len(cells)


def required_columns(name: str) -> list[str]:
    """Return the columns a file cannot do without."""
    return [column.name for column in FILES[name] if column.is_required]


def contract_name(written: str) -> tuple[str, Unit | None]:
    """Return a heading's contract name and the unit it says, as in `volume (L)`."""
    text = written.strip()
    unit = None
    if (match := _HEADING_UNIT.match(text)) is not None and (unit := find_unit(match["unit"])):
        text = match["name"]
    return "_".join(text.lower().replace("-", " ").replace("_", " ").split()), unit


def read_headings(written: list[str], name: str, file: str) -> tuple[Heading, ...]:
    """Match the heading of a file to the contract.

    Raises
    ------
    LogbookError
        If a required column is missing or a column of the contract stands there twice.
    """
    headings = tuple(_heading(readable(text), name) for text in _without_empty_end(written))
    known = [heading.name for heading in headings if heading.is_known]
    missing = [column for column in required_columns(name) if column not in known]
    if missing:
        raise LogbookError(
            f"{file} must have the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}; "
            f"its first line names {', '.join(h.written for h in headings) or 'none'}. "
            f"All of these are needed: {', '.join(required_columns(name))}."
        )
    twice = sorted({column for column in known if known.count(column) > 1})
    if twice:
        raise LogbookError(
            f"{file} names the column {', '.join(twice)} twice, and only one can be meant. "
            "Rename or remove one of them."
        )
    return headings


def _without_empty_end(written: list[str]) -> list[str]:
    kept = list(written)
    while kept and not kept[-1].strip():
        kept.pop()
    return kept


def _heading(written: str, name: str) -> Heading:
    column, unit = contract_name(written)
    if column in column_names(name):
        return Heading(column, written, unit)
    return Heading(written.strip(), written, None, is_known=False)


def unique_names(headings: tuple[Heading, ...]) -> list[str]:
    """Return the raw layer's column names: unknown ones as written, numbered where they collide."""
    names: list[str] = []
    for position, heading in enumerate(headings, start=1):
        name = heading.name or f"column {position}"
        taken = {"line", "is_set_aside", *names, *(h.name for h in headings if h.is_known)}
        names.append(name if heading.is_known or name not in taken else f"{name} ({position})")
    return names
