"""Importing files into a logbook: find or propose the mapping of each sheet, preview, write."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.importing.columns import propose_columns
from pipeline.logbook.importing.contract_files import read_contract_file
from pipeline.logbook.importing.file_swap import replace_file
from pipeline.logbook.importing.mapping_file import fingerprint_of, read_mapping, write_mapping
from pipeline.logbook.importing.plan import Answers
from pipeline.logbook.importing.previewing import read_preview
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.proposing import Proposal, propose_sheet, read_sheets
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.writing import (
    FOLDER,
    Written,
    safe_name,
    write,
    written_before,
)
from pipeline.logbook.settings import SETTINGS_FILE, read_settings

_ENDING = ".mapping.toml"


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
    written : Written or None
        What was written, if anything was.
    """

    proposal: Proposal
    preview: Preview
    mapping: Path
    is_mapped: bool
    written: Written | None = None


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
    sheets = [one for path in paths for one in _sheets(path, folder)]
    known: set[str] = set()
    brought = []
    for sheet in sorted(sheets, key=lambda one: not _has_starts(one, folder)):
        one = _bring(sheet, folder, known)
        known |= {draft.batch_id for draft in one.preview.drafts if draft.file == "batches"}
        brought.append(one)
    is_ready = all(one.is_mapped and not one.preview.is_blocked for one in brought)
    for one in brought:
        _keep_mapping(one)
        if is_ready:
            one.written = write(one.preview, folder)
    return brought


def _has_starts(sheet: Sheet, folder: Path) -> bool:
    """Whether a sheet says when its batches began: it is read before those that do not."""
    path = find_mapping(sheet, folder)
    if path is not None:
        return _answers(path, sheet).layout == "batches"
    return propose_columns(sheet)[1] == "batches"


def _sheets(path: Path, folder: Path) -> list[Sheet]:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise LogbookError(f"{path} cannot be opened: {error.strerror}. Check the name.") from error
    sheets = read_sheets(data, path.name)
    codec = _confirmed_codec(sheets, folder)
    return read_sheets(data, path.name, codec) if codec else sheets


def _confirmed_codec(sheets: Sequence[Sheet], folder: Path) -> str | None:
    """Return the encoding that a mapping file gives in place of the guessed one."""
    sheet = sheets[0]
    if not sheet.is_encoding_guessed:
        return None
    path = find_mapping(sheet, folder) or _by_name(sheet, folder)
    said = _answers(path, None).of("encoding") if path else ""
    return said if said and said != sheet.codec else None


def _by_name(sheet: Sheet, folder: Path) -> Path | None:
    path = folder / FOLDER / f"{safe_name(sheet.name)}{_ENDING}"
    return path if path.exists() else None


def find_mapping(sheet: Sheet, folder: Path) -> Path | None:
    """Return the mapping file for a sheet's heading, if the logbook has one.

    The file of the sheet's own name comes first; else any whose fingerprint is the heading's.
    """
    paths = sorted((folder / FOLDER).glob(f"*{_ENDING}")) if (folder / FOLDER).is_dir() else []
    own = f"{safe_name(sheet.name)}{_ENDING}"
    for path in sorted(paths, key=lambda one: one.name != own):
        if fingerprint_of(_text(path), path.name) == sheet.fingerprint:
            return path
    return None


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise LogbookError(f"{path.name} cannot be read: {error}. Save it as UTF-8.") from error


def _answers(path: Path, sheet: Sheet | None) -> Answers:
    return read_mapping(_text(path), path.name, sheet)


def _bring(sheet: Sheet, folder: Path, known: set[str]) -> Brought:
    found = find_mapping(sheet, folder)
    there = known | _their_batches(folder, sheet.fingerprint)
    answers = _answers(found, sheet) if found else None
    proposal = propose_sheet(sheet, answers, known_batches=there)
    answers = _completed(answers, proposal)
    preview = read_preview(sheet, answers, known_batches=there, logbook_scale=_scale(folder))
    return Brought(proposal, preview, found or _new_mapping(sheet, folder), found is not None)


def _new_mapping(sheet: Sheet, folder: Path) -> Path:
    """Return where to write a sheet's mapping, beside that of another sheet of the same name."""
    name = safe_name(sheet.name)
    path = folder / FOLDER / f"{name}{_ENDING}"
    if path.exists() and not sheet.codec_is_said:
        return folder / FOLDER / f"{name}.{sheet.fingerprint}{_ENDING}"
    return path


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


def _keep_mapping(one: Brought) -> None:
    """Write the mapping file if it is new, or if the sheet has brought new questions."""
    answers = one.preview.answers
    text = write_mapping(one.proposal, answers)
    if (
        one.is_mapped
        and read_mapping(_text(one.mapping), one.mapping.name, one.preview.sheet) == answers
    ):
        return
    try:
        one.mapping.parent.mkdir(parents=True, exist_ok=True)
        replace_file(one.mapping, text.encode())
    except OSError as error:
        raise LogbookError(f"{one.mapping} cannot be written: {error.strerror}.") from error
