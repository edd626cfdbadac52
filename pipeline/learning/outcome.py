"""One outcome of several musts: expected, how surely, and how far a new batch lies from it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from pipeline.learning.departures import CERTAIN, Departure
from pipeline.learning.estimate import Estimate, estimate_from
from pipeline.learning.mixed.contrasts import Spread


@dataclass(frozen=True)
class Outcome:
    """One outcome of several musts; arrays (n,).

    `sd` is how surely the expectation is known, `noise` how far a new batch lies from it, `slope`
    (n, width) how the expectation depends on the coefficients that `spread` knows the covariance of
    (None where only `sd` is known). `departure` tells how much less surely a difference is known
    than its coefficients are.
    """

    mean: np.ndarray
    sd: np.ndarray
    noise: np.ndarray
    degrees: float
    batches: int
    unit: str
    bounds: tuple[float, float]
    slope: np.ndarray | None = None
    spread: Spread | None = None
    departure: Departure = CERTAIN

    def take(self, rows: np.ndarray) -> Outcome:
        """Return it for some of the musts, in the order of these places."""
        slope = None if self.slope is None else self.slope[rows]
        return replace(
            self, mean=self.mean[rows], sd=self.sd[rows], noise=self.noise[rows], slope=slope
        )

    def new_batch(self, row: int) -> Estimate | None:
        """Return what a new batch of a must will show."""
        sd = float(np.hypot(self.sd[row], self.noise[row]))
        return self._estimate(float(self.mean[row]), sd, self.bounds)

    def chance_above(self, least: float | np.ndarray) -> np.ndarray:
        """Return how likely a new batch of each must shows at least so much (n,)."""
        sd = np.hypot(self.sd, self.noise)
        with np.errstate(divide="ignore", invalid="ignore"):
            away = (self.mean - least) / sd
        return np.asarray(special.stdtr(max(self.degrees, 3.0), away))

    def expected(self, row: int) -> Estimate | None:
        """Return what batches of a must show on average."""
        return self._estimate(float(self.mean[row]), float(self.sd[row]), self.bounds)

    def change(self, before: int, after: int) -> Estimate | None:
        """Return the difference in expectation between two of the musts, the second less the first.

        What both rest on cancels: two recipes of one fruit share what is not known of the fruit.
        """
        value = float(self.mean[after] - self.mean[before])
        sd = float(self.change_sd(before, np.array([after]))[0])
        return self._estimate(value, sd, (-np.inf, np.inf))

    def change_sd(
        self, before: int, after: np.ndarray | None = None, own: np.ndarray | None = None
    ) -> np.ndarray:
        """Return how surely the differences of musts (all where none is named) from one are known.

        Parameters
        ----------
        before : int
            Place of the must that they differ from.
        after : array of int, optional
            Places of the others.
        own : array, optional
            Deviation of each one's own departures, where several changes make it up.
        """
        rows = np.arange(self.mean.size) if after is None else after
        if self.slope is not None and self.spread is not None:
            sd = self.spread(self.slope[rows] - self.slope[before])
            return self.departure.widened(self.mean[rows] - self.mean[before], sd, own)
        return np.hypot(self.sd[rows], self.sd[before])

    def _estimate(self, value: float, sd: float, bounds: tuple[float, float]) -> Estimate | None:
        return estimate_from(value, sd, self.unit, self.batches, self.degrees, bounds)
