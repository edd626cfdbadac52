"""How far what a change does to one recipe lies from what the curves say that it does.

The covariance of the coefficients knows what no batch has told yet. It does not know that a curve
is not quite the wine, that sugar and strength on which the taste rests are themselves expected, or
that one recipe takes a change otherwise than the next. Differences of two recipes are widened by a
part of their own size and by a little besides, so that nine in ten of the true ones lie inside; on
simulated makers, whose curves are not the models' (tests/scale/suggest_quality.py).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.learning import gravity, volume
from pipeline.learning.taste import fit as taste_fit

UNTOUCHED = 1e-9  # a deviation under which a change does not reach an outcome at all


@dataclass(frozen=True)
class Departure:
    """By how much differences of one outcome are widened.

    `misfit` multiplies the deviation of the coefficients, `share` is a part of the difference's own
    size, `least` is in the outcome's unit.
    """

    misfit: float = 1.0
    share: float = 0.0
    least: float = 0.0

    def own(self, change: np.ndarray) -> np.ndarray:
        """Return the deviation of each recipe's own departure from the curves."""
        return np.hypot(self.share * change, self.least)

    def widened(
        self, change: np.ndarray, sd: np.ndarray, own: np.ndarray | None = None
    ) -> np.ndarray:
        """Return how surely differences are known.

        Parameters
        ----------
        change : array (n,)
            What is expected to change.
        sd : array (n,)
            Deviation by the coefficients alone; where it is nought nothing is changed.
        own : array (n,), optional
            Deviation of the recipes' own departures, where several changes make up each.
        """
        there = np.hypot(self.misfit * sd, self.own(change) if own is None else own)
        return np.asarray(np.where(sd > UNTOUCHED, there, sd))


CERTAIN = Departure()  # curves taken at their word
DEPARTURES = {
    "finished_fraction": Departure(volume.MISFIT, 0.05, 0.002),
    "original_gravity": Departure(gravity.MISFIT),
    "final_gravity": Departure(gravity.MISFIT),
    "nitrogen_needed": Departure(gravity.MISFIT),
    "alcohol": Departure(gravity.MISFIT, 0.1, 0.1),
    "residual_sugar": Departure(gravity.MISFIT, 0.2, 1.0),
    "harshness": Departure(taste_fit.MISFIT, 0.3, 0.08),
    "score": Departure(taste_fit.MISFIT, 0.3, 0.2),  # of 20 points
}
