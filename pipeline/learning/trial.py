"""What a split batch would teach: two wines alike in all but one thing, tasted side by side.

Everything that the two arms share (fruit, recipe, season, the evening, the tasters' severities)
cancels in their difference; what each vessel does by itself and the noise of the glasses do not.
The difference is known now with variance P: of the coefficients (with the taste model's misfit),
and of a departure of this one recipe from the model's curves, which no other batch tells of. The
pair shows it with variance R. Afterwards it is P R / (P + R), whatever the glasses will say: the
interval that the logbook will give is known beforehand, the spreads being taken as they are now.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.cellar.notes import keep
from pipeline.learning.departures import DEPARTURES
from pipeline.learning.estimate import Estimate, estimate_from, interval_factor
from pipeline.learning.explain.shares import mixtures
from pipeline.learning.taste import TasteModel, with_harshness
from pipeline.learning.taste.fit import AnswerFit
from pipeline.learning.taste.inputs import TasteInputs

ANSWERS = ("harshness", "score")  # what a trial can be about, in this order of preference
# What a factor carries with it: more fruit brings acid and sugar, another yeast another strength.
BRINGS = {
    "fruit_load": ("acidity", "alcohol", "residual_sugar"),
    "yeast": ("alcohol", "residual_sugar"),
    "nitrogen_shortfall": ("alcohol", "residual_sugar"),
    "alcohol": ("residual_sugar",),
}


@dataclass(frozen=True)
class Pair:
    """Two arms: the places of their rows, the one factor in which they differ, and how.

    `is_one_wine` where the arms are two glasses of one wine, so that the vessel cancels too.
    """

    factor: str
    base: int
    other: int
    is_one_wine: bool = False


@dataclass(frozen=True)
class Noise:
    """What a glass shows beyond the coefficients: standard deviations [points].

    `glass` is that of one glass from an ordinary taster, `vessel` that of a batch.
    """

    glass: float
    vessel: float

    def variance(self, glasses: float, pairs: int = 1, *, is_one_wine: bool = False) -> float:
        """Return how far the difference that pairs of arms show lies from the true one [points²].

        Parameters
        ----------
        glasses : float
            Of each arm of each pair.
        pairs : int
            How often the two arms are made.
        is_one_wine : bool
        """
        vessel = 0.0 if is_one_wine else self.vessel**2
        return 2 * (vessel + self.glass**2 / glasses) / pairs


@dataclass(frozen=True)
class Differences:
    """By how much the other arm of each pair is above the base; one entry a pair.

    value (k,) is expected [points of the fit's scale], shared (k, k) the covariance of what the
    coefficients leave open, own (k,) the variance of each recipe's departure from the curves.
    """

    pairs: tuple[Pair, ...]
    value: np.ndarray
    shared: np.ndarray
    own: np.ndarray
    noise: Noise
    degrees: float
    batches: int
    unit_share: float  # points of the logbook's scale for one of the fit's

    def variance_now(self) -> np.ndarray:
        """Return how doubtful each difference is [points²]."""
        return np.diag(self.shared) + self.own

    def variance_after(self, k: int, glasses: float, pairs: int = 1) -> np.ndarray:
        """Return how doubtful every difference is once one of them was tried.

        Parameters
        ----------
        k : int
            Which is tried.
        glasses, pairs
            As in `Noise.variance`.
        """
        with_own = self.shared[k] + self.own * (np.arange(self.own.size) == k)
        shown = self.noise.variance(glasses, pairs, is_one_wine=self.pairs[k].is_one_wine)
        left = self.variance_now() - with_own**2 / (with_own[k] + shown)
        return np.asarray(np.maximum(left, 0.0))

    def estimate(self, value: float, variance: float) -> Estimate:
        """Return a difference with its interval [points of the logbook's scale]."""
        share = self.unit_share
        found = estimate_from(
            value * share, math.sqrt(variance) * share, "points", self.batches, self.degrees
        )
        assert found is not None  # every input is complete, so that nothing here can be NaN
        return found

    def is_touched(self, k: int) -> bool:
        """Tell whether the change reaches the wine at all."""
        return bool(self.shared[k, k] > 1e-9)

    def half_width(self, variance: float) -> float:
        """Return half of how wide the interval of such a variance is [logbook's points]."""
        return interval_factor(self.degrees) * math.sqrt(variance) * self.unit_share


def differences(
    model: TasteModel, answer: str, inputs: TasteInputs, pairs: Sequence[Pair]
) -> Differences:
    """Return what a taste model knows of pairs of wines that differ in one factor.

    Parameters
    ----------
    model : TasteModel
        With a regressor for the answer.
    answer : {'harshness', 'score'}
    inputs : TasteInputs
        One row per wine.
    pairs : sequence of Pair
    """
    fit = answer_fit(model, answer)
    assert fit.regressor is not None  # the caller looked
    value, rows = [], []
    for pair in pairs:
        before, columns = fit.design(_ready(model, answer, _arms(inputs, pair)))
        row = np.diff(columns.matrix().toarray(), axis=0)[0]
        value.append(float(before[1] - before[0] + row @ fit.regressor.coef_))
        rows.append(row)
    row, found = np.array(rows), np.array(value)
    departure = DEPARTURES[answer]
    covariance = departure.misfit**2 * fit.regressor.covariance_[1:, 1:]
    known = Differences(
        pairs=tuple(pairs),
        value=found,
        shared=row @ covariance @ row.T,
        own=departure.own(found) ** 2,
        noise=noise_of(model, answer),
        degrees=fit.degrees,
        batches=model.batches,
        unit_share=model.score_out_of / 20.0 if answer == "score" else 1.0,
    )
    return keep(known)


def answer_fit(model: TasteModel, answer: str) -> AnswerFit:
    """Return the fit of one of `ANSWERS`."""
    return model.score if answer == "score" else model.harshness


def answered(model: TasteModel) -> str | None:
    """Return which answer the logbook's glasses can be asked for, None if no glass was marked."""
    known = (name for name in ANSWERS if answer_fit(model, name).regressor is not None)
    return next(known, None)


def noise_of(model: TasteModel, answer: str) -> Noise:
    """Return the noise of glasses and vessels as a fit found it.

    The two arms of a split are taken to differ by themselves as much as two batches that are alike
    in everything known. They are nearer, since they share what nobody wrote down; how much nearer
    no logbook without split batches tells.
    """
    fit = answer_fit(model, answer)
    assert fit.regressor is not None
    assert fit.pours is not None
    count = max(model.pours.glasses(answer).mark.size, 1)
    # A pour's weight counts plain glasses; a slip of the pen makes a glass worth less than one.
    worth = float(fit.pours.weight.sum()) / count
    glass = float(fit.regressor.residual_sd_) / math.sqrt(worth)
    return Noise(glass, float(fit.regressor.group_sd_["batch"]))


def _arms(inputs: TasteInputs, pair: Pair) -> TasteInputs:
    """Return the base arm, and the same with the factor, and what it brings, as in the other."""
    one, other = (inputs.take(np.array([place])) for place in (pair.base, pair.other))
    changed = (pair.factor, *BRINGS.get(pair.factor, ()))
    mixed = mixtures(one, other, [(), changed])
    return replace(mixed, doubt={name: np.zeros(2) for name in inputs.doubt})


def _ready(model: TasteModel, answer: str, inputs: TasteInputs) -> TasteInputs:
    return with_harshness(inputs, model.harshness) if answer == "score" else inputs
