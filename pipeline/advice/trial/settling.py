"""What logged split batches settled: the difference before and after, and what is still to be had.

A difference is settled when its interval leaves nought out, or holds nothing that somebody would
mind; otherwise it is said how many tastings, or how many more pairs, would settle it if the
difference stays as it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl

from pipeline.advice.trial.pairs import LoggedPair, logged_pairs, paired
from pipeline.advice.trial.weighing import BETTER, USEFUL
from pipeline.cellar import Cellar
from pipeline.errors import HedgerowError
from pipeline.learning import Models
from pipeline.learning.explain.factors import BY_NAME
from pipeline.learning.trial import answer_fit, answered
from pipeline.learning.trial_settled import (
    MOST_MORE,
    Arms,
    Settled,
    Shown,
    fit_without,
    settle,
    shown_by,
)

MOST_PAIRS = 12  # that somebody would still make


def settled(
    cellar: Cellar, models: Models, recipe: str, named: Sequence[str] = ()
) -> list[dict[str, Any]]:
    """Return what the logged split batches of a recipe settled.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        As in batches.csv.
    named : sequence of str
        Two batches to be taken as the arms, whatever recipe and day they have.

    Returns
    -------
    list of dict
        One per thing tried; see `_told` and `_untold` for its keys.

    Raises
    ------
    UnknownNameError
        If there is no such batch.
    HedgerowError
        If one batch is named twice.
    """
    glasses = cellar.table("glasses")
    pairs = (
        [_named(cellar, named)] if named else logged_pairs(cellar.table("batches"), glasses, recipe)
    )
    told = [_tried(cellar, models, alike, glasses) for alike in _tried_alike(models, pairs)]
    return told + [_untold(pair) for pair in pairs if not _is_plain(pair, is_named=bool(named))]


def _is_plain(pair: LoggedPair, *, is_named: bool) -> bool:
    """Tell whether nothing needs to be said against a pair: two alike batches are just repeats."""
    if not pair.factors:
        return not is_named
    return pair.is_clean and pair.factors[0] in BY_NAME


def _named(cellar: Cellar, named: Sequence[str]) -> LoggedPair:
    first, second = named
    if first == second:
        raise HedgerowError(f"Two different batches are needed, got {first} twice.")
    return paired(cellar.batch(first), cellar.batch(second))


def _tried_alike(models: Models, pairs: list[LoggedPair]) -> list[list[LoggedPair]]:
    """Return the pairs that tried one thing, and the same, together."""
    known = set(models.musts.ids)
    found: dict[tuple[str, ...], list[LoggedPair]] = {}
    for pair in pairs:
        if pair.is_clean and pair.factors[0] in BY_NAME and set(pair.batches) <= known:
            found.setdefault((pair.factors[0], *pair.labels), []).append(pair)
    return list(found.values())


def _tried(
    cellar: Cellar, models: Models, pairs: list[LoggedPair], glasses: pl.DataFrame
) -> dict[str, Any]:
    """Return what one thing tried, in one pair or more, has settled."""
    answer = answered(models.taste)
    arms = [_arms(models, pair) for pair in pairs]
    shown = None if answer is None else shown_by(models.taste.pours, answer, arms)
    data = _head(pairs) | {"purpose": answer}
    if answer is None or shown is None:
        return data | _nothing("nobody has marked both on one evening yet")
    ids = [name for pair in pairs for name in pair.batches]
    without = fit_without(models, cellar.table("batches"), glasses, ids)
    if answer_fit(without, answer).regressor is None:
        return data | _nothing("no other batch has been tasted to set them beside")
    found = settle(without, answer, pairs[0].factors[0], arms, shown)
    return data | _told(found, shown, answer)


def _arms(models: Models, pair: LoggedPair) -> Arms:
    base, other = (models.musts.ids.index(name) for name in pair.batches)
    sugar = [float("nan") if value is None else value for value in pair.sugar]
    return Arms(base, other, *sugar)


def _head(pairs: list[LoggedPair]) -> dict[str, Any]:
    return {
        "factor": pairs[0].factors[0],
        "factors": [pairs[0].factors[0]],
        "labels": list(pairs[0].labels),
        "pairs": [list(pair.batches) for pair in pairs],
    }


def _nothing(why: str) -> dict[str, Any]:
    return {
        **dict.fromkeys(("difference_mean", "before_mean", "after_mean")),
        **dict.fromkeys(("interval_width_before", "interval_width_after")),
        "tastings": 0,
        "tasters": 0,
        "evenings": 0,
        "is_settled": False,
        "verdict": "open",
        "more_tastings": None,
        "more_pairs": None,
        "why": why,
    }


def _untold(pair: LoggedPair) -> dict[str, Any]:
    """Return a pair that differs in several things, or in none, and so proves nothing."""
    words = [factor.replace("_", " ") for factor in pair.factors]
    if len(words) > 1:
        both = f"{', '.join(words[:-1])} and {words[-1]}"
        why = f"they differ in {both}: which of them made the difference cannot be told"
    elif words:
        why = f"they differ in {words[0]}, which is not weighed by itself yet"
    else:
        why = "nothing that is written down tells them apart"
    head = {"factor": None, "factors": list(pair.factors), "labels": list(pair.batches)}
    return head | {"pairs": [list(pair.batches)], "purpose": None} | _nothing(why)


def _told(found: Settled, shown: Shown, answer: str) -> dict[str, Any]:
    """Return the numbers of one thing tried, and whether they settle it."""
    before, share = found.before, found.before.unit_share
    useful = USEFUL[answer] * share
    raw = before.noise.glass**2 * 2 / shown.tastings
    after = before.estimate(found.value, found.variance)
    verdict = _verdict(found, useful, answer)
    more, pairs = (None, None) if verdict != "open" else _still_needed(found, useful)
    return {
        "difference_mean": before.estimate(shown.mean(), raw).as_dict(),
        "before_mean": before.estimate(
            float(before.value[0]), float(before.variance_now()[0])
        ).as_dict(),
        "after_mean": after.as_dict(),
        "interval_width_before": 2 * before.half_width(float(before.variance_now()[0])),
        "interval_width_after": 2 * found.half_width(),
        "tastings": shown.tastings,
        "tasters": shown.tasters,
        "evenings": shown.evenings,
        "is_settled": verdict != "open",
        "verdict": verdict,
        "more_tastings": more,
        "more_pairs": pairs,
        "why": "",
    }


def _verdict(found: Settled, useful: float, answer: str) -> str:
    """Return whether the other arm is `better`, `worse` or `alike`, or that it is still `open`."""
    value = found.value * found.before.unit_share
    half = found.half_width()
    if half < abs(value):
        return "better" if value * BETTER[answer] > 0 else "worse"
    return "alike" if abs(value) + half < useful else "open"


def _still_needed(found: Settled, useful: float) -> tuple[int | None, int | None]:
    """Return the tastings more, or else the pairs more, that would settle it as it stands."""
    value = abs(found.value) * found.before.unit_share
    enough = max(value, useful - value)
    each = max(found.shown.tasters, 1)
    tastings = (
        more * len(found.shown.found)
        for more in range(1, MOST_MORE + 1)
        if found.half_width(found.variance_with(more=more)) < enough
    )
    pairs = (
        more
        for more in range(1, MOST_PAIRS + 1)
        if found.half_width(found.variance_with(pairs=more, each=each)) < enough
    )
    return next(tastings, None), next(pairs, None)
