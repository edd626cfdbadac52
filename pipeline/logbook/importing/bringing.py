"""Importing files into a logbook: find or propose the mapping of each sheet, preview, write.

The command does all of it in one call (`import_files`). The page takes the same steps one by one:
`sheets_of`, then `look_at` for as long as the maker answers questions, then `bring_in`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.file_writing import replace_file
from pipeline.logbook.importing.columns import propose_columns
from pipeline.logbook.importing.contract_files import read_contract_file, refuse_workbook
from pipeline.logbook.importing.mapping_file import read_mapping, write_mapping
from pipeline.logbook.importing.mappings_kept import (
    find_mapping,
    mapping_by_name,
    mapping_text,
    new_mapping,
)
from pipeline.logbook.importing.plan import Answers
from pipeline.logbook.importing.previewing import read_preview
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.proposing import Proposal, propose_sheet, read_sheets
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.writing import FOLDER, Written, write_together, written_before
from pipeline.logbook.limits import read_bounded
from pipeline.logbook.settings import SETTINGS_FILE, read_settings

# What a maker has said on the page, by the sheet's name and heading.
Said = Mapping[tuple[str, str], Answers]


@dataclass
class Brought:
    """One sheet on its way into a logbook.

    Attributes
    ----------
    proposal : Proposal
        What was found in it, with what the mapping says already.
    preview : Preview
        What it would write.
    mapping : pathlib.Path
        Its mapping file.
    is_mapped : bool
        Whether that file was there before.
    said : Answers or None
        What the mapping file or the maker says, without what is only proposed.
    written : Written or None
        What was written, if anything was.
    """

    proposal: Proposal
    preview: Preview
    mapping: Path
    is_mapped: bool
    said: Answers | None = None
    written: Written | None = None

    @property
    def key(self) -> tuple[str, str]:
        """Return by what the maker's answers for this sheet are known."""
        return sheet_key(self.preview.sheet)


def sheet_key(sheet: Sheet) -> tuple[str, str]:
    """Return a sheet's name and what is known of its heading: answers hold for both together."""
    return sheet.name, sheet.fingerprint


def import_files(paths: Sequence[Path], folder: Path) -> list[Brought]:
    """Import files into a logbook: all of them, or none.

    Where a sheet has no mapping file yet, one is proposed and nothing is written.

    Parameters
    ----------
    paths : sequence of pathlib.Path
        Delimited files or workbooks; they are only read.
    folder : pathlib.Path
        The logbook, new or there already.

    Raises
    ------
    LogbookError
        If a file, a mapping file or the logbook cannot be used.
    """
    sheets = [one for path in paths for one in sheets_of(path.name, _bytes(path), folder)]
    brought = look_at(sheets, folder)
    if all(one.is_mapped and not one.preview.is_blocked for one in brought):
        bring_in(brought, folder)
    else:
        for one in brought:
            _keep_mapping(one)
    return brought


def sheets_of(name: str, data: bytes, folder: Path, codec: str = "") -> list[Sheet]:
    """Read the sheets of one file, in the encoding that the maker has confirmed, if any.

    Parameters
    ----------
    name : str
        What the file is called; nothing is ever opened or written by this name.
    data : bytes
        The whole file.
    folder : pathlib.Path
        The logbook, whose mapping files may name the encoding.
    codec : str
        The encoding, if the maker has just said it.

    Raises
    ------
    LogbookError
        If the file cannot be read, or holds nothing.
    """
    sheets = read_sheets(data, name)
    said = codec if sheets[0].is_encoding_guessed and codec else _confirmed_codec(sheets, folder)
    return read_sheets(data, name, said) if said and said != sheets[0].codec else sheets


def look_at(sheets: Sequence[Sheet], folder: Path, said: Said | None = None) -> list[Brought]:
    """Read sheets by their mapping files and by what the maker has said; nothing is written.

    Those that say when a batch began come first, since the others need it.

    Raises
    ------
    LogbookError
        If a mapping file or the logbook cannot be used.
    """
    refuse_workbook(folder)
    known: set[str] = set()
    brought = []
    answers = said or {}
    for sheet in sorted(sheets, key=lambda one: not _has_starts(one, folder, answers)):
        one = _bring(sheet, folder, known, answers.get(sheet_key(sheet)))
        known |= {draft.batch_id for draft in one.preview.drafts if draft.file == "batches"}
        brought.append(one)
    return brought


def bring_in(brought: Sequence[Brought], folder: Path) -> None:
    """Write the mapping of each sheet and its rows into a logbook: all of it, or nothing.

    Raises
    ------
    LogbookError
        If a dangerous dose waits to be confirmed, or the folder cannot be written to.
    """
    mappings = {f"{FOLDER}/{one.mapping.name}": _new_mapping_text(one) for one in brought}
    changed = {name: text for name, text in mappings.items() if text is not None}
    written = write_together([one.preview for one in brought], folder, changed)
    for one, what in zip(brought, written, strict=True):
        one.written = what


def _has_starts(sheet: Sheet, folder: Path, said: Said) -> bool:
    """Whether a sheet says when its batches began: it is read before those that do not."""
    if (answers := said.get(sheet_key(sheet))) is not None:
        return answers.layout == "batches"
    path = find_mapping(sheet, folder)
    if path is not None:
        return _answers(path, sheet).layout == "batches"
    return propose_columns(sheet)[1] == "batches"


def _bytes(path: Path) -> bytes:
    try:
        path.stat()
    except OSError as error:
        raise LogbookError(f"{path} cannot be opened: {error.strerror}. Check the name.") from error
    return read_bounded(path)


def _confirmed_codec(sheets: Sequence[Sheet], folder: Path) -> str:
    """Return the encoding that a mapping file gives in place of the guessed one, or nothing."""
    sheet = sheets[0]
    if not sheet.is_encoding_guessed:
        return ""
    path = find_mapping(sheet, folder) or mapping_by_name(sheet, folder)
    return _answers(path, None).of("encoding") if path else ""


def _answers(path: Path, sheet: Sheet | None) -> Answers:
    return read_mapping(mapping_text(path), path.name, sheet)


def _bring(sheet: Sheet, folder: Path, known: set[str], said: Answers | None) -> Brought:
    found = find_mapping(sheet, folder)
    there = known | _their_batches(folder, sheet.fingerprint)
    given = said or (_answers(found, sheet) if found else None)
    proposal = propose_sheet(sheet, given, known_batches=there)
    answers = _completed(given, proposal)
    preview = read_preview(sheet, answers, known_batches=there, logbook_scale=_scale(folder))
    mapping = found or new_mapping(sheet, folder)
    return Brought(proposal, preview, mapping, found is not None, given)


def _completed(answers: Answers | None, proposal: Proposal) -> Answers:
    """Return the maker's answers, with what is new in this sheet proposed beside them."""
    proposed = proposal.answers()
    if answers is None:
        return proposed
    return replace(
        answers,
        general=proposed.general | answers.general,
        starts=proposed.starts | answers.starts,
        ingredients=proposed.ingredients | answers.ingredients,
        cells=proposed.cells | answers.cells,
    )


def _their_batches(folder: Path, fingerprint: str) -> set[str]:
    """Return the logbook's batches that earlier imports of such a sheet did not write."""
    if not (folder / SETTINGS_FILE).exists() and not (folder / "batches.csv").exists():
        return set()
    before = written_before(folder, fingerprint).get("batches", [])
    ours = {entry["row"].get("batch_id", "") for entry in before}
    rows = read_contract_file(folder, "batches").rows()
    return {row["batch_id"] for row in rows if "batch_id" in row} - ours


def _scale(folder: Path) -> str:
    if not (folder / SETTINGS_FILE).exists():
        return ""
    return f"{read_settings(folder)[0].score_out_of:g}"


def _new_mapping_text(one: Brought) -> bytes | None:
    """Return a mapping file if it is new, or if the sheet has brought new questions."""
    answers = one.preview.answers
    if one.is_mapped and _answers(one.mapping, one.preview.sheet) == answers:
        return None
    return write_mapping(one.proposal, answers).encode()


def _keep_mapping(one: Brought) -> None:
    text = _new_mapping_text(one)
    if text is None:
        return
    try:
        one.mapping.parent.mkdir(parents=True, exist_ok=True)
        replace_file(one.mapping, text)
    except OSError as error:
        raise LogbookError(f"{one.mapping} cannot be written: {error.strerror}.") from error
