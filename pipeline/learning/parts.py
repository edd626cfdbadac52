"""What adds up to an expectation: what holds before any batch was seen, and what batches taught.

Volume and gravity bend, so that what one group of coefficients does depends on the others. Each is
switched on in turn, once in order and once backwards, and the mean of the two is its part: the
parts add up to the expectation exactly, and neither the first nor the last gains by its place.
Taste is told against the maker's own usual wine, one factor after the other, in the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from pipeline.learning.explain.doubts import tasted_rows
from pipeline.learning.explain.factors import FACTORS, usual_row
from pipeline.learning.explain.shares import mixtures
from pipeline.learning.forecast import OF_FERMENT
from pipeline.learning.gravity import MustCurve
from pipeline.learning.gravity.supply import read_supply
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.models import Models
from pipeline.learning.musts import Musts
from pipeline.learning.taste import TasteModel, with_harshness
from pipeline.learning.taste.inputs import TasteInputs
from pipeline.learning.volume import lines_of_fruits, planned_curve
from pipeline.learning.volume.release import release_curve, release_groups

Parts = dict[str, np.ndarray]  # name: its amount in each must (n,)
PHYSICS, USUAL_WINE = "physics", "usual wine"

# Group of the volume model, by the last word of its name: the part it belongs to.
_OF_VOLUME = {
    "all fruit": "all fruit",
    "fruit": "this fruit",
    "treatment": "treatment",
    "losses": "losses",
    "allowances": "allowances",
}
# Scalar of the gravity model: the part it belongs to.
_OF_GRAVITY = {
    "more_sugar": "sugar of the fruit",
    "litres": "juice of the fruit",
    "early": "what was out by then",
    "early_juice": "what was out by then",
    "more_nitrogen": "nitrogen",
    "demand": "nitrogen",
    "cost": "nitrogen",
    "tolerance": "what the yeast stands",
    "corner": "what the yeast stands",
    "gain": "what the yeast makes",
    "residue": "what the yeast leaves",
    "extract": "extract",
}
_OF_TOLERANCE = {"all": "all yeasts", "yeast": "this yeast", "hot": "warmth", "cold": "warmth"}


def volume_parts(models: Models, musts: Musts) -> Parts:
    """Return what adds up to the finished share of the target.

    Parameters
    ----------
    models : Models
    musts : Musts
        As `pipeline.learning.forecast` describes plans.
    """
    model = models.volume
    curve = planned_curve(model, musts)
    learnt = np.zeros(curve.width) if model.fit is None else model.fit.coefficients
    named = [(_OF_VOLUME[group.name.split(": ")[-1]], group) for group in curve.grouped()]
    return _switched_on(lambda at: curve(at)[0], learnt, named)


def gravity_parts(models: Models, musts: Musts, outcome: str) -> Parts:
    """Return what adds up to an outcome of the ferment.

    Parameters
    ----------
    models : Models
    musts : Musts
        As `pipeline.learning.forecast` describes plans.
    outcome : str
        A key of `pipeline.learning.forecast.OF_FERMENT`, or a field of
        `pipeline.learning.ferment.State`.
    """
    model = models.gravity
    curve = MustCurve(model, musts, read_supply(musts, model.typical))
    named = [(_OF_GRAVITY[group.name.split(": ")[0]], group) for group in curve.grouped()]
    inner = OF_FERMENT.get(outcome, outcome)
    return _switched_on(
        lambda at: np.asarray(getattr(curve.state(at), inner)),
        model.coefficients(curve.width),
        named,
    )


def litres_parts(models: Models, fruit: str) -> dict[str, float]:
    """Return what adds up to the litres that a kg of a fruit gives, as this maker treats it."""
    model, musts = models.volume, models.musts
    curve = release_curve(model.release, musts)
    rows = lines_of_fruits(model, musts)[fruit]
    learnt = np.zeros(curve.width) if model.fit is None else model.fit.coefficients[: curve.width]
    groups = release_groups(model.release, musts)
    named = [(_OF_VOLUME[group.name.split(": ")[-1]], group) for group in groups]
    parts = _switched_on(lambda at: curve.per_kg(at)[0][rows], learnt, named)
    return {name: float(values.mean()) for name, values in parts.items()}


def tolerance_parts(models: Models, musts: Musts) -> Parts:
    """Return what adds up to the strength at which the yeast of these musts stops [% vol]."""
    model = models.gravity
    curve = MustCurve(model, musts, read_supply(musts, model.typical))
    named = [
        (_OF_TOLERANCE.get(group.name.removeprefix("tolerance: "), "the rest"), group)
        for group in curve.grouped()
    ]
    parts = _switched_on(
        lambda at: curve.scalars(at).tolerance, model.coefficients(curve.width), named
    )
    return {name: values for name, values in parts.items() if name != "the rest"}


def acidity_parts(models: Models, musts: Musts) -> Parts:
    """Return what adds up to the acidity of the wine [g/L as tartaric]."""
    model = models.taste.acidity
    expected, _ = model.expected(musts)
    before, _ = replace(model, regressor=None).expected(musts)
    return {PHYSICS: before, "learnt": expected - before}


def taste_parts(models: Models, inputs: TasteInputs, answer: str) -> list[dict[str, float]]:
    """Return, for each wine, what adds up to its harshness or score.

    Parameters
    ----------
    models : Models
    inputs : TasteInputs
        What taste depends on, one row per wine.
    answer : {'harshness', 'score'}
    """
    model = models.taste
    rows = tasted_rows(model)
    expect = _expectation(model, answer)
    if rows.size == 0:
        return [{PHYSICS: float(value)} for value in expect(inputs)]
    usual = usual_row(model.inputs, rows)
    wines = (inputs.take(np.array([row])) for row in range(len(inputs)))
    return [_against_usual(expect, usual, wine) for wine in wines]


def _expectation(model: TasteModel, answer: str) -> Callable[[TasteInputs], np.ndarray]:
    if answer == "harshness":
        return lambda wines: model.harshness.posterior(wines).mean
    share = model.score_out_of / 20.0

    def score(wines: TasteInputs) -> np.ndarray:
        return share * model.score.posterior(with_harshness(wines, model.harshness)).mean

    return score


def _against_usual(
    expect: Callable[[TasteInputs], np.ndarray], usual: TasteInputs, wine: TasteInputs
) -> dict[str, float]:
    names = [factor.name for factor in FACTORS]
    forward = [tuple(names[:count]) for count in range(len(names) + 1)]
    backward = [tuple(names[len(names) - count :]) for count in range(len(names) + 1)]
    values = expect(mixtures(usual, wine, [*forward, *backward]))
    there, back = values[: len(forward)], values[len(forward) :]
    one, other = np.diff(there), np.diff(back)[::-1]
    parts = {USUAL_WINE: float(there[0])}
    for name, rise, same in zip(names, one, other, strict=True):
        parts[name] = float((rise + same) / 2)
    return parts


def _switched_on(
    outcome: Callable[[np.ndarray], np.ndarray],
    learnt: np.ndarray,
    named: Sequence[tuple[str, Grouped]],
) -> Parts:
    """Switch the coefficients on, one part after the other, there and back."""
    columns: dict[str, list[int]] = {}
    for name, group in named:
        columns.setdefault(name, []).extend(group.columns)
    start = outcome(np.zeros(learnt.size))
    there = _steps(outcome, learnt, columns, start)
    back = _steps(outcome, learnt, dict(reversed(columns.items())), start)
    parts = {name: (there[name] + back[name]) / 2 for name in columns}
    return {PHYSICS: start, **parts}


def _steps(
    outcome: Callable[[np.ndarray], np.ndarray],
    learnt: np.ndarray,
    columns: Mapping[str, Sequence[int]],
    start: np.ndarray,
) -> Parts:
    at, before, found = np.zeros(learnt.size), start, {}
    for name, places in columns.items():
        at = at.copy()
        at[list(places)] = learnt[list(places)]
        after = outcome(at)
        found[name], before = after - before, after
    return found
