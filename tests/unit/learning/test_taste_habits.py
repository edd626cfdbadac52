"""What is the glass's, the evening's and the maker's own, and what the trade had expected."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from unit.learning.test_taste import Logbook

from pipeline.learning.taste import TasteModel
from pipeline.learning.taste.fit import prior_deviations


@pytest.fixture(scope="module")
def logbook(tmp_path_factory) -> Logbook:
    return Logbook(tmp_path_factory.mktemp("habits"), seed=3, batches=60)


@pytest.fixture(scope="module")
def model(logbook) -> TasteModel:
    return logbook.fit()


def two(model: TasteModel, **numbers):
    """Two wines, both the logbook's first batch but for these numbers."""
    of_both = {name: np.array(values) for name, values in numbers.items()}
    return model.inputs.take(np.array([0, 0])).changed(**of_both)


def effect(model: TasteModel, **numbers) -> float:
    return float(np.diff(model.expected_harshness(two(model, **numbers)).mean)[0])


def doubt_about_tannin(model: TasteModel) -> float:
    fit = model.harshness
    _, columns = fit.design(two(model, tannin_added=[0.0, 0.4]))
    step = np.diff(columns.matrix().toarray(), axis=0)[0]
    if fit.regressor is None:
        return float(np.sqrt(step**2 @ prior_deviations(columns) ** 2))
    return float(np.sqrt(step @ fit.regressor.covariance_[1:, 1:] @ step))


def test_the_more_glasses_the_more_they_overrule_the_trade(logbook):
    ids = logbook.batches["batch_id"]
    few, many, all_of_them = (
        doubt_about_tannin(
            logbook.fit(glasses=logbook.glasses.filter(pl.col("batch_id").is_in(ids.head(count))))
        )
        for count in (0, 30, 60)
    )
    assert few > 1.5 * many
    assert many > 1.2 * all_of_them


def test_a_strict_evening_is_no_rough_wine(logbook, model):
    glasses = logbook.glasses
    counts = glasses.group_by("tasted_on").agg(pl.col("batch_id").n_unique())
    day = counts.sort("batch_id", "tasted_on")["tasted_on"][-1]
    strict = pl.when(pl.col("tasted_on") == day).then(2.0).otherwise(0.0)
    again = logbook.fit(glasses=glasses.with_columns(pl.col("harshness") + strict))
    shift = again.expected_harshness(model.inputs).mean
    shift = shift - model.expected_harshness(model.inputs).mean
    stood = set(glasses.filter(pl.col("tasted_on") == day)["batch_id"])
    there = np.array([name in stood for name in model.musts.ids])
    assert there.sum() >= 3
    assert shift[there].mean() - shift[~there].mean() < 0.25


@pytest.mark.parametrize("rougher", [0.0, 2.0])
def test_sweetened_wines_tell_what_sugar_does_by_their_pairs_however_rough_they_are(
    logbook, rougher
):
    """Every other batch is sweetened: beside the others it may be rougher, beside itself softer."""
    as_it_is = logbook.glasses.filter(pl.col("sweetened_to_g_l").is_null())
    chosen = pl.col("batch_id").is_in(logbook.glasses["batch_id"].unique().sort()[::2])
    lift = pl.when(chosen).then(rougher).otherwise(0.0)
    as_it_is = as_it_is.with_columns(pl.col("harshness") + lift)
    sweetened = as_it_is.filter(chosen).with_columns(
        sweetened_to_g_l=pl.lit(40.0),
        residual_sugar_g_l=pl.lit(40.0),
        harshness=pl.col("harshness") - 1.0,
    )
    paired = logbook.fit(glasses=pl.concat([as_it_is, sweetened], how="diagonal_relaxed"))
    assert effect(paired, residual_sugar=[4.0, 40.0]) == pytest.approx(-0.92, abs=0.1)


def test_what_nobody_wrote_down_is_as_usual_and_doubted_by_what_is_usual(model):
    warm = model.musts["must_temperature_c"]
    known = np.isfinite(warm)
    assert (~known).sum() >= 5
    number, doubt = (part["must_temperature"] for part in (model.inputs.number, model.inputs.doubt))
    assert number[~known] == pytest.approx(warm[known].mean())
    assert doubt[~known] == pytest.approx(warm[known].std())
    assert number[known] == pytest.approx(warm[known])


def test_a_wine_of_doubtful_inputs_teaches_less(logbook, model):
    weight = model.harshness.weight
    unsure = logbook.batches.with_columns(
        tannin_added_g_l=pl.when(pl.int_range(pl.len()) % 2 == 0).then("tannin_added_g_l")
    )
    again = logbook.fit(batches=unsure)
    lost = np.isnan(again.musts["tannin_added_g_l"])[again.pours.must] & (weight > 0)
    assert lost.sum() > 20
    assert np.median(again.harshness.weight[lost] / weight[lost]) < 0.95
