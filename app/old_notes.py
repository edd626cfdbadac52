"""Old notes brought in: uploaded, looked through, asked about, written.

An upload stays in memory, and its name serves for showing only: what is written are the logbook's
own files, under names of their own.
"""

from collections.abc import Sequence
from hashlib import sha256

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from app import cache, frame, old_notes_asked, old_notes_columns
from app.desk import Looked, Notes, Told, desk
from pipeline.errors import HedgerowError
from pipeline.logbook.importing import Brought, bring_in, look_at, sheet_data, sheets_of
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.uploads import MOST_MB, refuse_long, told_apart
from pipeline.show import words_import as words
from pipeline.show import words_import_page as page_words

_ENDINGS = ["csv", "txt", "tsv", "xlsx", "xlsm"]


def old_notes() -> None:
    """Take old notes in, show what was found in them, ask, and write."""
    notes = desk().notes
    frame.section(page_words.BRING_IN)
    frame.say(page_words.invitation(MOST_MB))
    uploads = st.file_uploader(
        page_words.UPLOAD,
        type=_ENDINGS,
        accept_multiple_files=True,
        max_upload_size=MOST_MB,
        key="old notes",
    )
    looked = _looked(uploads, notes)
    for refusal in looked.refusals:
        frame.refused(refusal)
    if looked.brought:
        _found(looked)
    _told(notes)


def _looked(uploads: Sequence[UploadedFile], notes: Notes) -> Looked:
    """Look at the uploads by the answers so far; say in words what cannot be read."""
    state = _state(uploads, notes)
    if notes.looked.state != state:
        refusals: list[str] = []
        with st.spinner("Looking through your notes …"):
            sheets = _sheets(uploads, notes, refusals)
            brought = _brought(sheets, notes, refusals)
        notes.looked = Looked(state, brought, refusals)
    return notes.looked


def _state(uploads: Sequence[UploadedFile], notes: Notes) -> str:
    """Return what changes whenever something else would be found."""
    files = [(upload.name, upload.file_id) for upload in uploads]
    said = repr((files, notes.said, notes.codecs, notes.turn, cache.mark()))
    return sha256(said.encode(errors="replace")).hexdigest()


def _sheets(uploads: Sequence[UploadedFile], notes: Notes, refusals: list[str]) -> list[Sheet]:
    sheets: list[Sheet] = []
    for name, upload in zip(told_apart([one.name for one in uploads]), uploads, strict=True):
        try:
            found = sheets_of(name, upload.getvalue(), cache.folder(), notes.codecs.get(name, ""))
            for sheet in found:
                refuse_long(sheet)
            sheets.extend(found)
        except HedgerowError as refusal:
            refusals.append(str(refusal))
    return sheets


def _brought(sheets: list[Sheet], notes: Notes, refusals: list[str]) -> list[Brought]:
    try:
        return look_at(sheets, cache.folder(), notes.said)
    except HedgerowError as refusal:
        refusals.append(str(refusal))
        return []


def _found(looked: Looked) -> None:
    """Show what was found, sheet by sheet, and offer to write it."""
    sheets = [sheet_data(one) for one in looked.brought]
    frame.say(f"{words.found_answer(sheets)} {words.would_write(sheets)}")
    for one, sheet in zip(looked.brought, sheets, strict=True):
        with st.expander(
            frame.shown(page_words.sheet_title(sheet)),
            expanded=len(sheets) == 1,
            key=old_notes_asked.widget_key(one, "sheet"),
        ):
            _sheet(one, sheet)
    if any(sheet["is_blocked"] for sheet in sheets):
        frame.refused(page_words.BLOCKED)
        return
    st.button(
        "Write into the logbook",
        key=f"bring in {desk().notes.turn}",
        type="primary",
        on_click=_bring_in,
        args=(looked, desk().notes.turn),
    )


def _sheet(one: Brought, sheet: dict) -> None:
    """Show one sheet: how it was read, what is asked, what would be written."""
    frame.say(words.source_line(sheet))
    frame.bullets(words.counts_lines(sheet))
    _lines("Stop and look", words.caution_lines(sheet["cautions"]))
    old_notes_asked.questions(one, sheet)
    frame.small_heading("What each column is taken for")
    frame.wide_listing(words.columns_listing(sheet))
    old_notes_columns.change(one)
    cells = sheet["cells"]
    _lines("Held back until you say", words.kept_back_lines(cells["held"]))
    _lines("No value, counted as missing", words.kept_back_lines(cells["rejected"]))
    _lines("Read otherwise than written", words.conversion_lines(cells["converted"]))
    _lines("Lines set aside", words.aside_lines(sheet["set_aside"]))
    _lines("Written, and set aside until filled in", words.waiting_lines(sheet["waiting"]))
    for name, rows in sheet["rows"].items():
        frame.small_heading(page_words.rows_title(name, len(rows)))
        frame.wide_listing(words.rows_listing(rows))


def _lines(title: str, lines: Sequence[str]) -> None:
    if lines:
        frame.small_heading(page_words.counted_title(title, len(lines)))
        frame.bullets(page_words.first_of(lines))


def _bring_in(looked: Looked, turn: int) -> None:
    """Write what was shown; if an answer has changed meanwhile, show it first."""
    at_desk = desk()
    notes = at_desk.notes
    uploads = st.session_state.get("old notes") or []
    with at_desk.lock:
        if turn != notes.turn:
            return
        if looked.state != _state(uploads, notes):
            notes.told = Told(False, "notes", page_words.CHANGED)
            return
        try:
            bring_in(looked.brought, cache.folder())
        except HedgerowError as refusal:
            notes.told = Told(False, "notes", page_words.NOT_WRITTEN, [str(refusal)])
        else:
            notes.written = [sheet_data(one) for one in looked.brought]
            notes.told = Told(True, "notes", words.written_answer(notes.written))
            notes.turn += 1


def _told(notes: Notes) -> None:
    """Say what was written, where the answers are kept, and what comes next."""
    if notes.told is None:
        return
    (frame.done if notes.told.is_written else frame.refused)(notes.told.text)
    frame.bullets(notes.told.lines)
    if not notes.told.is_written:
        return
    for sheet in notes.written:
        frame.bullets(words.outcome_lines(sheet["written"]))
        frame.say(words.kept_where(sheet))
    frame.say(page_words.next_line(notes.written))
    frame.link("shelf", "What is on the shelf?")
