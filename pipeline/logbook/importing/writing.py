"""Writing an import into a logbook: whole or not at all, twice without doubling, nothing edited.

Rows that an earlier import of the same sheet wrote are replaced if they stand there unchanged; rows
that anybody else wrote are never touched. A row that contradicts one of those is not written.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.file_writing import IMPORTS, replace_files, sole_writer
from pipeline.logbook.importing.contract_files import ContractFile, read_contract_file
from pipeline.logbook.importing.drafts import Draft
from pipeline.logbook.importing.plan import DATED
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.report import report_text
from pipeline.logbook.settings import read_settings
from pipeline.logbook.starting import prepare_folder

FOLDER = IMPORTS
# By file: the rows written, each with the row of the old sheet it came from.
Memory = dict[str, list[dict]]
_LONGEST_NAME = 45  # [letters] even of four bytes each they leave room for every ending
OUTCOMES = ("written", "already_there", "replaced", "contradicted", "changed_since")
_KEYS = {
    "batches": ("batch_id",),
    "additions": ("batch_id", "added_on", "kind", "ingredient"),
    "readings": ("batch_id", "taken_on", "gravity"),
    "transfers": ("batch_id", "moved_on", "step"),
    "tastings": ("batch_id", "tasted_on", "taster"),
}


@dataclass
class Written:
    """What an import wrote.

    Attributes
    ----------
    files : dict
        By file, how many rows had each of `OUTCOMES`.
    contradicted : list of Draft
        Rows that were not written, because the logbook says something else there.
    report : pathlib.Path
        The list of every cell.
    """

    files: dict[str, dict[str, int]] = field(default_factory=dict)
    contradicted: list[Draft] = field(default_factory=list)
    report: Path = Path()


def safe_name(sheet: str) -> str:
    """Return a sheet's name as part of a file's name."""
    kept = "".join(letter if letter.isalnum() or letter in ".-_ " else "_" for letter in sheet)
    name = kept.strip(". ") or "sheet"
    if len(name) <= _LONGEST_NAME:
        return name
    # Two long names may differ only at their ends.
    return f"{name[:_LONGEST_NAME]}-{hashlib.sha256(sheet.encode()).hexdigest()[:8]}"


def write(preview: Preview, folder: Path) -> Written:
    """Write one sheet into a logbook, new or there already; as `write_together`."""
    return write_together([preview], folder)[0]


def write_together(
    previews: Sequence[Preview], folder: Path, beside: Mapping[str, bytes] | None = None
) -> list[Written]:
    """Write sheets into a logbook, new or there already: all of them or none.

    Parameters
    ----------
    previews : sequence of Preview
        What to write, in this order.
    folder : pathlib.Path
        The logbook.
    beside : mapping of str to bytes, optional
        Files to replace with them, by the path inside the folder.

    Raises
    ------
    LogbookError
        If a dangerous dose is not confirmed yet, or the folder cannot be written to.
    """
    if any(preview.is_blocked for preview in previews):
        raise LogbookError(
            "nothing was written: a dose in these notes is so high that it must be confirmed first "
            "(large_doses in the mapping file)."
        )
    folder = Path(folder)
    try:
        (folder / FOLDER).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LogbookError(
            f"{folder} cannot be written to: {error.strerror or error}. Make room or give yourself "
            "write access, and try again."
        ) from error
    scales = [preview.answers.of("score_out_of") for preview in previews]
    contents = dict(beside or {})
    with sole_writer(folder):
        prepare_folder(folder, {"score_out_of": next(filter(None, scales), "")})
        written = [_written(preview, folder, contents) for preview in previews]
        replace_files(folder, contents)
    return written


def _written(preview: Preview, folder: Path, contents: dict[str, bytes]) -> Written:
    """Change the files' contents by one sheet, from what the sheets before it have made of them."""
    decimal = read_settings(folder)[0].decimal
    name = safe_name(preview.sheet.name)
    memory = _memory(folder, preview.sheet.fingerprint)
    before = _remembered(contents.get(_inside(memory)) or _read(memory))
    sources = {draft.source for draft in preview.drafts}
    written = Written(report=folder / FOLDER / f"{name}.report.csv")
    remembered: Memory = {}
    for file in DATED:
        drafts = [draft for draft in preview.drafts if draft.file == file]
        if drafts or before.get(file):
            source = read_contract_file(folder, file)
            source.data = contents.get(source.file, source.data)
            earlier = before.get(file, [])
            gone = [entry for entry in earlier if entry["source"] not in sources]
            again = [entry["row"] for entry in earlier if entry["source"] in sources]
            # What came from rows that are not in this sheet stays as it is.
            remembered[file] = gone + _added(source, drafts, again, written, decimal)
            contents[source.file] = source.data
    contents[_inside(written.report)] = ("\ufeff" + report_text(preview)).encode()
    contents[_inside(memory)] = json.dumps(remembered, ensure_ascii=False, indent=1).encode()
    return written


def _inside(path: Path) -> str:
    return f"{FOLDER}/{path.name}"


def _added(
    source: ContractFile,
    drafts: Sequence[Draft],
    before: Sequence[dict[str, str]],
    written: Written,
    decimal: str,
) -> list[dict]:
    """Change one file's bytes by an import; return the rows that are this import's."""
    rows = [(draft, source.as_stored(draft.written(), decimal)) for draft in drafts]
    wanted = {_frozen(row) for _, row in rows}
    counts = Counter(replaced=source.remove([row for row in before if _frozen(row) not in wanted]))
    ours = Counter(_frozen(row) for row in before)
    there = Counter(_frozen(row) for row in source.rows())
    theirs = _by_key(source, [row for row in source.rows() if not ours[_frozen(row)]])
    new: list[dict[str, str]] = []
    mine: list[dict] = []
    for draft, row in rows:
        becomes = _becomes(source.name, row, there, ours, theirs)
        counts[becomes] += 1
        if becomes == "written":
            new.append(row)
        if becomes == "contradicted":
            written.contradicted.append(draft)
        elif becomes == "written" or ours[_frozen(row)]:
            mine.append({"row": row, "source": draft.source})
    source.append(new)
    written.files[source.path.name] = {name: counts[name] for name in OUTCOMES}
    return mine


def _becomes(
    name: str,
    row: Mapping[str, str],
    there: Counter,
    ours: Counter,
    theirs: Mapping[tuple[str, ...], Sequence[Mapping[str, str]]],
) -> str:
    """Return what becomes of one row, given what the logbook has and what was written before."""
    if there[_frozen(row)] > 0:
        there[_frozen(row)] -= 1
        return "already_there"
    if ours[_frozen(row)]:
        # It was written once and is gone or edited: the maker's hand counts.
        return "changed_since"
    same = theirs.get(_key(name, row), ())
    if any(_says_as_much(other, row) for other in same):
        return "already_there"
    return "contradicted" if same else "written"


def _says_as_much(other: Mapping[str, str], row: Mapping[str, str]) -> bool:
    return all(other.get(column) == text for column, text in row.items() if column != "notes")


def _frozen(row: Mapping[str, str]) -> frozenset:
    return frozenset((column, text) for column, text in row.items() if text)


def _key(name: str, row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(row.get(column, "").strip().lower() for column in _KEYS[name])


def _by_key(
    source: ContractFile, rows: Sequence[Mapping[str, str]]
) -> dict[tuple[str, ...], list[Mapping[str, str]]]:
    """Return rows by their keys; one without a day says too little to contradict another."""
    found: dict[tuple[str, ...], list[Mapping[str, str]]] = {}
    for row in rows:
        if row.get(DATED[source.name]) or source.name == "batches":
            found.setdefault(_key(source.name, row), []).append(row)
    return found


def written_before(folder: Path, fingerprint: str) -> Memory:
    """Return the rows that earlier imports of sheets with this heading wrote, by file."""
    return _remembered(_read(_memory(folder, fingerprint)))


def _memory(folder: Path, fingerprint: str) -> Path:
    return folder / FOLDER / f"{fingerprint}.written.json"


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _remembered(memory: bytes) -> Memory:
    try:
        found = json.loads(memory)
    except ValueError:
        return {}
    if not isinstance(found, dict):
        return {}
    return {
        file: [entry for entry in entries if {"row", "source"} <= entry.keys()]
        for file, entries in found.items()
    }
