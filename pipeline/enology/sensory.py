"""Exact tests for small tastings: can tasters tell two wines apart, do they prefer one.

References
----------
.. [1] ISO 4120 triangle test, chance 1/3; FAO V7180E Appendix A prints its critical numbers (read).
.. [2] ISO 5495 paired comparison, chance 1/2; two-sided for preference.
"""

from math import comb
from typing import Literal

Test = Literal["triangle", "paired", "preference"]
_CHANCE = {"triangle": 1 / 3, "paired": 1 / 2, "preference": 1 / 2}


def _check(test: str, tastings: int, hits: int) -> float:
    if test not in _CHANCE:
        raise ValueError(f"test must be one of {', '.join(_CHANCE)}, got {test!r}")
    if tastings < 1:
        raise ValueError(f"tastings must be at least 1, got {tastings}")
    if not 0 <= hits <= tastings:
        raise ValueError(f"hits must be between 0 and tastings ({tastings}), got {hits}")
    return _CHANCE[test]


def _at_least(hits: int, tastings: int, chance: float) -> float:
    """Return the chance of so many hits or more by guessing."""
    return sum(
        comb(tastings, k) * chance**k * (1 - chance) ** (tastings - k)
        for k in range(hits, tastings + 1)
    )


def p_value(test: Test, tastings: int, hits: int) -> float:
    """Return how likely so clear a result is if tasters only guess.

    Parameters
    ----------
    test : {'triangle', 'paired', 'preference'}
        Odd one out of three; which of two is more (one-sided); which of two is liked (two-sided).
    tastings : int
        Answers given.
    hits : int
        Right answers; for preference, votes for one of the two.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    ValueError
        If the test is not known or the counts are impossible.

    Examples
    --------
    >>> round(p_value("triangle", 12, 8), 5)
    0.01876
    """
    chance = _check(test, tastings, hits)
    if test != "preference":
        return _at_least(hits, tastings, chance)
    return min(1.0, 2 * _at_least(max(hits, tastings - hits), tastings, chance))


def hits_needed(test: Test, tastings: int, alpha: float = 0.05) -> int | None:
    """Return the fewest hits that are more than guessing, or None if so few tastings cannot tell.

    Parameters
    ----------
    test : {'triangle', 'paired', 'preference'}
    tastings : int
        Answers to be given.
    alpha : float
        Chance of being fooled, 0 to 1.

    Returns
    -------
    int or None

    Raises
    ------
    ValueError
        If an argument is impossible.

    Examples
    --------
    >>> hits_needed("triangle", 12), hits_needed("preference", 5)
    (8, None)
    """
    _check(test, tastings, 0)
    if not 0 < alpha < 1:
        raise ValueError(f"alpha must be between 0 and 1, got {alpha:g}")
    for hits in range((tastings + 1) // 2 if test == "preference" else 0, tastings + 1):
        if p_value(test, tastings, hits) <= alpha:
            return hits
    return None
