"""How the numbers of a split batch came about: what is open now, and what glasses would close."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from pipeline.advice.explain import batches
from pipeline.advice.explain.asked import Asked, is_one
from pipeline.advice.explain.forecast import METHODS
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way, constant, told, typed, whose
from pipeline.advice.explain.tasting import drawn
from pipeline.advice.trace import Step
from pipeline.learning.trial import Differences

_BY = "learning.trial"
_POINTS = "points"
Width = Callable[[Asked, Number, Differences, int], float]


def _places(asked: Asked, number: Number) -> Iterator[tuple[Differences, int]]:
    """Return where a number's difference stands among those that were worked out."""
    effect = number.said("effect_mean")
    for known in asked.kept_of(Differences):
        for k in range(known.value.size):
            value = float(known.value[k]) * known.unit_share
            if effect is None or is_one(value, effect["value"]):
                yield known, k


def _step(asked: Asked, number: Number, how: str) -> list[Step]:
    of, measure = whose(asked, number)
    factor = number.said("factor") or asked.data["factor"]
    step = Step(
        of=of,
        measure=f"{measure.partition(' of ')[0]} of {factor}",
        value=number.single,
        unit=_POINTS,
        how=how,
        by=_BY,
        source=METHODS,
        cells=asked.typed("--tasters"),
        rests_on=asked.rests_on("taste", {"recipe": asked.data["recipe"]}),
    )
    return [number.as_answer(step)]


def effect(asked: Asked, number: Number) -> list[Step]:
    """Trace by how much the one arm is expected to lie above the other."""
    for known in asked.kept_of(Differences):
        if np.any(np.abs(known.value * known.unit_share - number.single) <= 1e-9):
            return _step(asked, number, "factor")
    return []


def width(*of: Width) -> Way:
    """Return the way to how wide an interval is: as it comes out again in one of these ways."""

    def way(asked: Asked, number: Number) -> list[Step]:
        for known, k in _places(asked, number):
            if any(is_one(one(asked, number, known, k), number.single) for one in of):
                return _step(asked, number, "interval")
        return []

    return way


def _now(_: Asked, __: Number, known: Differences, k: int) -> float:
    return 2 * known.half_width(float(known.variance_now()[k]))


def _after(asked: Asked, _: Number, known: Differences, k: int) -> float:
    """Return the width once this very split was tasted by as many as will."""
    return _width(known, k, k, asked.data["tastings"]["tasters"])


def _after_chosen(asked: Asked, _: Number, known: Differences, k: int) -> float:
    """Return the width of this difference once the chosen split was tasted."""
    value = asked.data["learns"][0]["effect_mean"]["value"]
    at = int(np.argmin(np.abs(known.value * known.unit_share - value)))
    return _width(known, at, k, asked.data["tastings"]["tasters"])


def _later(asked: Asked, number: Number, known: Differences, k: int) -> float:
    """Return the width after more evenings, or more pairs, or as much tasting as can be."""
    tasters = asked.data["tastings"]["tasters"]
    if number.name == "interval_width_at_best":
        return _width(known, k, k, math.inf)
    evenings, pairs = number.said("evenings"), number.said("pairs")
    if isinstance(evenings, int):
        return _width(known, k, k, evenings * tasters)
    return _width(known, k, k, tasters, pairs if isinstance(pairs, int) else 1)


def _width(known: Differences, tried: int, k: int, glasses: float, pairs: int = 1) -> float:
    return 2 * known.half_width(float(known.variance_after(tried, glasses, pairs)[k]))


TRIAL_WAYS: dict[str, Way] = {
    "*.changes[[]].line": batches.at_line,
    "*.changes[[]].to_si": batches.edited,
    "confounded[[]].arms*": told("advice.trial.plan", METHODS),
    "*.effect_mean": effect,
    "*.interval_width_now": width(_now),
    "tastings.*.interval_width_after": width(_later),
    "tastings.interval_width_at_best": width(_later),
    "*.interval_width_after": width(_after, _after_chosen),
    "tastings.tasters": typed("--tasters"),
    "tastings.useful_difference": constant("advice.trial.weighing.USEFUL"),
    "tastings.glass_sd": told("learning.trial.noise_of", METHODS),
    "tastings.vessel_sd": told("learning.trial.noise_of", METHODS),
    "tastings.evenings[[]].evenings": constant("advice.trial.run.EVENINGS"),
    "tastings.pairs[[]].pairs": constant("advice.trial.run.PAIRS"),
    "tastings.*_needed": told("advice.trial.run.tastings", METHODS, "interval_width_after"),
    "tastings.tests*": told(
        "advice.trial.power.answers_to_see",
        "ISO 4120 (triangle) and ISO 5495 (paired comparison)",
        "useful_difference",
        "glass_sd",
    ),
    "sheet.tasters": typed("--tasters"),
    "sheet.seed": typed("--seed"),
    "sheet.serving*": drawn,
    "sheet.*": told("enology.sensory.hits_needed", "ISO 5495 (paired comparison)"),
    "settled*": told("learning.trial_settled", METHODS),
}
