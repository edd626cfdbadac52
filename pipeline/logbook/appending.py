"""One row more at the end of a file, in the file's own encoding, delimiter and line ends."""

import csv
import io
from collections.abc import Mapping, Sequence

from pipeline.errors import LogbookError
from pipeline.logbook.contract import column_names
from pipeline.logbook.decoding import Decoded, decode
from pipeline.logbook.headings import contract_name, find_heading
from pipeline.logbook.records import records, split_line, split_lines

_FIRST_SIGNS_OF_FORMULAS = ("=", "@", "\t", "\r")


def heading_line(name: str) -> bytes:
    """Return a file of the contract with nothing but its heading."""
    return (",".join(column_names(name)) + "\n").encode()


def line_count(data: bytes, file: str) -> int:
    """Return the number of lines of a file, as a text editor counts them."""
    return len(split_lines(decode(data, file).text))


def appended(data: bytes, name: str, file: str, cells: Mapping[str, str]) -> bytes:
    """Return a file with one row more.

    Parameters
    ----------
    data : bytes
        The file as it is.
    name, file : str
        The contract's name, and the file as the maker knows it.
    cells : mapping of str to str
        What to write, by the contract's column names. A column that the file does not have yet is
        added at its end.

    Raises
    ------
    LogbookError
        If a cell could run as a formula in a spreadsheet, or the file's encoding lacks a letter.
    """
    refuse_formulas(cells)
    decoded = decode(data, file)
    heading_at, delimiter = find_heading(decoded.text, name, file)
    text = _with_line_end(decoded.text)
    columns = [contract_name(cell)[0] for cell in _heading(text, heading_at, delimiter)]
    added = [column for column in cells if column not in columns]
    if added:
        text = _with_columns(text, heading_at, delimiter, added)
    row = row_text([cells.get(column, "") for column in [*columns, *added]], delimiter)
    return encoded(decoded, text + row + _line_end(text), file)


def refuse_formulas(cells: Mapping[str, str]) -> None:
    """Refuse a cell that a spreadsheet program would run.

    Raises
    ------
    LogbookError
        If a cell begins with a sign that formulas begin with.
    """
    for column, cell in cells.items():
        if cell.startswith(_FIRST_SIGNS_OF_FORMULAS):
            raise LogbookError(
                f"{column} must not begin with {cell[0]!r}, got {cell!r}: a spreadsheet would "
                "run it "
                "as a formula. Put a word before it."
            )


def _line_end(text: str) -> str:
    """Return the line end that the file uses for its first line."""
    first = text.find("\n")
    if first < 0:
        return "\r" if "\r" in text else "\n"
    return "\r\n" if text[first - 1 : first] == "\r" else "\n"


def _with_line_end(text: str) -> str:
    return text if text.endswith(("\n", "\r")) else text + _line_end(text)


def _heading(text: str, heading_at: int, delimiter: str) -> list[str]:
    return split_line(split_lines(text)[heading_at], delimiter)


def _with_columns(text: str, heading_at: int, delimiter: str, added: list[str]) -> str:
    """Add columns at the end of the heading and as many empty cells to every record.

    Rows that have too few or too many cells keep exactly that fault.
    """
    lines = split_lines(text)
    width = len(split_line(lines[heading_at], delimiter))
    empty = delimiter * len(added)
    for record in records(lines, heading_at + 1, delimiter, width):
        if any(cell.strip() for cell in record.cells):
            lines[record.line + record.lines - 2] += empty
    lines[heading_at] += delimiter + delimiter.join(added)
    end = _line_end(text)
    return end.join(lines) + end


def row_text(cells: Sequence[str], delimiter: str) -> str:
    """Return one row as CSV, without the line end."""
    buffer, end = io.StringIO(), "\r\n"
    # The writer puts a cell into quotes for the letters of its line end: both must be told.
    csv.writer(buffer, delimiter=delimiter, lineterminator=end).writerow(cells)
    return buffer.getvalue().removesuffix(end)


def encoded(decoded: Decoded, text: str, file: str) -> bytes:
    """Return a text as the bytes of the file that it was decoded from.

    Raises
    ------
    LogbookError
        If the file's encoding cannot hold a letter of it.
    """
    errors = "surrogateescape" if decoded.codec == "utf-8" else "strict"
    try:
        return decoded.mark + text.encode(decoded.codec, errors=errors)
    except UnicodeEncodeError as error:
        letter = text[error.start]
        raise LogbookError(
            f"{file} is kept as {decoded.label}, which cannot hold {letter!r}. Save the file "
            "as UTF-8 first, or write it without that letter."
        ) from error
