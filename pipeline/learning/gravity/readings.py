"""First and finished gravities as they are read: how noisy, and what batches differ by."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from pipeline.learning.doubtful import Moved
from pipeline.learning.ferment import State, ferment, slopes
from pipeline.learning.mixed.curved import CurvedFit
from pipeline.learning.mixed.spreads import Grouped

if TYPE_CHECKING:
    from pipeline.learning.gravity import MustCurve

OUTCOME_SD = {"original": 0.0035, "final": 0.0015}
BATCH = Grouped("batch sugar", (), 4.0, 0.4)  # [g/L] by which a batch departs from its recipe
RESIDUAL = (1.0, 0.15)  # rows are in units of their own standard deviation
TOLERANCE_NOISE = 0.25  # [% vol] between two ferments of one must


class ReadingDoubts:
    """What doubt about amounts makes of the readings of logged musts [SG], as deviations (n,)."""

    def __init__(
        self, count: int, moved: Moved | None = None, there: MustCurve | None = None
    ) -> None:
        self.shared = {name: np.zeros(count) for name in OUTCOME_SD}
        self.of_last = np.zeros(count)
        self.moved, self.there = moved, there

    def look(self, here: State, coefficients: np.ndarray) -> None:
        """Work the deviations out anew at these coefficients."""
        if self.moved is None or self.there is None:
            return
        there, of = self.there.state(coefficients), self.moved.of
        # Nutrient and warmth do nothing to the first reading.
        is_shared = there.original != here.original[of]
        last = np.where(is_shared, there.final, here.final[of])
        alone = np.where(is_shared, here.final[of], there.final)
        self.shared = {
            "original": np.sqrt(self.moved.variance(here.original, there.original)),
            "final": np.sqrt(self.moved.variance(here.final, last)),
        }
        self.of_last = np.sqrt(self.moved.variance(here.final, alone))


class ReadingCurve:
    """First and finished gravities of some musts along the coefficients, and their precision.

    What doubt about amounts does to both readings of a batch alike widens the effect that they
    share, so that the first tells what really went in; what it does to the last alone is noise.
    """

    def __init__(
        self,
        curve: MustCurve,
        rows: dict[str, np.ndarray],
        sd: dict[str, float],
        doubts: ReadingDoubts,
    ) -> None:
        self.curve, self.rows, self.sd, self.doubts = curve, rows, dict(sd), doubts
        self.batch_sd = float(BATCH.sd or 1.0)

    def __call__(self, coefficients: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return expected readings (n,), Jacobian (n, width) and reach of a batch's sugar (n,)."""
        curve = self.curve
        at = curve.scalars(coefficients)
        state = ferment(curve.supply, at)
        along = slopes(curve.supply, at, ("original", "final"))
        self.bend = np.abs(along["final"]["tolerance"])
        litres = curve.litres(at)
        means, jacobians, reaches = [], [], []
        for name, rows in self.rows.items():
            means.append(getattr(state, name)[rows])
            jacobians.append(curve.jacobian(along[name], rows))
            reach = along[name]["more_sugar"] * litres
            # Where sugar runs out before the yeast does, more of it ends at a lower gravity.
            far = np.hypot(reach, self.doubts.shared[name] / self.batch_sd)
            reaches.append(np.copysign(far, reach)[rows])
        return np.concatenate(means), np.vstack(jacobians), np.concatenate(reaches)

    def weigh(self, coefficients: np.ndarray, fit: CurvedFit | None) -> np.ndarray:
        """Return each reading's precision; past the bend the yeast's own mood adds to its noise."""
        if fit is not None:
            self._learn_deviations(fit)
            learnt = max(fit.regressor.group_sd_[BATCH.name], 0.1 * (BATCH.sd or 1.0))
            # Half the way: reaches rest on it in turn, and all of it would overshoot.
            self.batch_sd = float(np.sqrt(self.batch_sd * learnt))
        self.doubts.look(self.curve.state(coefficients), coefficients)
        return np.concatenate([self._noise(name, rows) for name, rows in self.rows.items()]) ** -2

    def _noise(self, name: str, rows: np.ndarray) -> np.ndarray:
        if name != "final":
            return np.full(rows.size, self.sd[name])
        mood = self.bend[rows] * TOLERANCE_NOISE
        return np.sqrt(self.sd[name] ** 2 + mood**2 + self.doubts.of_last[rows] ** 2)

    def _learn_deviations(self, fit: CurvedFit) -> None:
        """Learn how noisy each kind of reading is from what the fit leaves over."""
        count = fit.left.size
        freed = count / max(fit.regressor.degrees_ - 0.5 / RESIDUAL[1] ** 2, 0.2 * count)
        first = 0
        for name, rows in self.rows.items():
            left, tails = (part[first : first + rows.size] for part in (fit.left, fit.tails))
            first += rows.size
            away = self._noise(name, rows)
            worse = freed * (tails * (left / away) ** 2).sum()
            # Ten imaginary readings of the expected deviation steady a small logbook.
            before = 10 * (OUTCOME_SD[name] / self.sd[name]) ** 2
            self.sd[name] *= float(np.sqrt((worse + before) / (rows.size + 10)))
