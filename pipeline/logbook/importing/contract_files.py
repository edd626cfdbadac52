"""One of the logbook's own files while an import changes it: rows out, rows in, the rest kept."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.appending import appended, encoded, heading_line, row_text
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.decoding import Decoded, decode
from pipeline.logbook.folder import files_there
from pipeline.logbook.headings import contract_name, find_heading
from pipeline.logbook.limits import read_bounded
from pipeline.logbook.records import Record, records, split_line, split_lines

_WORDS = frozenset({"text", "id", "name", "choice", "form", "yes_no", "faults", "day", "moment"})

_MOST_LINES = 20


@dataclass
class ContractFile:
    """A file's bytes and how they are laid out; `file` is what it is called in its folder."""

    name: str
    path: Path
    data: bytes
    file: str

    def _layout(self) -> tuple[Decoded, list[str], int, str, list[str]]:
        decoded = decode(self.data, self.path.name)
        at, delimiter = find_heading(decoded.text, self.name, self.path.name)
        lines = split_lines(decoded.text)
        columns = [contract_name(cell)[0] for cell in split_line(lines[at], delimiter)]
        return decoded, lines, at, delimiter, columns

    def _records(self) -> tuple[list[Record], list[str]]:
        _, lines, at, delimiter, columns = self._layout()
        return list(records(lines, at + 1, delimiter, len(columns))), columns

    def rows(self) -> list[dict[str, str]]:
        """Return the sound rows by the contract's columns, blank cells left out."""
        found, columns = self._records()
        return [_row(record, columns) for record in found if record.fault is None]

    def remove(self, rows: Sequence[Mapping[str, str]]) -> int:
        """Take out rows that stand there exactly so; return how many there were."""
        if not rows:
            return 0
        gone = Counter(frozenset(row.items()) for row in rows)
        found, columns = self._records()
        decoded, lines, *_ = self._layout()
        drop: set[int] = set()
        for record in found:
            key = frozenset(_row(record, columns).items())
            if record.fault is None and gone[key] > 0:
                gone[key] -= 1
                drop.update(range(record.line - 1, record.line - 1 + record.lines))
        kept = [line for at, line in enumerate(lines) if at not in drop]
        self._encode(decoded, _joined(kept, decoded.text))
        return sum(at in drop for at in {record.line - 1 for record in found})

    def append(self, rows: Sequence[Mapping[str, str]]) -> None:
        """Put rows at the end, with the file's own delimiter, and columns it lacks added."""
        if not rows:
            return
        used = {column for row in rows for column in row}
        first = {name: rows[0].get(name, "") for name in column_names(self.name) if name in used}
        self.data = appended(self.data, self.name, self.path.name, first)
        decoded, _, _, delimiter, columns = self._layout()
        end = "\r\n" if "\r\n" in decoded.text else "\n"
        text = "".join(
            row_text([row.get(column, "") for column in columns], delimiter) + end
            for row in rows[1:]
        )
        self._encode(decoded, decoded.text + text)

    def _encode(self, decoded: Decoded, text: str) -> None:
        self.data = encoded(decoded, text, self.path.name)

    def as_stored(self, row: Mapping[str, str], decimal: str) -> dict[str, str]:
        """Return a row as it stands in this logbook: its decimal mark, no outer blanks."""
        kinds = {column.name: column.kind for column in FILES[self.name]}
        stored = {}
        for column, text in row.items():
            if decimal == "," and kinds[column] not in _WORDS:
                text = re.sub(r"(?<![0-9])\.(?=[0-9])|(?<=[0-9])\.(?=[0-9])", ",", text)
            if text.strip():
                stored[column] = _harmless(_on_lines(text.strip()))
        return stored


def _harmless(text: str) -> str:
    """Put a word before a text that a spreadsheet would run as a formula."""
    return f"written as {text}" if text.startswith(("=", "@")) else text


def _on_lines(text: str) -> str:
    """Keep line breaks only where the lines could not be taken for rows of their own."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    is_plain = not any(mark in line for line in lines[1:] for mark in ',;\t|"')
    return ("\n" if is_plain and len(lines) < _MOST_LINES else " / ").join(lines)


def _row(record: Record, columns: Sequence[str]) -> dict[str, str]:
    return {
        column: cell.strip()
        for column, cell in zip(columns, record.cells, strict=False)
        if cell.strip()
    }


def _joined(lines: Sequence[str], like: str) -> str:
    end = "\r\n" if "\r\n" in like else "\n"
    return end.join(lines) + end


def refuse_workbook(folder: Path) -> None:
    """Refuse a logbook that keeps its rows in a workbook: rows are added to CSV files only.

    Raises
    ------
    LogbookError
        If one of its files is a workbook's sheet.
    """
    if folder.is_dir():
        for name in sorted(files_there(folder)):
            read_contract_file(folder, name)


def read_contract_file(folder: Path, name: str) -> ContractFile:
    """Read one of the logbook's files, or begin it with its heading.

    Raises
    ------
    LogbookError
        If the logbook keeps it in a workbook.
    """
    for path in sorted(folder.iterdir()):
        if path.name.lower() == f"{name}.csv":
            return ContractFile(name, path.resolve(), read_bounded(path), path.name)
    if name in files_there(folder):
        raise LogbookError(
            f"{folder} keeps its rows in a workbook, and rows are added to CSV files only. Save "
            "its sheets as CSV first, or import into a new folder."
        )
    file = f"{name}.csv"
    return ContractFile(name, folder / file, heading_line(name), file)
