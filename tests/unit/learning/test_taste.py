"""Score and harshness as learnt from a simulated maker's glasses."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import load_cellar
from pipeline.learning.musts import Musts, read_musts
from pipeline.learning.taste import TasteModel, fit_taste, with_harshness
from pipeline.learning.taste.acidity import Fermented


class Logbook:
    """The frames of one logbook, changed as a test wants them."""

    def __init__(self, folder: Path, seed: int, batches: int) -> None:
        self.maker = makers.simulate(seed, batches, draws=40)
        makers.write(self.maker, folder)
        cellar = load_cellar(folder)
        self.batches, self.glasses = cellar.table("batches"), cellar.table("glasses")
        self.musts, self.must_fruits = cellar.table("musts"), cellar.table("must_fruits")

    def read(self, batches: pl.DataFrame | None = None) -> Musts:
        made = self.must_fruits.filter(~pl.col("is_planned"))
        return read_musts(self.batches if batches is None else batches, made)

    def planned(self, fruits: tuple[str, ...]) -> Musts:
        kept = pl.col("is_planned")
        return read_musts(self.musts.filter(kept), self.must_fruits.filter(kept), fruits)

    def fit(self, batches=None, glasses=None, **settings) -> TasteModel:
        batches = self.batches if batches is None else batches
        glasses = self.glasses if glasses is None else glasses
        return fit_taste(self.read(batches), batches, glasses, **settings)


@pytest.fixture(scope="module")
def logbook(tmp_path_factory) -> Logbook:
    return Logbook(tmp_path_factory.mktemp("taste"), seed=3, batches=60)


@pytest.fixture(scope="module")
def model(logbook) -> TasteModel:
    return logbook.fit()


def usual(model: TasteModel):
    """Two wines, both the logbook's first batch."""
    return model.inputs.take(np.array([0, 0]))


def expected(model, name, low, high):
    inputs = usual(model).changed(**{name: np.array([low, high])})
    return model.expected_harshness(inputs).mean


@pytest.mark.parametrize(
    ("name", "softer", "harsher"),
    [
        ("alcohol", 10.0, 15.0),
        ("tannin_added", 0.0, 0.4),
        ("skins", 0.0, 1.0),
        ("age", 400.0, 60.0),
        ("residual_sugar", 40.0, 2.0),
        ("acidity", 5.0, 10.0),
        ("must_temperature", 20.0, 31.0),
    ],
)
def test_harshness_goes_the_way_it_truly_does(model, name, softer, harsher):
    low, high = expected(model, name, softer, harsher)
    assert high > low


def test_planned_recipes_come_closer_than_the_mean_of_all(logbook, model):
    planned = logbook.planned(model.musts.fruits)
    truth = pl.DataFrame({"recipe": planned.recipe}).join(
        logbook.maker.truth.planned, on="recipe", how="left", maintain_order="left"
    )
    inputs = model.read(planned)
    for name, found in (
        ("harshness", model.expected_harshness(inputs)),
        ("score", model.expected_score(inputs)),
    ):
        realised = truth[f"realised_{name}"].to_numpy()
        everyone = logbook.batches[name].mean()
        assert np.abs(realised - found.mean).mean() < 0.85 * np.abs(realised - everyone).mean()


def test_a_planned_wine_is_sweetened_as_the_plan_says(logbook, model):
    planned = logbook.planned(model.musts.fruits)
    number = {**planned.number, "sweeten_to_g_l": np.full(len(planned), 60.0)}
    sweet = model.read(replace(planned, number=number))
    assert sweet.number["residual_sugar"].min() >= 60.0
    plain, softer = (model.expected_harshness(x).mean for x in (model.read(planned), sweet))
    assert softer.mean() < plain.mean()


def test_strength_given_by_the_gravity_model_is_used(logbook, model):
    planned = logbook.planned(model.musts.fruits)
    inputs = model.read(planned, Fermented(alcohol=np.full(len(planned), 9.25)))
    assert inputs.number["alcohol"] == pytest.approx(9.25)


@pytest.mark.parametrize(("sd", "least"), [(0.02, 0.9), (5.0, 0.0)])
def test_a_shortfall_that_gravities_show_counts_by_how_surely(logbook, model, sd, least):
    planned = logbook.planned(model.musts.fruits)
    plain = model.read(planned).number["shortfall"]
    count = len(planned)
    seen = Fermented(shortfall=np.ones(count), shortfall_sd=np.full(count, sd))
    inputs = model.read(planned, seen)
    assert (inputs.number["shortfall"] >= np.maximum(plain, least)).all()
    if sd > 1:
        assert inputs.number["shortfall"] == pytest.approx(plain, abs=0.01)
    assert (inputs.doubt["shortfall"] <= min(sd, 0.5)).all()


def test_taste_day_is_the_plans_own_or_else_the_logbooks_median(logbook, model):
    planned = logbook.planned(model.musts.fruits)
    number = {**planned.number, "taste_day": np.full(len(planned), np.nan)}
    number["taste_day"][0] = 700.0
    age = model.read(replace(planned, number=number)).number["age"]
    assert age[0] == 700.0
    assert age[1:] == pytest.approx(float(logbook.glasses["age_days"].median()))


def test_scores_keep_the_logbooks_scale(logbook, model):
    halved = logbook.glasses.with_columns(pl.col("score") / 2)
    small = logbook.fit(glasses=halved, score_out_of=10.0)
    inputs = usual(model)
    assert small.expected_score(inputs).mean == pytest.approx(
        model.expected_score(inputs).mean / 2, rel=1e-6
    )
    assert small.new_batch_sd("score") == pytest.approx(model.new_batch_sd("score") / 2, rel=1e-6)


def test_doubt_about_an_input_widens_the_answer(model):
    inputs = usual(model)
    sure = replace(inputs, doubt={**inputs.doubt, "tannin_added": np.zeros(2)})
    unsure = replace(inputs, doubt={**inputs.doubt, "tannin_added": np.full(2, 0.2)})
    narrow, wide = (model.expected_harshness(x).sd for x in (sure, unsure))
    assert (wide > 1.1 * narrow).all()


def test_a_lost_addition_is_unknown_not_nought(logbook):
    lost = logbook.batches.with_columns(tannin_added_g_l=pl.lit(None, dtype=pl.Float64))
    inputs = logbook.fit(batches=lost).inputs
    assert (inputs.doubt["tannin_added"] > 0).all()
    assert np.isfinite(inputs.number["tannin_added"]).all()


def test_a_column_that_never_varies_blows_nothing_up(logbook):
    same = logbook.batches.with_columns(
        has_pectic_enzyme=pl.lit(True), frozen_share=pl.lit(1.0), yeast=pl.lit("one")
    )
    alike = logbook.fit(batches=same)
    found = alike.expected_harshness(usual(alike))
    assert np.isfinite(found.mean).all()
    assert (found.sd < 1.5).all()


def test_without_a_glass_the_trades_expectation_is_all_there_is(logbook):
    blank = logbook.fit(glasses=logbook.glasses.clear())
    found = blank.expected_harshness(blank.inputs)
    assert blank.batches == 0
    assert ((found.mean > 0) & (found.mean < 10)).all()
    assert (found.sd > 1.0).all()
    assert np.isnan(blank.measured("harshness")[0]).all()


def test_a_mistyped_glass_moves_the_others_little(logbook, model):
    wild = logbook.glasses.with_columns(
        harshness=pl.when(pl.int_range(pl.len()) == 5).then(10.0).otherwise("harshness")
    )
    shift = logbook.fit(glasses=wild).expected_harshness(model.inputs).mean
    shift = shift - model.expected_harshness(model.inputs).mean
    assert np.median(np.abs(shift)) < 0.05


def test_only_the_batches_asked_for_teach(logbook, model):
    half = logbook.batches.head(30)
    ours = logbook.glasses.filter(pl.col("batch_id").is_in(half["batch_id"].to_list()))
    one, other = logbook.fit(batches=half), logbook.fit(batches=half, glasses=ours)
    inputs = one.inputs
    assert one.batches < model.batches
    assert one.expected_score(inputs).mean == pytest.approx(other.expected_score(inputs).mean)


def test_measured_takes_the_tasters_out(logbook):
    severe = logbook.glasses["taster"].unique().sort()[0]
    shifted = logbook.glasses.with_columns(
        harshness=pl.col("harshness") + pl.when(pl.col("taster") == severe).then(1.0).otherwise(0.0)
    )
    before, after = (
        logbook.fit(glasses=glasses).measured("harshness")[0]
        for glasses in (logbook.glasses, shifted)
    )
    tasters = logbook.glasses["taster"].n_unique()
    shift = (after - before)[np.isfinite(after)]
    # All wines move by the mean over tasters, whoever happened to taste them.
    assert shift == pytest.approx(1.0 / tasters, abs=0.2)
    assert shift.std() < 0.07


def test_the_score_falls_with_expected_harshness(model):
    inputs = with_harshness(usual(model), model.harshness)
    rough = inputs.changed(harshness=np.array([3.0, 7.0]))
    low, high = model.score.posterior(rough).mean
    assert high < low


@pytest.mark.parametrize(("name", "driver"), [("sourness", "acidity"), ("warmth", "alcohol")])
def test_intensities_follow_their_own_driver(model, name, driver):
    fit = model.intensity(name)
    number = usual(model).number[driver][0]
    low, high = fit.mean(usual(model).changed(**{driver: np.array([number, number + 2])}))
    assert high > low + 0.3


def test_a_new_batch_varies_more_than_the_expectation(model):
    assert 0.2 < model.new_batch_sd("harshness") < 1.0
    assert 0.5 < model.new_batch_sd("score") < 2.5
