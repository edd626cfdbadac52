"""How many tastings it takes: for a difference in score, and for tasters who tell wines apart.

References
----------
.. [1] ISO 4120 (triangle) and ISO 5495 (paired comparison): the binomial tests; a share of tasters
   who truly tell the wines apart, the others guess.
.. [2] Two-sample t test, power by the noncentral t distribution.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from statistics import fmean
from typing import Any

from scipy import stats

from pipeline.enology.sensory import Test, hits_needed

ALPHA = 0.05  # chance of being fooled that is accepted; custom
POWER = 0.8  # chance of seeing a difference that is there; custom
_CHANCE: dict[str, float] = {"triangle": 1 / 3, "paired": 1 / 2, "preference": 1 / 2}
_MOST = 2000  # scores
_MOST_ANSWERS = 200
_STEADY = 12  # the chance goes up in a saw: so many answers on end must all do


def chance_to_see(test: Test, tastings: int, share: float, alpha: float = ALPHA) -> float:
    """Return how likely a test is to tell two wines apart.

    Parameters
    ----------
    test : {'triangle', 'paired', 'preference'}
    tastings : int
        Answers given.
    share : float
        Share of answers from somebody who truly tells them apart, 0 to 1; in `preference`, by
        which the liking of one outweighs that of the other.
    alpha : float
        Chance of being fooled.

    Returns
    -------
    float
        Exact, 0 to 1.

    Examples
    --------
    >>> round(chance_to_see("triangle", 12, 0.5), 3)
    0.632
    """
    needed = hits_needed(test, tastings, alpha)
    if needed is None:
        return 0.0
    guess = _CHANCE[test]
    right = share + (1 - share) * guess
    seen = float(stats.binom.sf(needed - 1, tastings, right))
    # Votes may also go clearly the wrong way round.
    wrong = stats.binom.sf(needed - 1, tastings, 1 - right) if test == "preference" else 0.0
    return seen + float(wrong)


def tastings_needed(
    test: Test, share: float, power: float = POWER, alpha: float = ALPHA
) -> int | None:
    """Return the number of answers from which on a test sees the difference often enough.

    Parameters
    ----------
    test : {'triangle', 'paired', 'preference'}
    share : float
        As in `chance_to_see`, above 0.
    power : float
        Chance of seeing it.
    alpha : float
        Chance of being fooled.

    Returns
    -------
    int or None
        None if more than 200.
    """
    enough = 0
    for tastings in range(1, _MOST_ANSWERS + _STEADY):
        enough = enough + 1 if chance_to_see(test, tastings, share, alpha) >= power else 0
        if enough == _STEADY:
            return tastings - _STEADY + 1
    return None


def scores_needed(
    difference: float, sd: float, power: float = POWER, alpha: float = ALPHA
) -> int | None:
    """Return the scores of each of two wines that it takes to see a difference between them.

    Parameters
    ----------
    difference : float
        In points, not 0.
    sd : float
        Of the scores of one wine, in points, above 0.
    power, alpha : float
        As in `tastings_needed`.

    Returns
    -------
    int or None
        Scores of each wine; None if more than 2000.

    Raises
    ------
    ValueError
        If the difference is 0 or the spread is not above 0.

    Examples
    --------
    >>> scores_needed(0.7, 0.7)
    17
    """
    if difference == 0 or not sd > 0:
        raise ValueError(
            f"difference must not be 0 and sd must be above 0, got {difference:g} and {sd:g}"
        )
    effect = abs(difference) / sd
    each = bisect_left(range(_MOST + 1), power, lo=2, key=lambda n: _power_of_t(n, effect, alpha))
    return each if each <= _MOST else None


def _power_of_t(each: int, effect: float, alpha: float) -> float:
    """Return how often a two-sided t test sees an effect of so many standard deviations."""
    degrees, shift = 2 * each - 2, effect * math.sqrt(each / 2)
    limit = stats.t.ppf(1 - alpha / 2, degrees)
    return float(stats.nct.sf(limit, degrees, shift) + stats.nct.cdf(-limit, degrees, shift))


def compare_scores(first: Sequence[float], second: Sequence[float]) -> dict[str, Any] | None:
    """Return what two sets of scores say about the wines, as they stand.

    Parameters
    ----------
    first, second : sequence of float
        Scores on one scale.

    Returns
    -------
    dict or None
        ``difference`` (second less first, with its 95 % interval), ``sd`` (pooled),
        ``standard_error``, ``chance_by_luck``, ``is_apart``, ``scores_each_to_see_it``; None with
        fewer than two scores of either.

    Notes
    -----
    Student's two-sample t test with pooled spread. Tasters' severity is not taken out: that takes
    the whole logbook (`hedgerow compare`).
    """
    if min(len(first), len(second)) < 2:
        return None
    degrees = len(first) + len(second) - 2
    sd = math.sqrt((_squares(first) + _squares(second)) / degrees)
    if not sd > 0:
        return None
    difference = fmean(second) - fmean(first)
    error = sd * math.sqrt(1 / len(first) + 1 / len(second))
    half = float(stats.t.ppf(1 - ALPHA / 2, degrees)) * error
    chance = 2 * float(stats.t.sf(abs(difference) / error, degrees))
    return {
        "difference": {
            "value": difference,
            "low": difference - half,
            "high": difference + half,
            "level": 1 - ALPHA,
            "unit": "points",
            "batches": 2,
        },
        "sd": sd,
        "standard_error": error,
        "chance_by_luck": chance,
        "is_apart": chance <= ALPHA,
        "scores_each_to_see_it": None if difference == 0 else scores_needed(difference, sd),
    }


def _squares(scores: Sequence[float]) -> float:
    mean = fmean(scores)
    return math.fsum((score - mean) ** 2 for score in scores)
