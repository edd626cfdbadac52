"""A folder without a logbook: what has to be known before the first row."""

import streamlit as st

from app import cache, frame
from app.desk import Told, desk
from pipeline.errors import HedgerowError
from pipeline.logbook.starting import start_logbook
from pipeline.show import words_begin as words

_FORM = "begin"


def start_form() -> None:
    """Offer to start a logbook in the folder that the page was opened with."""
    frame.section(words.START)
    frame.say(words.files_line(cache.folder().name))
    with st.form(_FORM, border=False):
        for name, asked in words.SETTINGS.items():
            if asked.choices:
                st.radio(
                    frame.shown(asked.label),
                    list(asked.choices),
                    format_func=asked.choices.__getitem__,
                    key=f"{_FORM} {name}",
                )
            else:
                st.text_input(frame.shown(asked.label), asked.value, key=f"{_FORM} {name}")
        st.form_submit_button("Start the logbook", type="primary", on_click=_start)
    told = desk().told
    if told is not None and not told.is_written:
        frame.refused(told.text)
        frame.bullets(told.lines)


def _start() -> None:
    said = {name: st.session_state.get(f"{_FORM} {name}") or "" for name in words.SETTINGS}
    at_desk = desk()
    with at_desk.lock:
        if cache.is_begun():
            return
        try:
            start_logbook(cache.folder(), words.settings_said(said))
        except HedgerowError as refusal:
            at_desk.told = Told(False, _FORM, words.NOT_STARTED, [str(refusal)])
        else:
            at_desk.told = None
