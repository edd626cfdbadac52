"""A recipe made to fill its vessel: how surely, and what of it is kept."""

import streamlit as st

from app import cache, frame
from pipeline.show import words_fill, words_recipes


def filled(recipe: str, planned: dict) -> list[str]:
    """Show how much to pour so that a recipe fills its vessel.

    Parameters
    ----------
    recipe : str
        One of recipes.csv.
    planned : dict
        What it gives as it is.

    Returns
    -------
    list of str
        What stands against the prediction of the filled recipe.
    """
    units = cache.units()
    frame.section("Fill the vessel")
    with st.container(horizontal=True):
        percent = st.number_input("Chance of a full vessel, in 100", 50, 99, 80, 5)
        keep = st.selectbox("Keep", list(words_fill.KEPT), format_func=words_fill.kept_choice)
    found = cache.ask("fill", recipe=recipe, chance=percent / 100, keep=keep)
    frame.say(words_fill.fill_answer(found, units))
    if found["refused"]:
        return []
    frame.bullets(words_fill.fill_lines(found, units))
    frame.listing(words_fill.filled_listing(planned, found, units))
    return words_recipes.recipe_doubts([found["after"]])
