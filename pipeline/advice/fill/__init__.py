"""Filling the vessel: how much to pour so that the finished wine reaches what is aimed at.

The chance that it does comes from what the volume model expects of a new batch: what the maker's
batches leave open, and how far two batches of one recipe differ.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.fill.tried import Tried, try_sizes
from pipeline.advice.fill.ways import (
    STEP,
    Filled,
    Keep,
    Recipe,
    in_proportion,
    measured_with_water,
    sugar_that_keeps,
    waters,
    with_water,
)
from pipeline.advice.fit import untrusted
from pipeline.advice.predict import planned, predictions
from pipeline.advice.suggest.reasons import as_change
from pipeline.advice.vessel import smallest_vessel
from pipeline.cellar import Cellar
from pipeline.errors import CannotSayError
from pipeline.learning import Models

USUAL_CHANCE = 0.80
# Between which the water, or all of it together, is looked for: times what the recipe has.
SIZES = np.geomspace(0.4, 3.5, 16)


def answer(
    cellar: Cellar,
    models: Models,
    recipe: str,
    chance: float = USUAL_CHANCE,
    keep: Keep = "strength",
) -> dict[str, Any]:
    """Say how much to pour so that a planned recipe fills its vessel.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        Name as in recipes.csv.
    chance : float
        With which the finished wine is to reach the target.
    keep : {"strength", "fruit", "proportions"}
        What is kept: the weight of fruit and the strength (water and sugar change), the weight of
        fruit and of sugar (water alone changes, and the strength with it), or fruit and all else to
        each litre (everything grows, and with it the volume the recipe is written for).

    Returns
    -------
    dict
        ``recipe``, ``keep``, ``chance_asked``, ``refused`` (why it cannot be said, else None),
        ``target_l``, ``chance_now`` (with the recipe as it is), ``chance``, ``changes`` (as
        `suggest` has them, without effects), ``vessel_l`` (the smallest for the changed must) and
        ``after`` (the changed recipe, as `predict` has it).

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    planned(cellar, [recipe])
    asked: dict[str, Any] = {"recipe": recipe, "keep": keep, "chance_asked": chance}
    try:
        return asked | {"refused": None} | _told(cellar, models, recipe, chance, keep)
    except CannotSayError as refusal:
        return asked | {"refused": str(refusal)}


def _told(cellar: Cellar, models: Models, name: str, chance: float, keep: Keep) -> dict[str, Any]:
    refusal = untrusted(cellar, models).get("volume")
    if refusal:
        raise CannotSayError(f"These batches cannot tell how much a recipe gives: {refusal}.")
    found, row = filled(cellar, models, name, chance, keep)
    called = {f"{name}, filled": row}
    (after,) = predictions(cellar, models, found.plans, found.forecast, called, found.lines)
    return {
        "target_l": found.sizes[0].target_l,
        "chance_now": float(found.chance[0]),
        "chance": float(found.chance[row]),
        "changes": [as_change(edit) for edit in found.sizes[row].edits],
        "vessel_l": smallest_vessel(found.plans.musts.row(row, named=True)),
        "after": after,
    }


def filled(
    cellar: Cellar, models: Models, name: str, chance: float, keep: Keep
) -> tuple[Tried, int]:
    """Return the sizes of a recipe that were tried last, and which of them is the least to do.

    Parameters
    ----------
    cellar, models, name, chance, keep
        As in `answer`; whether the models are to be trusted is not asked.

    Raises
    ------
    CannotSayError
        If none will do.
    """
    settings = cellar.settings()
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == name)
    recipe = Recipe(lines, settings["show"], settings["decimal"] or ".")

    def tries(sizes: Sequence[Filled]) -> Tried:
        return try_sizes(models, recipe, sizes, float(settings["bottle_l"]))

    ways = {"strength": _by_strength, "fruit": _by_fruit, "proportions": _by_proportions}
    found = ways[keep](recipe, tries, chance)
    row = _least(found, chance)
    if row is None:
        raise CannotSayError(_too_sure(name, found, chance))
    return found, row


Tries = Callable[[Sequence[Filled]], Tried]


def _by_fruit(recipe: Recipe, tries: Tries, chance: float) -> Tried:
    """Try measures of water near the least that will do, the sugar as it is."""
    now = recipe.water["amount_l"]
    coarse = tries([with_water(recipe, size * now, 1.0) for size in SIZES])
    low, high = _bracket(coarse, chance, recipe)
    return tries(
        [measured_with_water(recipe, one, 1.0) for one in waters(recipe, low * now, high * now)]
    )


def _by_strength(recipe: Recipe, tries: Tries, chance: float) -> Tried:
    """Try measures of water near the least that will do, the sugar going with them."""
    now = recipe.water["amount_l"]
    base = tries([])

    def sugars(sizes: np.ndarray, start: np.ndarray) -> np.ndarray:
        def total(sugar: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            pairs = zip(sizes, sugar, strict=True)
            found = tries([with_water(recipe, size * now, float(many)) for size, many in pairs])
            return found.sweetness[1:], found.poured_share[1:]

        return sugar_that_keeps(total, float(base.sweetness[0]), start)

    sweet = sugars(SIZES, SIZES)
    coarse = tries(
        [with_water(recipe, size * now, many) for size, many in zip(SIZES, sweet, strict=True)]
    )
    low, high = _bracket(coarse, chance, recipe)
    measures = waters(recipe, low * now, high * now)
    litres = np.array([one.si for one in measures])
    fine = sugars(litres / now, np.interp(litres / now, SIZES, sweet))
    return tries(
        [
            measured_with_water(recipe, one, float(many))
            for one, many in zip(measures, fine, strict=True)
        ]
    )


def _by_proportions(recipe: Recipe, tries: Tries, chance: float) -> Tried:
    """Try the recipe as a whole in sizes near the least that will do."""
    coarse = tries([in_proportion(recipe, float(size)) for size in SIZES])
    low, high = _bracket(coarse, chance, recipe)
    return tries([in_proportion(recipe, float(size)) for size in np.arange(low, high, STEP * low)])


def _bracket(coarse: Tried, chance: float, recipe: Recipe) -> tuple[float, float]:
    """Return sizes between which the least that will do lies, a little more above.

    Raises
    ------
    CannotSayError
        If none will do.
    """
    enough = np.nan_to_num(coarse.chance[1:]) >= chance
    if not enough.any():
        raise CannotSayError(_too_sure(recipe.lines["recipe"][0], coarse, chance))
    first = int(np.argmax(enough))
    # What can be measured comes in steps: the least that will do may lie one step further up.
    return float(SIZES[max(first - 1, 0)]), float(1.06 * SIZES[first])


def _least(found: Tried, chance: float) -> int | None:
    """Return the smallest size that will do; the sizes rise."""
    enough = np.flatnonzero(np.nan_to_num(found.chance[1:]) >= chance)
    return int(enough[0]) + 1 if enough.size else None


def _too_sure(name: str, found: Tried, chance: float) -> str:
    most = float(np.nanmax(found.chance))
    return (
        f"Nothing that was tried fills '{name}' with a chance of {chance:.0%}; the surest comes to "
        f"{most:.0%}. Ask for less, such as --fill {100 * max(0.5, np.floor(20 * most) / 20):.0f}."
    )
