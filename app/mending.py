"""Rows with faults, each with a place to type what a cell should say."""

from collections.abc import Callable, Sequence

import streamlit as st

from app import cache, frame
from pipeline.errors import HedgerowError
from pipeline.logbook.mend import Mending, mend_cell, mend_row
from pipeline.show import words_problems as words
from pipeline.show.faults import FaultyRow

_AT_ONCE = 8  # rows shown before more are asked for
_OUTCOME, _SHOWN = "mending_outcome", "mending_shown"
_WHOLE_ROW = "the whole row"


def rows(found: Callable[[int], Sequence[FaultyRow]], number: int) -> None:
    """Show rows with what is wrong with them, offer to mend each, and say what became of one.

    Parameters
    ----------
    found : callable
        Gives so many of them, those whose mending helps most first.
    number : int
        How many there are.
    """
    done = st.session_state.pop(_OUTCOME, None)
    shown = found(st.session_state.setdefault(_SHOWN, _AT_ONCE))
    if done and done["place"] not in map(words.place, shown):
        _told(done)
    for row in shown:
        with st.container(border=True):
            _row(row)
            if done and done["place"] == words.place(row):
                _told(done)
    left = number - len(shown)
    if left > 0:
        st.button(f"Show more ({left} left)", on_click=_more)


def _told(done: dict) -> None:
    (frame.done if done["is_written"] else frame.refused)(done["text"])


def _more() -> None:
    st.session_state[_SHOWN] += _AT_ONCE


def _row(row: FaultyRow) -> None:
    frame.small_heading(words.place(row))
    if row.cells:
        frame.as_written(words.shown_cells(row))
    elif row.raw is not None:
        st.code(row.raw, language=None, wrap_lines=True)
    frame.bullets(words.fault_lines(row))
    if elsewhere := words.mend_elsewhere(row):
        frame.say(elsewhere)
        return
    with st.expander("Mend it here"):
        _form(row)


def _form(row: FaultyRow) -> None:
    place = f"{row.file} {row.line}"
    column = ""
    if row.cells:
        columns = [*row.marked, *(name for name in row.cells if name not in row.marked)]
        column = st.selectbox("Cell", columns, key=f"cell {place}")
    was = (row.cells.get(column) if row.cells else row.raw) or ""
    # What stands there is part of the name: once it has changed, the field begins anew.
    key = f"now {place} {column} {was}"
    with st.form(f"form {place}", border=False):
        label = f"{frame.shown(column or _WHOLE_ROW)}, as it should be"
        field = st.text_area if "\n" in was else st.text_input
        field(label, was, key=key)
        st.form_submit_button(
            f"Write it to {frame.shown(row.file)}", on_click=_write, args=(row, column, was, key)
        )


def _write(row: FaultyRow, column: str, was: str, key: str) -> None:
    """Write what was typed, if the row still stands there as it was shown."""
    now, place = st.session_state[key], words.place(row)
    try:
        done = _mended(row, column, was, now)
    except HedgerowError as refusal:
        is_written, text = False, str(refusal)
    else:
        is_written, problems = done.is_written, done.problems.to_dicts()
        text = (
            words.mended_answer(place, column, now.strip(), problems)
            if is_written
            else words.refused_answer(problems)
        )
    st.session_state[_OUTCOME] = {"place": place, "is_written": is_written, "text": text}
    if is_written:
        # The row may be gone from where somebody is looking.
        frame.passing(text)


def _mended(row: FaultyRow, column: str, was: str, now: str) -> Mending:
    line = row.line or 0
    if column:
        return mend_cell(cache.folder(), row.file, line, column, was, now, row=row.cells)
    return mend_row(cache.folder(), row.file, line, was, now)
