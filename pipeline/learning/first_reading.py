"""Where a batch will finish whose first gravity is known: it shows what sugar really went in.

Beside its own noise a first reading departs from what is expected because the batch's sugar does,
or because an amount was not what was written. Each takes its part of the departure as its variance
bids; the must is then fermented again with that much more sugar, so that past the bend what the
yeast does not stand stays sweet. What is left to doubt is the rest of both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pipeline.learning.doubtful import Moved
from pipeline.learning.ferment import Scalars, Supply, ferment, slopes
from pipeline.learning.ferments import Told, batch_sugar_sd
from pipeline.learning.gravity import FORM_DOUBT, MISFIT, GravityModel, MustCurve
from pipeline.learning.gravity.readings import TOLERANCE_NOISE
from pipeline.learning.gravity.supply import read_supply
from pipeline.learning.mixed.contrasts import curved_spread
from pipeline.learning.mixed.tails import tail_weights
from pipeline.learning.musts import Musts

_ROUNDS = 10  # of weights, each from what the last left over
_GRAM = 1.0  # [g/L] of sucrose, to see what it does to a first reading


@dataclass(frozen=True)
class _Blur:
    """What doubt about amounts does to both readings [SG²]; arrays (n,)."""

    first: np.ndarray
    both: np.ndarray
    last: np.ndarray


def final_after_first(
    model: GravityModel, musts: Musts, original: np.ndarray, moved: Moved | None = None
) -> Told:
    """Return the finished gravity, nothing topped up, of musts whose first reading is known.

    Parameters
    ----------
    model : GravityModel
    musts : Musts
        Read with the model's fruits.
    original : array (n,)
        First reading [SG]; NaN where there is none, and then what is expected of any such must.
    moved : Moved, optional
        The same musts with doubtful amounts moved; without it doubt about amounts is left out.
    """
    curve = MustCurve(model, musts, read_supply(musts, model.typical))
    at = curve.scalars(model.coefficients(curve.width))
    before, along = ferment(curve.supply, at), slopes(curve.supply, at, ("original",))["original"]
    sugar_sd = curve.litres(at) * batch_sugar_sd(model)
    blur = _blur(model, len(musts), curve, moved)
    first = along["more_sugar"] * sugar_sd
    away = original - before.original
    told = _told(away, first**2 + blur.first, model.outcome_sd["original"])
    known = np.isfinite(away)
    share = np.where(known, away / told, 0.0)
    supply = _with_sucrose(curve.supply, at, share * blur.first)
    at = replace(at, more_sugar=at.more_sugar + share * first * sugar_sd)
    after, last = ferment(supply, at), slopes(supply, at, ("undiluted",))["undiluted"]
    reach = last["more_sugar"] * sugar_sd
    gain = np.where(known, (first * reach + blur.both) / told, 0.0)
    slope = np.nan_to_num(curve.jacobian(last) - gain[:, None] * curve.jacobian(along))
    rest = reach**2 + blur.last - gain**2 * np.where(known, told, 0.0)
    mood = last["tolerance"] * TOLERANCE_NOISE
    spread = curved_spread(model.fit, curve.grouped(), curve.width)
    return Told(
        mean=after.undiluted,
        sd=np.hypot(MISFIT * spread(slope), FORM_DOUBT),
        noise=np.sqrt(np.maximum(rest, 0.0) + mood**2 + model.outcome_sd["final"] ** 2),
        slope=slope,
        spread=spread,
    )


def _told(away: np.ndarray, meant: np.ndarray, noise: float) -> np.ndarray:
    """Return the variance of a reading about what is expected: what it means, and its noise.

    The noise is Student's t, as in the fit: a reading far out may be mistyped, and then tells less.
    """
    misread = np.full(away.size, noise**2)
    for _ in range(_ROUNDS):
        left = away * misread / (meant + misread)
        misread = noise**2 / tail_weights(left, np.ones(away.size), noise)
    return np.asarray(meant + misread)


def _with_sucrose(supply: Supply, at: Scalars, rise: np.ndarray) -> Supply:
    """Return the supply with as much more sucrose as raises the first reading by this much."""
    more = replace(supply, early_sugar=supply.early_sugar + _GRAM)
    per_gram = (ferment(more, at).original - ferment(supply, at).original) / _GRAM
    return replace(supply, early_sugar=np.maximum(supply.early_sugar + rise / per_gram, 0.0))


def _blur(model: GravityModel, count: int, curve: MustCurve, moved: Moved | None) -> _Blur:
    if moved is None:
        return _Blur(np.zeros(count), np.zeros(count), np.zeros(count))
    other = MustCurve(model, moved.musts, read_supply(moved.musts, model.typical))
    coefficients = model.coefficients(curve.width)
    here, there = curve.state(coefficients), other.state(coefficients)
    first = moved.variance(here.original, there.original)
    last = moved.variance(here.undiluted, there.undiluted)
    # Var(a + b) = Var(a) + Var(b) + 2 Cov(a, b).
    sums = moved.variance(here.original + here.undiluted, there.original + there.undiluted)
    return _Blur(first, (sums - first - last) / 2, last)
