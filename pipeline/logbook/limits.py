"""What a file may hold at most.

More than this is no logbook but an accident or an attack, and reading it would tie up the machine;
so it is refused at once, with the limit named. Each limit is far above what a maker's whole life
fills.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.records import Record

MOST_BYTES = 1_000_000_000  # of one file: twenty million readings
LONGEST_LINE = 200_000  # [bytes] a hundred pages of notes in one row
MOST_COLUMNS = 1_000
MOST_FAULTY_ROWS = 20_000  # that cannot be split into the cells of the heading
MOST_UNPACKED = 200_000_000  # [bytes] a workbook is packed, and a small file can hold very much
MOST_PARTS = 2_000  # of a packed workbook: sheets, pictures, settings
MOST_SHEET_CELLS = 5_000_000  # of one sheet, blank ones between filled ones among them
_MEGABYTE = 1_000_000


def read_bounded(path: Path, most: int = MOST_BYTES) -> bytes:
    """Read a file, unless it is longer than any file of its kind.

    Raises
    ------
    LogbookError
        If it cannot be opened, is no file, or is too long.
    """
    try:
        if not path.is_file():
            raise LogbookError(f"{path.name} {_instead_of_a_file(path)}")
        if path.stat().st_size > most:
            raise LogbookError(
                f"{path.name} is longer than {_size(most)}, the most that is read of such a file. "
                "Look at what it holds: a logbook is never that long."
            )
        return path.read_bytes()
    except OSError as error:
        raise LogbookError(
            f"{path.name} cannot be opened: {error.strerror}. Check that it is there and that you "
            "may read it."
        ) from error


def _instead_of_a_file(path: Path) -> str:
    """Say what stands where a file should."""
    if path.is_dir():
        return "is a folder, and must be a file. Rename it, or move it away."
    if path.is_symlink():
        return (
            f"is a link to {path.readlink()}, and nothing can be read there. Mend the link, or put "
            "the file itself in its place."
        )
    if path.exists():
        return "is no file that can be read to its end. Put a plain file in its place."
    return "cannot be opened: it is not there any more. Check what moved it."


def _size(most: int) -> str:
    if most >= _MEGABYTE:
        return f"{most // _MEGABYTE} MB"
    return f"{most // 1000} kB"


def refuse_long_lines(data: bytes, name: str) -> None:
    """Refuse a file with a line that is longer than `LONGEST_LINE`.

    Raises
    ------
    LogbookError
        If there is one, with its number as a text editor counts it.
    """
    at = 0
    while at + LONGEST_LINE < len(data):
        reach = at + LONGEST_LINE
        end = data.rfind(b"\n", at, reach + 1)
        if end < 0:
            end = data.rfind(b"\r", at, reach + 1)
        if end < 0:
            line = _line_number(data, at)
            raise LogbookError(
                f"line {line} of {name} is longer than {LONGEST_LINE // 1000} kB, the most that is "
                "read of one line. Is it a file of another kind, or has it lost its line ends?"
            )
        at = end + 1


def _line_number(data: bytes, at: int) -> int:
    before = data[:at]
    return before.count(b"\n") + before.count(b"\r") - before.count(b"\r\n") + 1


def refuse_many_columns(columns: int, name: str) -> None:
    """Refuse a heading of more than `MOST_COLUMNS` columns.

    Raises
    ------
    LogbookError
        If it has more.
    """
    if columns > MOST_COLUMNS:
        raise LogbookError(
            f"{name} has {columns} columns in its first lines, and at most {MOST_COLUMNS} are "
            "read. Remove those you do not need."
        )


def refuse_many_faulty(found: Iterable[Record], name: str) -> Iterator[Record]:
    """Yield records, unless too many of them cannot be split into the cells of the heading.

    Each of them is read by hand and looks through the lines below it, which takes its time.

    Raises
    ------
    LogbookError
        If there are more than `MOST_FAULTY_ROWS`, with the line of the first.
    """
    faulty: list[int] = []
    for record in found:
        if record.fault is not None:
            faulty.append(record.line)
            if len(faulty) > MOST_FAULTY_ROWS:
                raise LogbookError(
                    f"{name} has more than {MOST_FAULTY_ROWS} rows that do not fit its heading, "
                    f"the first on line {faulty[0]}. Look at that line: is a quotation mark "
                    "missing or another sign used between cells, or is it a file of another kind?"
                )
        yield record
