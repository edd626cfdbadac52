"""How a split batch is run, tasted and written down."""

from __future__ import annotations

import math
from typing import Any

from pipeline.advice.tasting.order import serving_order
from pipeline.advice.tasting.power import ALPHA
from pipeline.advice.trial.plan import Split
from pipeline.advice.trial.power import answers_to_see
from pipeline.advice.trial.weighing import Choice, Weighed
from pipeline.enology.sensory import hits_needed

EVENINGS = (1, 2, 3, 6)
PAIRS = (1, 2, 3, 4)
MOST_EVENINGS, MOST_PAIRS = 12, 12
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

_DIVIDED = {
    "fruit": "Take all the fruit from one picking, mix it, and weigh out two equal lots: A with "
    "{a}, B with {b}. Everything else is the same for both, by weight.",
    "must": "Make one must, stir it until the sugar is gone, and divide it evenly, fruit and all, "
    "between two equal vessels. Only then comes what differs: A with {a}, B with {b}.",
    "place": "Make one must, stir it, and divide it evenly, fruit and all, between two equal "
    "vessels in two places: A with {a}, B with {b}. Read both every day for ten days.",
    "glass": "No second batch is needed: when the wine is finished, pour two jugs from one bottle "
    "and stir sugar into one, 1 g to 100 mL for every 10 g/L: A with {a}, B with {b}.",
}
_ALIKE = (
    "Put both together on the same day, with yeast from one packet, in vessels of one kind and "
    "size. Amounts here are for the whole recipe: half of it in each is enough.",
    "Do everything else with both on the same days and in the same way (straining, racking, "
    "bottling), and measure how much each gives.",
)
_LATER = {
    "contact_days": "Only the day of straining differs: write it down for both.",
    "enzyme": "The one without it clears slowly and gives less: that is no fault.",
}


def how_to(split: Split) -> list[str]:
    """Return what to do, in the order of doing it."""
    a, b = split.labels
    first = _DIVIDED[split.way].format(a=a, b=b)
    if split.way == "glass":
        return [first, "Let both stand for an hour, then taste them side by side."]
    later = _LATER.get(split.factor)
    return [first, *_ALIKE, *([later] if later else [])]


def log_as(recipe: str, split: Split, taken: set[str]) -> dict[str, Any]:
    """Return the ids to write the two arms down under, and what to write.

    Parameters
    ----------
    recipe : str
    split : Split
    taken : set of str
        Ids of the logbook's batches.
    """
    if split.way == "glass":
        text = (
            "Write one row a glass into tastings.csv, all on one day with blind = yes; "
            "sweetened_to says what was stirred in, and is blank for the glass as it is."
        )
        return {"recipe": recipe, "batch_ids": [], "text": text}
    free = [f"{recipe} {letter}" for letter in _LETTERS if f"{recipe} {letter}" not in taken]
    one, other = free[:2] if len(free) > 1 else (f"{recipe} A2", f"{recipe} B2")
    text = (
        f"Write both into batches.csv with the recipe '{recipe}' and one started_on, A as '{one}' "
        f"and B as '{other}', and what went into each into additions.csv. Taste both on the same "
        "evenings: one row a glass in tastings.csv with blind = yes. They are then known as a pair."
    )
    return {"recipe": recipe, "batch_ids": [one, other], "text": text}


def tastings(choice: Choice, chosen: Weighed, tasters: int) -> dict[str, Any]:
    """Return how much tasting, and how many pairs, show a difference that somebody would mind.

    Parameters
    ----------
    choice : Choice
    chosen : Weighed
    tasters : int
        Each marks both arms once an evening.

    Returns
    -------
    dict
        ``tasters``, ``useful_difference``, ``glass_sd``, ``vessel_sd`` [points]; interval widths
        after so many ``evenings`` and so many ``pairs``; ``evenings_needed`` and ``pairs_needed``
        for half an interval no wider than the useful difference (null where none is enough); and
        ``tests`` (`answers_to_see`).
    """
    found, share = choice.differences, choice.differences.unit_share

    def width(glasses: float, pairs: int = 1) -> float:
        after = found.variance_after(chosen.place, glasses, pairs)
        return 2 * found.half_width(float(after[chosen.place]))

    def fewest(most: int, widths: Any) -> int | None:
        return next((n for n in range(1, most + 1) if widths(n) <= 2 * choice.useful), None)

    return {
        "tasters": tasters,
        "useful_difference": choice.useful,
        "glass_sd": found.noise.glass * share,
        "vessel_sd": found.noise.vessel * share,
        "evenings": [{"evenings": n, "interval_width_after": width(n * tasters)} for n in EVENINGS],
        "pairs": [{"pairs": n, "interval_width_after": width(tasters, n)} for n in PAIRS],
        "interval_width_at_best": width(math.inf),
        "evenings_needed": fewest(MOST_EVENINGS, lambda n: width(n * tasters)),
        "pairs_needed": fewest(MOST_PAIRS, lambda n: width(tasters, n)),
        "tests": answers_to_see(choice.useful, found.noise.glass * share),
    }


def blind_sheet(names: tuple[str, str], tasters: int, seed: int) -> dict[str, Any]:
    """Return the sheet of a blind tasting of the two arms, as `hedgerow tasting` lays it out."""
    return {
        "a": names[0],
        "b": names[1],
        "test": "paired",
        "tasters": tasters,
        "seed": seed,
        "serving": serving_order("paired", tasters, seed),
        "hits_needed": hits_needed("paired", tasters, ALPHA),
        "verdict": None,
    }
