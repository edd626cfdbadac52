"""A recipe written out for the kitchen: choose it, its size and its day, and take it along."""

import re
from collections.abc import Sequence
from datetime import date

import streamlit as st

from app import cache, frame
from pipeline.advice import sheet
from pipeline.advice.bench.wishes import read_volume
from pipeline.errors import HedgerowError
from pipeline.show import words_sheet
from pipeline.show.sheet_page import sheet_html
from pipeline.show.words_doubts import caution_lines


def written_out(recipes: Sequence[str]) -> None:
    """Offer a recipe as a page to print and as a calendar file.

    Parameters
    ----------
    recipes : sequence of str
        Those of recipes.csv.
    """
    frame.section("Write it out for the kitchen")
    with st.container(horizontal=True):
        recipe = st.selectbox("Recipe to write out", recipes)
        typed = st.text_input("Volume", placeholder="as the recipe has it, or such as 2 gal")
        start = st.date_input("Begun on", date.today(), format="YYYY-MM-DD")
    try:
        gallon = cache.cellar().settings()["gallon"]
        volume_l = read_volume("Volume", typed.strip() or None, gallon)
        found, page, calendar = cache.kept(
            lambda: _written(recipe, volume_l, start), (recipe, volume_l, start)
        )
    except HedgerowError as refusal:
        frame.next_step(str(refusal))
        return
    units = cache.units()
    frame.say(words_sheet.sheet_answer(found, units))
    frame.listing(words_sheet.lines_listing(found, units))
    _offered(page, calendar, re.sub(r"\W+", "-", recipe).strip("-").lower() or "recipe")
    frame.lines("What to beware of", caution_lines(found["cautions"]), is_open=False)


def _written(recipe: str, volume_l: float | None, start: date) -> tuple[dict, str, bytes]:
    """Return a recipe as written out, as a page to print, and as a calendar file."""
    found, units = sheet.answer(cache.cellar(), recipe, volume_l, start), cache.units()
    return found, sheet_html(found, units), words_sheet.calendar_file(found, units)


def _offered(page: str, calendar: bytes, name: str) -> None:
    with st.container(horizontal=True):
        st.download_button(
            "Page to print",
            page,
            f"{name}.html",
            "text/html",
            on_click="ignore",
        )
        st.download_button(
            "Calendar file",
            calendar,
            f"{name}.ics",
            "text/calendar",
            on_click="ignore",
        )
