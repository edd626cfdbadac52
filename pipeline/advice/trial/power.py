"""How many tastings a difference of a given size takes: from points on the sheet to right answers.

A taster who marks glasses with some noise tells two of them apart by the same noise: the share of
right answers follows from the difference over the noise of a glass.

References
----------
.. [1] L. L. Thurstone's law of comparative judgement, and for three glasses J. E. R. Frijters, Br.
   J. Math. Stat. Psychol. 32, 1979: from memory; both are simulated in the tests.
"""

from __future__ import annotations

import math
from typing import Any

from scipy import integrate, stats

from pipeline.advice.tasting.power import ALPHA, POWER, tastings_needed
from pipeline.enology.sensory import Test, hits_needed

TESTS: tuple[Test, ...] = ("paired", "triangle")
_GUESSED = {"paired": 1 / 2, "triangle": 1 / 3}
_FARTHEST = 8.0  # standard deviations, beyond which nothing is left to sum


def share_right(test: Test, difference: float, glass_sd: float) -> float:
    """Return the share of right answers that a difference between two wines brings.

    Parameters
    ----------
    test : {'paired', 'triangle'}
    difference : float
        Between the wines [points].
    glass_sd : float
        Standard deviation of one glass of one wine [points], above 0.

    Returns
    -------
    float
        From that of guessing, with no difference, to 1.

    Examples
    --------
    >>> round(share_right("paired", 0.5, 0.5), 3), round(share_right("triangle", 0.5, 0.5), 3)
    (0.76, 0.418)
    """
    apart = abs(difference) / glass_sd
    if test == "paired":
        return float(stats.norm.cdf(apart / math.sqrt(2)))

    def right(gap: float) -> float:
        # The two alike differ by less than either does from the odd one.
        near, far = (-gap * math.sqrt(3) + way * apart * math.sqrt(2 / 3) for way in (1, -1))
        return float((stats.norm.cdf(near) + stats.norm.cdf(far)) * stats.norm.pdf(gap))

    return 2 * float(integrate.quad(right, 0.0, _FARTHEST)[0])


def answers_to_see(difference: float, glass_sd: float) -> list[dict[str, Any]]:
    """Return, per kind of test, how many answers it takes to see a difference.

    Parameters
    ----------
    difference : float
        Between the wines [points], not 0.
    glass_sd : float
        Of one glass [points].

    Returns
    -------
    list of dict
        ``test``, ``share_right``, ``share_who_can_tell``, ``tastings_needed`` (for a chance of
        `POWER` to see it; null if more than a house holds) and ``hits_needed`` of those.
    """
    found = []
    for test in TESTS:
        right, guessed = share_right(test, difference, glass_sd), _GUESSED[test]
        share = (right - guessed) / (1 - guessed)
        needed = tastings_needed(test, share, POWER, ALPHA)
        found.append(
            {
                "test": test,
                "share_right": right,
                "share_who_can_tell": share,
                "tastings_needed": needed,
                "hits_needed": None if needed is None else hits_needed(test, needed, ALPHA),
            }
        )
    return found
