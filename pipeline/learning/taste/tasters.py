"""Tasters: how severe each is, how much of the scale each uses and how steady each is.

A glass is worth y = centre + severity + scale · (wine - centre) + noise, where the wine is what
its pour (one wine at one tasting, sweetened or not) is worth to the tasters of the logbook on
average. The noise is Student's t, so that a slip of the pen bends little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

ROUNDS = 8
TAIL_DEGREES = 5.0
TAIL_TO_SD = 1.2  # deviation of marks over the scale of the t curve that suits them
SCALE_SD = 0.15  # spread between tasters' use of the scale; common practice, no source
NOISE_WORTH = 8.0  # glasses that the common noise is worth beside a taster's own
FEWEST_GLASSES = 4  # of a taster, under which nothing is said of the taster's scale


@dataclass(frozen=True)
class Glasses:
    """One entry a glass: its mark, its taster and its pour, both as places; and how many pours."""

    mark: np.ndarray
    taster: np.ndarray
    pour: np.ndarray
    pours: int


@dataclass(frozen=True)
class Tasters:
    """What was learnt of each taster; severity averages nought and scale one over tasters."""

    names: tuple[str, ...]
    severity: np.ndarray
    scale: np.ndarray
    noise: np.ndarray
    centre: float

    def mean_noise(self) -> float:
        """Return the standard deviation of the mean of one glass from each taster."""
        count = max(len(self.names), 1)
        return float(TAIL_TO_SD * np.sqrt((self.noise**2).sum()) / count)


@dataclass(frozen=True)
class Pours:
    """What each pour is worth with the tasters taken out, and how many plain glasses it weighs."""

    worth: np.ndarray
    weight: np.ndarray
    glass_sd: float
    tasters: Tasters


def judge_pours(
    glasses: Glasses,
    names: tuple[str, ...],
    glass_sd: float,
    severity_sd: float,
    expected: np.ndarray | None = None,
    spread: float | None = None,
) -> Pours:
    """Take the tasters out of their glasses.

    Parameters
    ----------
    glasses : Glasses
    names : tuple of str
        The tasters.
    glass_sd, severity_sd : float
        Expected noise of a glass and spread between tasters' severities.
    expected : array (pours,), optional
        What each pour is worth by what is known of the wine; the mean where none is given.
    spread : float, optional
        Standard deviation of pours about that; estimated where none is given.
    """
    state = _State(glasses, len(names), glass_sd, severity_sd, expected, spread)
    for _ in range(ROUNDS):
        state.update()
    worth, weight = state.pours()
    tasters = Tasters(names, state.severity, state.scale, state.noise, state.centre)
    return Pours(worth, weight, state.glass_sd, tasters)


class _State:
    """The alternating estimates: wines given tasters, tasters given wines."""

    def __init__(
        self,
        glasses: Glasses,
        tasters: int,
        glass_sd: float,
        severity_sd: float,
        expected: np.ndarray | None,
        spread: float | None,
    ) -> None:
        self.glasses, self.tasters = glasses, tasters
        self.glass_sd = self.prior_sd = glass_sd
        self.severity_sd = severity_sd
        self.pour_count = glasses.pours
        self.centre = float(np.median(glasses.mark)) if glasses.mark.size else 0.0
        self.expected = np.full(self.pour_count, self.centre) if expected is None else expected
        self.is_spread_known = spread is not None
        self.spread = 1.5 * glass_sd if spread is None else spread
        self.severity, self.scale = np.zeros(tasters), np.ones(tasters)
        self.noise = np.full(tasters, glass_sd)
        self.tail = np.ones(glasses.mark.size)

    def precision(self) -> np.ndarray:
        """Precision of each glass, in plain glasses."""
        return self.tail * (self.glass_sd / self.noise[self.glasses.taster]) ** 2

    def pours(self) -> tuple[np.ndarray, np.ndarray]:
        """Worth and weight of each pour from its own glasses alone."""
        mark, taster, pour = self.glasses.mark, self.glasses.taster, self.glasses.pour
        scale, precision = self.scale[taster], self.precision()
        weight = np.bincount(pour, precision * scale**2, self.pour_count)
        above = mark - self.centre - self.severity[taster]
        total = np.bincount(pour, precision * scale * above, self.pour_count)
        return self.centre + total / np.maximum(weight, 1e-9), weight

    def update(self) -> None:
        """Go once round: wines, severities, scales, noise, tails."""
        worth, weight = self.pours()
        prior = (self.glass_sd / max(self.spread, 1e-6)) ** 2
        wine = (weight * worth + prior * self.expected) / (weight + prior)
        doubt = self.glass_sd**2 / (weight + prior)
        self._set_tasters(wine, doubt)
        self._set_noise(wine, doubt)
        if not self.is_spread_known:
            self.expected = np.full(self.pour_count, float(wine.mean()))
            self.spread = float(np.sqrt(((wine - self.expected) ** 2 + doubt).mean()))

    def _set_tasters(self, wine: np.ndarray, doubt: np.ndarray) -> None:
        mark, taster, pour = self.glasses.mark, self.glasses.taster, self.glasses.pour
        precision, above = self.precision(), wine[pour] - self.centre
        rest = mark - self.centre - self.scale[taster] * above
        weight = self._sum(precision)
        prior = (self.glass_sd / self.severity_sd) ** 2
        severity = self._sum(precision * rest) / (weight + prior)
        self.severity = severity - severity.mean()
        lifted = mark - self.centre - self.severity[taster]
        square = self._sum(precision * (above**2 + doubt[pour]))
        product = self._sum(precision * above * lifted)
        pull = (self.glass_sd / SCALE_SD) ** 2
        scale = (product + pull) / (square + pull)
        scale[self._sum(np.ones(mark.size)) < FEWEST_GLASSES] = 1.0
        self.scale = scale / scale.mean()

    def _set_noise(self, wine: np.ndarray, doubt: np.ndarray) -> None:
        mark, taster, pour = self.glasses.mark, self.glasses.taster, self.glasses.pour
        fitted = (
            self.centre + self.severity[taster] + self.scale[taster] * (wine[pour] - self.centre)
        )
        square = (mark - fitted) ** 2
        full = self.tail * (square + self.scale[taster] ** 2 * doubt[pour])
        worth = NOISE_WORTH * self.prior_sd**2
        common = (full.sum() + worth) / (full.size + NOISE_WORTH)
        own = (self._sum(full) + NOISE_WORTH * common) / (
            self._sum(np.ones(full.size)) + NOISE_WORTH
        )
        self.glass_sd, self.noise = float(np.sqrt(common)), np.sqrt(own)
        self.tail = (TAIL_DEGREES + 1) / (TAIL_DEGREES + square / self.noise[taster] ** 2)

    def _sum(self, values: np.ndarray) -> np.ndarray:
        return np.bincount(self.glasses.taster, values, self.tasters)
