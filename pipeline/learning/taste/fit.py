"""One answer of the glasses (score, harshness or an intensity) fitted to what went in.

Tasters are taken out of the glasses (`taste_tasters`), pours are regressed on the terms of
`taste_terms` with one effect a batch, and the two are repeated, each given the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from pipeline.learning.mixed import MixedModel, Posterior
from pipeline.learning.mixed.columns import Columns
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.taste.inputs import TasteInputs, Usual
from pipeline.learning.taste.pours import PourTable
from pipeline.learning.taste.tannin import Shape, apart, moved
from pipeline.learning.taste.tasters import Pours, Tasters, judge_pours
from pipeline.learning.taste.terms import Terms, grip_worth, taste_columns

PASSES = 2
MOST_BENDS = 4
STRAIGHT_ENOUGH = 0.05  # change of the tannin's curve that hardly moves a prediction
MISFIT = 1.15  # no straight line is quite right: errors over deviations, on simulated makers
LEAST_WORTH = 0.5  # [points] grip, under which its curve is not worth bending
AT_ONCE = 4000  # rows copied once for each doubtful input
NOISE_DOUBT = 0.15  # of the logarithm of a glass's noise, once the tasters have shown it


@dataclass(frozen=True)
class Words:
    """Names that have effects of their own."""

    fruits: tuple[str, ...]
    recipes: tuple[str, ...] = ()
    evenings: tuple[str, ...] = ()


@dataclass
class AnswerFit:
    """The fitted answer; `regressor` is None where no glass was marked for it."""

    terms: Terms
    words: Words
    usual: Usual
    shape: Shape = field(default_factory=Shape)
    grip_worth: float = 3.0
    regressor: MixedModel | None = None
    tasters: Tasters | None = None
    pours: Pours | None = None
    weight: np.ndarray = field(default_factory=lambda: np.empty(0))
    spreads: np.ndarray | None = None

    def design(
        self,
        inputs: TasteInputs,
        recipe: Sequence[str | None] | None = None,
        evening: Sequence[str | None] | None = None,
    ) -> tuple[np.ndarray, Columns]:
        """Return what is expected beforehand and the columns of departures from it."""
        terms, nobody = self.terms, [None] * len(inputs)
        expected, columns = taste_columns(
            inputs, terms, (self.shape, self.grip_worth), self.words.fruits, self.usual.yeasts
        )
        columns.levels("recipe", recipe or nobody, self.words.recipes, terms.recipe)
        columns.levels("evening", evening or nobody, self.words.evenings, terms.session)
        return expected, columns

    def posterior(
        self, inputs: TasteInputs, recipe: Sequence[str | None] | None = None
    ) -> Posterior:
        """Return the expected answer of wines; unknown inputs widen it."""
        expected, columns = self.design(inputs, recipe)
        rows = columns.matrix()
        blurred = self.input_variance(inputs)
        if self.regressor is None:
            sd = np.sqrt((rows**2) @ prior_deviations(columns) ** 2)
            return Posterior(expected, np.sqrt(sd**2 + blurred))
        found = self.regressor.posterior(rows)
        return Posterior(expected + found.mean, np.sqrt((MISFIT * found.sd) ** 2 + blurred))

    def mean(self, inputs: TasteInputs) -> np.ndarray:
        """Return the expected answer alone."""
        expected, columns = self.design(inputs)
        if self.regressor is None:
            return expected
        return expected + np.asarray(columns.matrix() @ self.regressor.coef_).ravel()

    def input_variance(self, inputs: TasteInputs) -> np.ndarray:
        """Return how much doubt about the inputs alone makes the answer vary."""
        total = np.zeros(len(inputs))
        for first in range(0, len(inputs), AT_ONCE):
            rows = np.arange(first, min(first + AT_ONCE, len(inputs)))
            total[rows] = self._input_variance(inputs.take(rows))
        return total

    def _input_variance(self, inputs: TasteInputs) -> np.ndarray:
        """Move every doubtful input by its deviation, each in a copy of the row."""
        unsure = {name: np.flatnonzero(sd > 0) for name, sd in inputs.doubt.items()}
        copied = np.concatenate([np.empty(0, int), *unsure.values()])
        if copied.size == 0:
            return np.zeros(len(inputs))
        there, first = inputs.take(copied), 0
        for name, rows in unsure.items():
            there.number[name][first : first + rows.size] += inputs.doubt[name][rows]
            first += rows.size
        away = self.mean(there) - self.mean(inputs)[copied]
        return np.bincount(copied, away**2, len(inputs))

    def batch_sd(self) -> float:
        """Return how much batches alike in everything known differ."""
        if self.regressor is None:
            return self.terms.batch[0]
        return self.regressor.group_sd_["batch"]

    def new_batch_sd(self) -> float:
        """Return how the mean of one glass from each taster varies about the expected."""
        evening = self.terms.session.sd or 0.0
        noise = self.terms.glass_sd
        if self.regressor is not None and self.tasters is not None:
            evening = self.regressor.group_sd_["evening"]
            noise = self.tasters.mean_noise()
        return float(np.sqrt(self.batch_sd() ** 2 + evening**2 + noise**2))

    @property
    def degrees(self) -> float:
        """Degrees of freedom that intervals rest on."""
        return 3.0 if self.regressor is None else max(float(self.regressor.degrees_), 3.0)


def prior_deviations(columns: Columns) -> np.ndarray:
    """Return the standard deviation of each coefficient before any glass."""
    sd = np.zeros(len(columns.names))
    for group in columns.grouped():
        sd[list(group.columns)] = group.sd or 0.0
    return sd


def fit_answer(
    fit: AnswerFit,
    answer: str,
    pours: PourTable,
    inputs: TasteInputs,
    recipe: Sequence[str | None],
    start: AnswerFit | None = None,
) -> AnswerFit:
    """Fit one answer.

    Parameters
    ----------
    fit : AnswerFit
        Not yet fitted: its terms and words.
    answer : str
        `score`, `harshness` or an intensity.
    pours : PourTable
    inputs : TasteInputs
        One row per pour.
    recipe : sequence of str or None
        The recipe of each pour.
    start : AnswerFit, optional
        A fit to nearly the same glasses.
    """
    glasses = pours.glasses(answer)
    if glasses.mark.size == 0:
        return fit
    terms, spreads = fit.terms, None
    if start is not None and start.words.fruits == fit.words.fruits:
        spreads, fit.shape, fit.grip_worth = start.spreads, start.shape, start.grip_worth
    judged = judge_pours(glasses, pours.tasters, terms.glass_sd, terms.severity_sd)
    turns = MOST_BENDS if terms.bends else PASSES
    for turn in range(turns):
        before, columns = fit.design(inputs, recipe, pours.evening)
        rows = columns.matrix()
        if turn < PASSES:
            fit.weight = _weights(judged, fit.input_variance(inputs))
        fit.regressor = _regressor(columns, terms, judged.glass_sd)
        fit.regressor.fit(rows, judged.worth - before, pours.must, fit.weight, spreads)
        spreads = fit.spreads = fit.regressor.log_spreads_
        if turn < PASSES:
            fitted = before + np.asarray(rows @ fit.regressor.coef_).ravel()
            judged = judge_pours(
                glasses, pours.tasters, terms.glass_sd, terms.severity_sd, fitted, fit.batch_sd()
            )
        if turn >= PASSES - 1 and (turn == turns - 1 or not _bend(fit, columns)):
            break
        if terms.bends and turn < PASSES - 1:
            _bend(fit, columns)
    fit.tasters, fit.pours = judged.tasters, judged
    return fit


def _regressor(columns: Columns, terms: Terms, glass_sd: float) -> MixedModel:
    return MixedModel(
        columns.grouped(),
        Grouped("batch", (), *terms.batch),
        residual=(glass_sd, NOISE_DOUBT),
        fit_intercept=False,
        tol=1e-3,
    )


def _bend(fit: AnswerFit, columns: Columns) -> bool:
    """Take the curve to where its tangent points, if that is any distance; tell whether it is."""
    assert fit.regressor is not None  # called on a fit just made
    there = moved(columns, fit.regressor.coef_)
    worth = max(grip_worth(fit.terms, columns, fit.regressor.coef_), LEAST_WORTH)
    if apart(there, fit.shape) < STRAIGHT_ENOUGH and abs(worth - fit.grip_worth) < 0.2:
        return False
    fit.shape, fit.grip_worth = there, worth
    return True


def _weights(judged: Pours, blurred: np.ndarray) -> np.ndarray:
    """Weigh each pour by its glasses and by how surely its inputs are known."""
    variance = 1.0 / np.maximum(judged.weight, 1e-12) + blurred / judged.glass_sd**2
    return np.where(judged.weight > 0, 1.0 / variance, 0.0)
