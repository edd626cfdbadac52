"""What a split batch settled once it was tasted: the difference as it was known before, and after.

Before is what the logbook says without the glasses of the two arms: they are left out and the taste
model is fitted again. After is that, weighed against the difference that the same tasters found on
the same evenings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.learning.models import Models
from pipeline.learning.taste import TasteModel, fit_taste
from pipeline.learning.taste.acidity import fermented_musts
from pipeline.learning.taste.inputs import TasteInputs
from pipeline.learning.taste.pours import PourTable
from pipeline.learning.trial import Differences, Noise, Pair, differences

MOST_MORE = 60  # tastings that are tried out; nobody holds more of one wine


@dataclass(frozen=True)
class Arms:
    """Two arms as logged: places among the model's batches, and the sugar stirred in [g/L].

    `sugar` is NaN where the glass was tasted as it is.
    """

    base: int
    other: int
    base_sugar: float = float("nan")
    other_sugar: float = float("nan")

    @property
    def is_one_wine(self) -> bool:
        """Tell whether the arms are two glasses of one batch."""
        return self.base == self.other


@dataclass(frozen=True)
class Shown:
    """What tasters found between the arms of some pairs: one array of differences a pair [points].

    Each difference is one taster's mark of the other arm less that of the base on one evening.
    """

    found: tuple[np.ndarray, ...]
    tasters: int
    evenings: int

    @property
    def tastings(self) -> int:
        """Return how many times one taster marked both arms on one evening."""
        return sum(pair.size for pair in self.found)

    def mean(self) -> float:
        """Return the mean difference, every tasting counted alike."""
        return float(np.concatenate(self.found).mean())

    def weighed(
        self, noise: Noise, *, more: int = 0, pairs: int = 0, each: int = 1, is_one_wine: bool
    ) -> tuple[float, float]:
        """Return the difference that the pairs show together, and its variance.

        Parameters
        ----------
        noise : Noise
        more : int
            Tastings more of every pair, as if they were had.
        pairs, each : int
            Pairs more, and tastings of each.
        is_one_wine : bool
        """
        counts = [pair.size + more for pair in self.found] + [each] * pairs
        weights = [1 / noise.variance(count, is_one_wine=is_one_wine) for count in counts]
        means = [float(pair.mean()) for pair in self.found]
        value = float(np.average(means, weights=weights[: len(means)]))
        return value, 1 / sum(weights)


@dataclass(frozen=True)
class Settled:
    """A difference before the arms were tasted and after, with what it rests on.

    value and variance are those afterwards, on the fit's scale.
    """

    before: Differences
    shown: Shown
    value: float
    variance: float
    is_one_wine: bool

    def half_width(self, variance: float | None = None) -> float:
        """Return half of the interval afterwards, or at another variance [logbook's points]."""
        return self.before.half_width(self.variance if variance is None else variance)

    def variance_with(self, *, more: int = 0, pairs: int = 0, each: int = 1) -> float:
        """Return the variance there would be with more tastings, or more pairs."""
        one = self.is_one_wine
        _, shown = self.shown.weighed(
            self.before.noise, more=more, pairs=pairs, each=each, is_one_wine=one
        )
        known = float(self.before.variance_now()[0])
        return known * shown / (known + shown)


def settle(
    without: TasteModel, answer: str, factor: str, arms: Sequence[Arms], shown: Shown
) -> Settled:
    """Weigh what tasters found against what was known before.

    Parameters
    ----------
    without : TasteModel
        Fitted without the glasses of the arms.
    answer : {'harshness', 'score'}
    factor : str
        In which the arms differ.
    arms : sequence of Arms
        One or more pairs, made alike.
    shown : Shown
        One entry a pair.
    """
    first = arms[0]
    inputs = _with_sugar(without.inputs, first)
    one = first.is_one_wine
    before = differences(without, answer, inputs, [Pair(factor, 0, 1, is_one_wine=one)])
    known = float(before.variance_now()[0])
    value, doubt = shown.weighed(before.noise, is_one_wine=one)
    share = known / (known + doubt)
    expected = float(before.value[0])
    return Settled(
        before=before,
        shown=shown,
        value=expected + share * (value - expected),
        variance=share * doubt,
        is_one_wine=one,
    )


def _with_sugar(inputs: TasteInputs, arms: Arms) -> TasteInputs:
    both = inputs.take(np.array([arms.base, arms.other]))
    stirred = np.array([arms.base_sugar, arms.other_sugar])
    sugar = np.where(np.isfinite(stirred), stirred, both.number["residual_sugar"])
    return both.changed(residual_sugar=sugar)


def shown_by(pours: PourTable, answer: str, arms: Sequence[Arms]) -> Shown | None:
    """Return what tasters found who marked both arms on one evening; None where nobody did."""
    found, tasters, evenings = [], set(), set()
    for pair in arms:
        base = _marks(pours, answer, pair.base, pair.base_sugar)
        other = _marks(pours, answer, pair.other, pair.other_sugar)
        both = sorted(base.keys() & other.keys())
        if both:
            found.append(np.array([other[key] - base[key] for key in both]))
            tasters |= {taster for _, taster in both}
            evenings |= {evening for evening, _ in both}
    return Shown(tuple(found), len(tasters), len(evenings)) if found else None


def _marks(pours: PourTable, answer: str, must: int, sugar: float) -> dict[tuple[str, int], float]:
    """Return the mean mark of one wine by evening and taster."""
    marks = pours.marks[answer]
    poured = pours.residual_sugar[pours.glass_pour]
    same = np.isnan(poured) if np.isnan(sugar) else np.isclose(poured, sugar)
    rows = np.flatnonzero(same & (pours.must[pours.glass_pour] == must) & np.isfinite(marks))
    found: dict[tuple[str, int], list[float]] = {}
    for row in rows:
        key = (pours.evening[pours.glass_pour[row]], int(pours.glass_taster[row]))
        found.setdefault(key, []).append(float(marks[row]))
    return {key: float(np.mean(values)) for key, values in found.items()}


def fit_without(
    models: Models, batches: pl.DataFrame, glasses: pl.DataFrame, batch_ids: Sequence[str]
) -> TasteModel:
    """Fit the taste model to the glasses of all batches but some.

    Parameters
    ----------
    models : Models
        Fitted to all of them.
    batches, glasses : polars.DataFrame
        The mart's tables.
    batch_ids : sequence of str
        Whose glasses are left out; what went into these batches stays known.
    """
    with np.errstate(invalid="ignore"):  # what is not known is NaN and passes through
        return fit_taste(
            models.musts,
            batches,
            glasses.filter(~pl.col("batch_id").is_in(list(batch_ids))),
            of_gravity=fermented_musts(models.gravity, models.musts),
            score_out_of=models.taste.score_out_of,
            harsh_from=models.taste.harsh_from,
            start=models.taste,
        )
