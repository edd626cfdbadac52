"""Why one split and not another, or why none, in a sentence."""

from __future__ import annotations

from pipeline.advice.trial.weighing import BETTER, Choice, Weighed
from pipeline.learning.taste import FEWEST_BATCHES, TasteModel

LITTLE = 0.2  # share of an interval, under which a narrowing hardly shows
_SIDES = {"harshness": ("softer", "harsher"), "score": ("better", "worse")}


def why_chosen(choice: Choice, chosen: Weighed, answer: str, tasters: int) -> str:
    """Say what is open about the change that is tried, and how far a trial closes it.

    Parameters
    ----------
    choice : Choice
    chosen : Weighed
        The split to make.
    answer : {'harshness', 'score'}
    tasters : int
        On one evening.
    """
    good, _ = _SIDES[answer]
    helped = f"No other split of a change that may make it {good} narrows as much."
    if not chosen.may_help:
        helped = (
            f"No one change to this recipe is likely to make it {good} by "
            f"{choice.useful:g} points, so nothing hangs on a trial; of all splits this one would "
            "still teach most."
        )
    if chosen.narrowed < LITTLE * chosen.width_now:
        helped += (
            " One pair narrows little, since two vessels never come out quite alike: see how many "
            "it takes."
        )
    who = "one taster" if tasters == 1 else f"{tasters} tasters"
    return (
        f"With {chosen.split.labels[1]} it may be {_span(chosen, answer)} than with "
        f"{chosen.split.labels[0]}: your batches leave {chosen.width_now:.1f} points open. One "
        f"evening with {who} leaves {chosen.width_after:.1f}. {helped}"
    )


def _span(chosen: Weighed, answer: str) -> str:
    good, bad = _SIDES[answer]
    way, low, high = BETTER[answer], chosen.effect.low, chosen.effect.high
    least, most = sorted((way * low, way * high))
    if least < 0 < most:
        return f"anything from {most:.1f} points {good} to {-least:.1f} points {bad}"
    if most <= 0:
        return f"{-most:.1f} to {-least:.1f} points {bad}"
    return f"{least:.1f} to {most:.1f} points {good}"


def why_cannot(model: TasteModel) -> str:
    """Say why no split can be chosen from what is logged."""
    if model.batches == 0:
        return (
            "No batch has been tasted yet, so nothing is known of what a split batch would tell. "
            "Write down a tasting in tastings.csv: astringency, bitterness and warmth, 0 to 10."
        )
    counted = "batch is" if model.batches == 1 else "batches are"
    return (
        f"Only {model.batches} {counted} tasted: until there are {FEWEST_BATCHES}, what a split "
        "batch would teach cannot be weighed."
    )


NOTHING_TO_SPLIT = (
    "Nothing in this recipe can be tried both ways. Write its fruit with form, skins and the day "
    "it comes out, its yeast and its sugar into recipes.csv."
)
