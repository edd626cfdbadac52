"""Choosing batches: the page's address names one, and of very many a part of the name is asked."""

from collections.abc import Collection, Mapping
from itertools import islice

import streamlit as st

from app import frame

AT_ONCE = 300  # choices in one list: it is slow to send, and to look through, when it is longer
_NAMED = "batch"  # in the page's address: ?batch=2026-07


def chosen_batch(labels: Mapping[str, str], key: str) -> str:
    """Show the choice of a batch, and return the chosen one.

    Parameters
    ----------
    labels : mapping of str to str
        Batches by id, each as a choice in words; the first is chosen unless the address names one.
    key : str
        The page's own name for the choice.
    """
    asked = st.query_params.get(_NAMED)
    if asked in labels:
        st.session_state[key] = asked
    elif asked is not None:
        frame.next_step(f"This page has no batch '{asked}' to show. Choose one:")
    if st.session_state.get(key) not in labels:
        st.session_state.pop(key, None)
    chosen = [st.session_state[key]] if key in st.session_state else []
    near = found_by(labels, part_of_name(len(labels), key), chosen)
    return st.selectbox(
        "Batch",
        list(near),
        format_func=labels.__getitem__,
        key=key,
        on_change=_name_it,
        args=(key,),
    )


def chosen_several(
    label: str, labels: Mapping[str, str], key: str, first: int = 0, placeholder: str = "Choose"
) -> list[str]:
    """Show the choice of several, and return the chosen ones.

    Parameters
    ----------
    label : str
        What they are chosen for.
    labels : mapping of str to str
        What there is, each as a choice in words.
    key : str
        The page's own name for the choice.
    first : int
        So many are chosen at first.
    placeholder : str
        What stands there while none is chosen.
    """
    before = st.session_state.get(key, list(labels)[:first])
    chosen = [one for one in before if one in labels]
    if key not in st.session_state or chosen != before:
        st.session_state[key] = chosen
    near = found_by(labels, part_of_name(len(labels), key), chosen)
    return st.multiselect(
        label, list(near), format_func=labels.__getitem__, placeholder=placeholder, key=key
    )


def part_of_name(number: int, key: str) -> str:
    """Return what is typed to find one of so many batches; few are found without it."""
    if number <= AT_ONCE:
        return ""
    return st.text_input(
        f"Find one of {number:,} batches",
        placeholder="a part of its number or name",
        autocomplete="off",
        key=f"find {key}",
    )


def found_by(
    labels: Mapping[str, str], typed: str, chosen: Collection[str] = ()
) -> Mapping[str, str]:
    """Return the first choices whose words hold what was typed, after those already chosen."""
    part = typed.strip().casefold()
    found = (one for one, words in labels.items() if part in words.casefold())
    return {one: labels[one] for one in (*chosen, *islice(found, AT_ONCE)) if one in labels}


def _name_it(key: str) -> None:
    """Put the choice into the page's address."""
    chosen = st.session_state[key]
    if chosen:
        st.query_params[_NAMED] = chosen
    else:
        st.query_params.pop(_NAMED, None)
