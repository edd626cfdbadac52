"""The questions that only the maker can answer about a sheet, with what speaks for an answer."""

from collections.abc import Callable
from hashlib import sha256
from typing import Any

import streamlit as st

from app import frame
from app.desk import desk
from pipeline.logbook.importing import LEAVE, Answers, Brought, Group
from pipeline.show import words_import as words
from pipeline.show import words_import_page as page_words
from pipeline.show.markdown import escape

_AT_ONCE = 12  # single cells asked about at a time
_ENCODING = "encoding"


def questions(one: Brought, sheet: dict) -> None:
    """Ask what holds for the whole sheet, then about batches, names and single cells."""
    if sheet["questions"]:
        frame.small_heading(page_words.ASKED)
    for question in sheet["questions"]:
        _question(one, question)
    _each(one, "starts", page_words.STARTS, _open_starts(one, sheet))
    _each(one, "ingredients", page_words.NAMES, _open_names(one))
    _each(one, "cells", page_words.CELLS, _open_cells(one))


def base_of(one: Brought) -> Answers:
    """Return what the maker has said about a sheet; at first nothing but what columns it has."""
    said = desk().notes.said.get(one.key) or one.said
    return said or Answers(one.preview.answers.columns, one.preview.answers.layout)


def widget_key(one: Brought, *parts: str) -> str:
    """Return a name for a widget that nothing in the sheet can break."""
    joined = "\x1f".join((*one.key, *parts))
    return f"notes-{sha256(joined.encode(errors='replace')).hexdigest()[:20]}"


def _answered(one: Brought, group: Group, name: Any, key: str) -> None:
    value = st.session_state[key] or ""
    desk().notes.said[one.key] = base_of(one).answered(group, name, value)


def _recoded(one: Brought, key: str) -> None:
    file = one.preview.sheet.name
    desk().notes.codecs[file] = st.session_state[key]


def _question(one: Brought, question: dict) -> None:
    name, answer = question["key"], question["answer"]
    key = widget_key(one, "general", name)
    label = frame.shown(question["text"])
    changed: dict[str, Any] = {
        "key": key,
        "on_change": _answered,
        "args": (one, "general", name, key),
    }
    if name == _ENCODING:
        options = words.encodings(answer)
        changed |= {"on_change": _recoded, "args": (one, key)}
        st.selectbox(label, options, format_func=_in_words(name), **changed)
    elif question["choices"]:
        options = page_words.options(question["choices"])
        at = options.index(answer) if answer in options else None
        st.radio(label, options, index=at, format_func=_in_words(name), **changed)
    else:
        st.text_input(label, "" if answer == LEAVE else answer, autocomplete="off", **changed)
    if question["evidence"]:
        st.caption(escape(page_words.seen_line(question["evidence"])))


def _in_words(name: str) -> Callable[[str], str]:
    return lambda choice: words.choice_words(name, choice)


def _each(one: Brought, group: Group, title: str, asked: dict[Any, page_words.Open]) -> None:
    """Ask about batches, names or cells one by one, a dozen at a time."""
    if not asked:
        return
    frame.small_heading(page_words.counted_title(title, len(asked)))
    shown = list(asked.items())
    if len(shown) > _AT_ONCE:
        pages = -(-len(shown) // _AT_ONCE)
        page = st.pagination(pages, key=widget_key(one, group, "page"))
        shown = shown[(page - 1) * _AT_ONCE : page * _AT_ONCE]
    for name, open_one in shown:
        _ask(one, group, name, open_one)


def _ask(one: Brought, group: Group, name: Any, asked: page_words.Open) -> None:
    key = widget_key(one, group, *((name,) if isinstance(name, str) else name))
    changed: dict[str, Any] = {"key": key, "on_change": _answered, "args": (one, group, name, key)}
    label = frame.shown(asked.label)
    if asked.readings:
        options = list(dict.fromkeys([*asked.readings, *([asked.answer] if asked.answer else [])]))
        # Not by `index`: a choice that has a default cannot be taken back.
        st.session_state.setdefault(key, asked.answer or None)
        st.selectbox(
            label,
            options,
            index=None,
            accept_new_options=True,
            placeholder=page_words.CHOOSE,
            **changed,
        )
    else:
        st.text_input(label, asked.answer, autocomplete="off", **changed)
    if asked.reason:
        st.caption(escape(asked.reason))


def _kept(
    one: Brought, group: Group, now: dict[Any, page_words.Open]
) -> dict[Any, page_words.Open]:
    """Return what is open now, and what was and has been answered: an answer can be changed."""
    notes = desk().notes
    ever = notes.asked.setdefault(one.key, {}).setdefault(group, {})
    for name, asked in now.items():
        ever.setdefault(name, asked)
    said = notes.said.get(one.key)
    answers = getattr(said, group) if said else {}
    return {
        name: asked._replace(answer=answers.get(name, asked.answer))
        for name, asked in ever.items()
        if name in now or answers.get(name)
    }


def _open_starts(one: Brought, sheet: dict) -> dict[Any, page_words.Open]:
    now = {start["batch"]: page_words.open_start(start) for start in sheet["starts"]}
    return _kept(one, "starts", now)


def _open_names(one: Brought) -> dict[Any, page_words.Open]:
    now = {cell.written: page_words.open_name(cell) for cell in one.proposal.ingredients}
    return _kept(one, "ingredients", now)


def _open_cells(one: Brought) -> dict[Any, page_words.Open]:
    now = {
        (cell.heading, cell.written, cell.row): page_words.open_cell(cell)
        for cell in one.proposal.cells
    }
    return _kept(one, "cells", now)
