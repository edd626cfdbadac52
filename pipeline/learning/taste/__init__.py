"""What the glasses say: score, harshness and every intensity, by what went into the wine.

Tasters are taken out, so that a harsh taster is not a harsh wine; a wine tasted dry and sweetened
is one batch, so that the pair speaks of sweetness alone; every effect leans on what the trade
expects until the logbook holds enough to overrule it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import polars as pl

from pipeline.learning.mixed import Posterior
from pipeline.learning.musts import Musts
from pipeline.learning.taste.acidity import (
    AcidityModel,
    Fermented,
    expected_wine,
    fit_acidity,
    logged_wine,
)
from pipeline.learning.taste.fit import AnswerFit, Words, fit_answer
from pipeline.learning.taste.inputs import (
    TasteInputs,
    Usual,
    read_inputs,
    usual_inputs,
)
from pipeline.learning.taste.intensities import intensity_terms
from pipeline.learning.taste.pours import (
    PourTable,
    common_evenings,
    read_pours,
    repeated_recipes,
)
from pipeline.learning.taste.terms import HARSHNESS, SCORE, Terms

USUAL_TASTE_DAY = 270.0  # [days] common practice, no source
FEWEST_BATCHES = 12  # tasted, under which the logbook's own verdict is not worth hearing


@dataclass
class TasteModel:
    """The fitted answers and what they were fitted to.

    Attributes
    ----------
    harshness, score : AnswerFit
    inputs : TasteInputs
        One row per batch of the fit, as its glasses found it (mean age, nothing stirred in).
    batches : int
        Batches tasted.
    taste_day : float
        Median age at tasting [days], at which a plan is judged unless it says otherwise.
    """

    musts: Musts
    usual: Usual
    acidity: AcidityModel
    harshness: AnswerFit
    score: AnswerFit
    inputs: TasteInputs
    pours: PourTable
    batches: int
    taste_day: float
    score_out_of: float = 20.0
    harsh_from: float = 5.0
    intensities: dict[str, AnswerFit] = field(default_factory=dict)

    def read(self, musts: Musts, of_gravity: Fermented | None = None) -> TasteInputs:
        """Describe planned musts, read with this model's fruits, by what taste depends on.

        Parameters
        ----------
        musts : Musts
        of_gravity : Fermented, optional
            What the gravity model expects; plain mass balance where not given.
        """
        inputs = read_inputs(musts, expected_wine(musts, self.acidity, of_gravity), self.usual)
        known = np.isfinite(musts["taste_day"])
        age = np.where(known, musts["taste_day"], self.taste_day)
        return _at_age(inputs, age)

    def expected_harshness(self, inputs: TasteInputs) -> Posterior:
        """Return the expected harshness of wines, 0 to 10."""
        return self.harshness.posterior(inputs)

    def expected_score(self, inputs: TasteInputs) -> Posterior:
        """Return the expected score of wines, on the logbook's scale."""
        found = self.score.posterior(with_harshness(inputs, self.harshness))
        share = self.score_out_of / 20.0
        return Posterior(found.mean * share, found.sd * share)

    def new_batch_sd(self, answer: str) -> float:
        """Return how far the mean of one glass from each taster lies from the expected.

        Parameters
        ----------
        answer : {'score', 'harshness'}
        """
        if answer == "score":
            return self.score.new_batch_sd() * self.score_out_of / 20.0
        return self.harshness.new_batch_sd()

    def intensity(self, name: str) -> AnswerFit:
        """Return the fit of one intensity (0 to 10), made when first asked for."""
        if name not in self.intensities:
            self.intensities[name] = _fit(self, intensity_terms(name), name, self._pour_inputs())
        return self.intensities[name]

    def measured(self, answer: str) -> tuple[np.ndarray, np.ndarray]:
        """Return per batch the mean over its glasses, taster effects removed, and their weight.

        Glasses as they are where there are any, else the sweetened ones; NaN where none is marked.
        """
        fit = self.score if answer == "score" else self.harshness
        count = len(self.musts)
        if fit.pours is None:
            return np.full(count, np.nan), np.zeros(count)
        plain = np.isnan(self.pours.residual_sugar)
        worth, must = fit.pours.worth, self.pours.must
        found, total = np.full(count, np.nan), np.zeros(count)
        for rows in (~plain, plain):
            weight = np.bincount(must, fit.pours.weight * rows, count)
            mean = np.bincount(must, fit.pours.weight * rows * worth, count)
            has = weight > 1e-9
            found[has], total[has] = mean[has] / weight[has], weight[has]
        return found * (self.score_out_of / 20.0 if answer == "score" else 1.0), total

    def _pour_inputs(self) -> TasteInputs:
        return pour_inputs(self.inputs, self.pours)


def fit_taste(
    musts: Musts,
    batches: pl.DataFrame,
    glasses: pl.DataFrame,
    *,
    of_gravity: Fermented | None = None,
    score_out_of: float = 20.0,
    harsh_from: float = 5.0,
    start: TasteModel | None = None,
) -> TasteModel:
    """Fit score and harshness to the glasses of some batches.

    Parameters
    ----------
    musts : Musts
        The batches to learn from; glasses of any other are left out.
    batches, glasses : polars.DataFrame
        The mart's tables; rows of other batches do no harm.
    of_gravity : Fermented, optional
        What the gravity model expects of these batches by what went in.
    score_out_of, harsh_from : float
        The logbook's settings.
    start : TasteModel, optional
        A model of nearly the same batches, to start from.
    """
    rows = musts.places.join(batches, on="batch_id", how="left", maintain_order="left")
    acidity = fit_acidity(musts, _column(rows, "ta_tartaric_g_l"))
    wine = logged_wine(rows, expected_wine(musts, acidity, of_gravity))
    usual = usual_inputs(musts, wine)
    pours = read_pours(musts, glasses, score_out_of)
    inputs = read_inputs(musts, wine, usual)
    day = float(np.median(pours.age[pours.glass_pour])) if len(pours) else USUAL_TASTE_DAY
    words = Words(musts.fruits, repeated_recipes(musts, pours), common_evenings(pours))
    model = TasteModel(
        musts=musts,
        usual=usual,
        acidity=acidity,
        harshness=AnswerFit(HARSHNESS, words, usual),
        score=AnswerFit(SCORE, words, usual),
        inputs=_at_age(inputs, _ages(pours, len(musts), day)),
        pours=pours,
        batches=int(np.unique(pours.must).size),
        taste_day=day,
        score_out_of=score_out_of,
        harsh_from=harsh_from,
    )
    of_pours = pour_inputs(model.inputs, pours)
    before = (None, None) if start is None else (start.harshness, start.score)
    model.harshness = _fit(model, HARSHNESS, "harshness", of_pours, before[0])
    of_pours = with_harshness(of_pours, model.harshness)
    model.score = _fit(model, SCORE, "score", of_pours, before[1])
    return model


def _fit(
    model: TasteModel,
    terms: Terms,
    answer: str,
    inputs: TasteInputs,
    start: AnswerFit | None = None,
) -> AnswerFit:
    fit = AnswerFit(terms, model.harshness.words, model.usual, model.harshness.shape)
    recipe = [model.musts.recipe[place] for place in model.pours.must]
    return fit_answer(fit, answer, model.pours, inputs, recipe, start)


def pour_inputs(of_batches: TasteInputs, pours: PourTable) -> TasteInputs:
    """Return the inputs of each pour: its own age, and its own sugar where some was stirred in."""
    inputs = of_batches.take(pours.must)
    stirred = np.isfinite(pours.residual_sugar)
    sugar = np.where(stirred, pours.residual_sugar, inputs.number["residual_sugar"])
    age = np.where(np.isfinite(pours.age), pours.age, inputs.number["age"])
    doubt = {**inputs.doubt, "age": np.zeros(len(pours))}
    doubt["residual_sugar"] = np.where(stirred, 0.0, doubt["residual_sugar"])
    return replace(inputs.changed(residual_sugar=sugar, age=age), doubt=doubt)


def with_harshness(inputs: TasteInputs, harshness: AnswerFit) -> TasteInputs:
    """Add the harshness that a wine's inputs lead one to expect, for the score to depend on."""
    found = harshness.posterior(inputs)
    doubt = {**inputs.doubt, "harshness": found.sd}
    return replace(inputs.changed(harshness=found.mean), doubt=doubt)


def _at_age(inputs: TasteInputs, age: np.ndarray) -> TasteInputs:
    doubt = {**inputs.doubt, "age": np.zeros(len(inputs))}
    return replace(inputs.changed(age=age), doubt=doubt)


def _ages(pours: PourTable, count: int, otherwise: float) -> np.ndarray:
    """Return the mean age at which each batch was tasted."""
    known = np.isfinite(pours.age)
    number = np.bincount(pours.must[known], minlength=count)
    total = np.bincount(pours.must[known], pours.age[known], count)
    return np.where(number > 0, total / np.maximum(number, 1), otherwise)


def _column(frame: pl.DataFrame, name: str) -> np.ndarray:
    return frame[name].cast(pl.Float64).fill_null(float("nan")).to_numpy().astype(float)
