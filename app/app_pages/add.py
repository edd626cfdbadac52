"""What is there to write down? Forms for one checked row each, and old notes brought in."""

import streamlit as st

from app import cache, frame
from app.beginning import start_form
from app.entry_forms import entry_forms
from app.old_notes import old_notes
from app.questions import PAGES
from pipeline.show import words_add, words_begin

if not cache.is_begun():
    frame.question(PAGES["add"], words_begin.NOTHING_YET)
    start_form()
    old_notes()
    st.stop()

files = cache.cellar().table("files").to_dicts()
frame.question(PAGES["add"], words_add.written_down(files))
entry_forms()
old_notes()
