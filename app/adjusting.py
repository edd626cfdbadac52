"""A recipe the maker's way: suggested changes taken one by one, amounts typed, and predicted."""

import streamlit as st

from app import cache, frame
from pipeline.errors import HedgerowError
from pipeline.show import words_adjust as words


def adjusted(recipe: str, advised: dict) -> None:
    """Offer each suggested change and each amount, and predict what is chosen.

    Parameters
    ----------
    recipe : str
        Of recipes.csv.
    advised : dict
        The answer of `suggest` for it.
    """
    frame.section(words.TITLE)
    taken = [
        at
        for at, change in enumerate(advised["changes"])
        if st.checkbox(frame.shown(words.take_it(change)), key=f"take {recipe} {at}")
    ]
    amounts = _amounts(recipe)
    if not taken and not amounts:
        frame.say(words.NOTHING_CHOSEN)
        return
    try:
        found = cache.ask("adjust", recipe=recipe, taken=taken, amounts=amounts)
    except HedgerowError as refusal:
        frame.refused(str(refusal))
        return
    units = cache.units()
    frame.say(words.adjusted_answer(found, units))
    frame.listing(words.adjusted_listing(found, units))
    frame.say(words.keep_it(found))


def _amounts(recipe: str) -> dict[int, str]:
    """Show the recipe's amounts to be typed over; return those that were."""
    lines = words.amount_lines(cache.cellar().table("staged_recipes"), recipe)
    typed = {}
    with st.expander(words.AMOUNTS), st.container(horizontal=True):
        for line in lines:
            text = st.text_input(
                frame.shown(line.label),
                placeholder=line.amount,
                autocomplete="off",
                key=f"amount {recipe} {line.number}",
                width=words.CELL_WIDTH,
            )
            if text.strip():
                typed[line.number] = text.strip()
    return typed
