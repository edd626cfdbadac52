"""Forms that add one checked row: in the maker's own notation, written whole or not at all."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import streamlit as st

from app import cache, frame
from app.choosing import found_by, part_of_name
from app.desk import Desk, Told, desk
from pipeline.advice.entries import add_typed, in_dates, likely_batches
from pipeline.errors import HedgerowError
from pipeline.show import words_add as words
from pipeline.show.words_add_forms import Ask, EntryForm, forms
from pipeline.show.words_shelf import batch_title

_SHORT = 168  # [px] two cells side by side on a phone
_WIDE = 352  # [px] a cell that takes a phone's whole line
_FIRST_OF_ALL = "batch"  # what an empty logbook begins with
_NEEDS_NO_BATCH = (_FIRST_OF_ALL, "recipe")
_NAMED = ("kind", "batch")  # in the page's address: the form it opens with, and for which batch


def entry_forms() -> None:
    """Show one form for each kind of entry, and below them what became of the last entry."""
    at_desk, shown = desk(), forms(cache.units())
    number = cache.cellar().table("batches").height
    has_batches = number > 0
    titles = {form.kind: form.title for form in shown}
    _led_here(at_desk, titles)
    at_desk.first_tab = at_desk.first_tab or (
        titles["reading"] if has_batches else titles[_FIRST_OF_ALL]
    )
    part = part_of_name(number, "entered")
    tabs = st.tabs(list(titles.values()), default=at_desk.first_tab)
    for form, tab in zip(shown, tabs, strict=True):
        with tab:
            if has_batches or form.kind in _NEEDS_NO_BATCH:
                _form(form, at_desk, part)
            else:
                frame.next_step(words.NO_BATCH_YET)
    if at_desk.told is not None:
        _told(at_desk.told)


def _led_here(at_desk: Desk, titles: Mapping[str, str]) -> None:
    """Open the form, and choose the batch, that a link to this page was about."""
    kind, batch = (st.query_params.pop(name, "") for name in _NAMED)
    at_desk.first_tab = titles.get(kind, at_desk.first_tab)
    at_desk.batch_id = batch or at_desk.batch_id


def _form(form: EntryForm, at_desk: Desk, part: str) -> None:
    batches = _batches(form.kind, at_desk, part)
    with st.form(f"{form.kind} {at_desk.turn}", border=False):
        _cells(form, form.usual, at_desk, batches)
        with st.expander("More, if you noted it"):
            _cells(form, form.more, at_desk, batches)
        st.form_submit_button(
            "Write it down",
            key=f"write {form.kind} {at_desk.turn}",
            type="primary",
            on_click=_write,
            args=(form, at_desk.turn),
        )


def _batches(kind: str, at_desk: Desk, part: str) -> Mapping[str, str]:
    """Return the batches to choose from by a part of the name, that of the last entry first.

    They stay in their order and words until something is written.
    """
    offered = at_desk.batches.setdefault(kind, {})
    offered.update(cache.kept(lambda: _likely(kind), kind) | offered)
    return found_by(offered, part, () if part else (at_desk.batch_id,))


def _likely(kind: str) -> dict[str, str]:
    likely = likely_batches(cache.cellar(), kind)
    return {batch["batch_id"]: batch_title(batch) for batch in likely}


def _cells(
    form: EntryForm, asked: Sequence[Ask], at_desk: Desk, batches: Mapping[str, str]
) -> None:
    with st.container(horizontal=True):
        for ask in asked:
            is_same_recipe = form.kind == ask.column == "recipe"
            value = at_desk.recipe if is_same_recipe else ask.value
            _cell(replace(ask, value=value), _key(form, at_desk.turn, ask), batches)


def _key(form: EntryForm, turn: int, ask: Ask) -> str:
    return f"{form.kind} {turn} {ask.column}"


def _cell(ask: Ask, key: str, batches: Mapping[str, str]) -> None:
    label = frame.shown(ask.label)
    width: int | Literal["stretch"] = _SHORT if ask.is_short else "stretch"
    if ask.asks == "batch":
        st.selectbox(
            label,
            list(batches),
            format_func=lambda one: batches.get(one, one),
            key=key,
            width=_WIDE,
        )
    elif ask.asks == "choice":
        st.selectbox(
            label,
            ask.choices,
            format_func=lambda choice: choice or words.NOT_SAID,
            key=key,
            width=width,
        )
    elif ask.asks == "choices":
        st.multiselect(label, list(ask.choices), placeholder=words.NOT_SAID, key=key)
    else:
        st.text_input(
            label, ask.value, placeholder=ask.example, autocomplete="off", key=key, width=width
        )


def _typed(form: EntryForm, turn: int) -> dict[str, str]:
    cells = {}
    for ask in (*form.usual, *form.more):
        value = st.session_state.get(_key(form, turn, ask)) or ""
        cells[ask.column] = value if isinstance(value, str) else "; ".join(value)
    return cells


def _write(form: EntryForm, turn: int) -> None:
    """Write what was typed, unless this turn is over: the second of two clicks comes too late."""
    cells, at_desk = _typed(form, turn), desk()
    with at_desk.lock:
        if turn != at_desk.turn:
            return
        at_desk.told = _added(form, cells)
        if at_desk.told.is_written:
            at_desk.turn += 1
            at_desk.batches.clear()
            at_desk.batch_id = cells.get("batch_id", at_desk.batch_id).strip()
            if form.kind == "recipe":
                at_desk.recipe = cells["recipe"].strip()


def _added(form: EntryForm, cells: dict[str, str]) -> Told:
    try:
        entry = add_typed(cache.folder(), form.kind, cells)
    except HedgerowError as refusal:
        return Told(False, form.kind, words.NOT_WRITTEN, [str(refusal)])
    problems = entry.problems.to_dicts()
    if not entry.is_written:
        return Told(False, form.kind, words.NOT_WRITTEN, words.refused_lines(form, problems))
    text = words.written_line(form, in_dates(form.kind, cells), entry.file, entry.rows)
    return Told(True, form.kind, text, words.warning_lines(problems))


def _told(told: Told) -> None:
    """Say what became of an entry, and what comes next."""
    if not told.is_written:
        frame.refused(told.text)
        frame.bullets(told.lines)
        return
    frame.done(told.text)
    frame.bullets(told.lines)
    frame.say(words.next_line(told.kind))
    frame.link(*words.seen_on(told.kind))
