"""Choosing a batch: the page's address names it, so that a link leads to it and back."""

from collections.abc import Mapping

import streamlit as st

from app import frame

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
    return st.selectbox(
        "Batch",
        list(labels),
        format_func=labels.__getitem__,
        key=key,
        on_change=_name_it,
        args=(key,),
    )


def _name_it(key: str) -> None:
    """Put the choice into the page's address."""
    chosen = st.session_state[key]
    if chosen:
        st.query_params[_NAMED] = chosen
    else:
        st.query_params.pop(_NAMED, None)
