"""What the page says of a recipe as the maker would rather have it."""

from typing import NamedTuple

import polars as pl

from pipeline.show.listing import Listing
from pipeline.show.measures import capital, joined, measure_of
from pipeline.show.units import Units
from pipeline.show.words_changes import change_phrase
from pipeline.show.words_recipes import outcomes_listing

TITLE = "Try it your way"
AMOUNTS = "Other amounts"
NOTHING_CHOSEN = "Tick a change or type another amount, and see at once what comes of it."
NOTHING_MOVES = "Neither volume nor strength nor score changes by anything you would notice."
CELL_WIDTH = 150  # [px] two beside one another on a phone
_SAID = ("finished_volume", "alcohol", "score")


class AmountLine(NamedTuple):
    """One line of a recipe whose amount can be typed over."""

    number: int
    label: str
    amount: str


def take_it(change: dict) -> str:
    """Offer one suggested change."""
    return capital(change_phrase(change))


def amount_lines(recipes: pl.DataFrame, recipe: str) -> list[AmountLine]:
    """Return the lines of a recipe that have an amount.

    Parameters
    ----------
    recipes : polars.DataFrame
        `staged_recipes`.
    recipe : str
        One of them.
    """
    own = recipes.filter(pl.col("recipe") == recipe, pl.col("amount").is_not_null())
    return [
        AmountLine(line, capital(name or kind), amount)
        for line, kind, name, amount in own.select("line", "kind", "ingredient", "amount").rows()
    ]


def adjusted_answer(found: dict, units: Units) -> str:
    """Say in a sentence what the recipe gives as it is now, where that is something else."""
    parts = []
    for key in _SAID:
        before, after = found["before"].get(key), found["after"].get(key)
        if not before or not after:
            continue
        measure = measure_of(key, units)
        # Rounded to what is known: a change that stays within that is none to speak of.
        was, now = measure.near(before), measure.near(after)
        if was != now:
            parts.append(f"{measure.name} {measure.full(after)}, not {was}")
    return f"{capital('; '.join(parts))}." if parts else NOTHING_MOVES


def adjusted_listing(found: dict, units: Units) -> Listing:
    """One row per outcome: as planned, and as chosen."""
    return outcomes_listing(
        [found["before"], found["after"]], units, names=["as planned", "as chosen"]
    )


def keep_it(found: dict) -> str:
    """Say how to keep what was chosen."""
    said = joined([change_phrase(change) for change in found["changes"]])
    return f"To keep it, write it into recipes.csv under a new name: {said}."
