"""Changing what a column of old notes is taken for."""

from collections.abc import Sequence

import streamlit as st

from app import frame
from app.desk import desk
from app.old_notes_asked import base_of, widget_key
from pipeline.logbook.importing import Answers, Brought, ColumnPlan, propose_columns
from pipeline.show import words_import_columns as words

_LAYOUT = "layout"


def change(one: Brought) -> None:
    """Offer to change what one column is taken for, and whether a row is a batch or an entry."""
    plans = one.preview.answers.columns
    key = widget_key(one, "column")
    at = st.selectbox(
        words.CHANGE,
        range(len(plans)),
        index=None,
        format_func=lambda place: plans[place].heading if place < len(plans) else "",
        placeholder=words.CHOOSE_COLUMN,
        key=key,
    )
    if at is not None and at < len(plans):
        _column(one, at, plans[at])
    layout = widget_key(one, _LAYOUT)
    st.radio(
        words.EACH_ROW,
        list(words.ROWS),
        index=list(words.ROWS).index(one.preview.answers.layout),
        format_func=words.ROWS.__getitem__,
        key=layout,
        horizontal=True,
        on_change=_relaid,
        args=(one, layout),
    )


def _column(one: Brought, at: int, plan: ColumnPlan) -> None:
    """Ask what the column is, and what else has to be known of such a column."""
    meanings = words.meanings()
    _choose(one, at, "to", words.IT_IS, list(meanings), meanings)
    for name in words.details_of(plan.to):
        choices = words.DETAIL_CHOICES.get(name)
        if choices:
            _choose(one, at, name, words.DETAILS[name], ["", *choices], {"": words.NOT_SAID})
        else:
            key = widget_key(one, "detail", str(at), name, plan.to)
            st.text_input(
                frame.shown(words.DETAILS[name]),
                getattr(plan, name),
                key=key,
                on_change=_changed,
                args=(one, at, name, key),
            )


def _choose(
    one: Brought, at: int, name: str, label: str, options: Sequence[str], shown: dict[str, str]
) -> None:
    plan = one.preview.answers.columns[at]
    key = widget_key(one, "detail", str(at), name, "" if name == "to" else plan.to)
    now = getattr(plan, name)
    st.selectbox(
        frame.shown(label),
        options,
        index=options.index(now) if now in options else 0,
        format_func=lambda option: shown.get(option, option),
        key=key,
        on_change=_changed,
        args=(one, at, name, key),
    )


def _changed(one: Brought, at: int, name: str, key: str) -> None:
    value = (st.session_state[key] or "").strip()
    desk().notes.said[one.key] = base_of(one).with_column(at, name, value)


def _relaid(one: Brought, key: str) -> None:
    """Begin anew with the other layout: what a column is depends on it."""
    layout = st.session_state[key]
    columns, _ = propose_columns(one.preview.sheet, layout)
    said = base_of(one)
    desk().notes.said[one.key] = Answers(columns, layout, said.general)
