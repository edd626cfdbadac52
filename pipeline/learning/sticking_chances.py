"""How likely musts are to stick, from log odds: the chance, its interval and what adds up to it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import expit

from pipeline.learning.estimate import Estimate, interval_factor

# Chances of makers not seen lay this much further out than the posterior said (as gravity.MISFIT).
MISFIT = 1.2
LEARNT = 0.5  # share of the prior's variance that batches must take away to be what speaks
USUAL_MUST = "usual must"

_NODES, _OF_NODES = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _OF_NODES / _OF_NODES.sum()  # mean over a normal distribution


@dataclass(frozen=True)
class Chances:
    """How likely musts are to stick, in log odds; arrays (n,), NaN where unknown.

    `usual` is the logbook's average must, `parts` what each must has beyond it, `sd` how surely
    their sum is known, `learnt` the share of what was unknown that batches have settled.
    """

    usual: float
    parts: dict[str, np.ndarray]
    sd: np.ndarray
    learnt: np.ndarray
    batches: int
    stuck: int

    @cached_property
    def mean(self) -> np.ndarray:
        """Expected log odds."""
        return self.usual + np.sum(list(self.parts.values()), axis=0)

    def take(self, rows: np.ndarray) -> Chances:
        """Return them for some of the musts, in the order of these places."""
        parts = {name: part[rows] for name, part in self.parts.items()}
        return replace(self, parts=parts, sd=self.sd[rows], learnt=self.learnt[rows])

    def chance(self, row: int) -> Estimate | None:
        """Return how likely a must is to stick, and within what that is known."""
        mean, sd = float(self.mean[row]), float(self.sd[row])
        if not np.isfinite(mean + sd):
            return None
        half = MISFIT * interval_factor(1e6) * sd
        low, high = float(expit(mean - half)), float(expit(mean + half))
        return Estimate(_averaged(mean, sd), low, high, "1", self.batches)

    def without(self, row: int) -> dict[str, float]:
        """Return the chance were one thing as in the average must, for each thing."""
        mean, sd = float(self.mean[row]), float(self.sd[row])
        return {name: _averaged(mean - part[row], sd) for name, part in self.parts.items()}

    def is_little_known(self, row: int) -> bool:
        """Tell whether general knowledge speaks, more than the maker's own batches."""
        return not self.learnt[row] >= LEARNT

    def added(self, row: int) -> dict[str, float]:
        """Return what adds up to a chance: that of the average must, and what each thing adds.

        Each is switched on in turn, once in order and once backwards, as `learning.parts` does.
        """
        sd, parts = float(self.sd[row]), {name: float(p[row]) for name, p in self.parts.items()}
        start = _averaged(self.usual, sd)
        there = _steps(self.usual, sd, parts)
        back = _steps(self.usual, sd, dict(reversed(parts.items())))
        return {USUAL_MUST: start, **{name: (there[name] + back[name]) / 2 for name in parts}}


def _averaged(mean: float, sd: float) -> float:
    """Return the chance, averaged over the doubt about its log odds."""
    return float(expit(mean + sd * _NODES) @ _WEIGHTS)


def _steps(start: float, sd: float, parts: dict[str, float]) -> dict[str, float]:
    found, at = {}, start
    for name, part in parts.items():
        found[name] = _averaged(at + part, sd) - _averaged(at, sd)
        at += part
    return found
