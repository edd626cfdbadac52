"""The three models together: the unknown is not answered, differences cancel what is shared."""

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import Cellar, load_cellar
from pipeline.learning import Models, fit_models
from pipeline.learning.forecast import UNITS, Forecast, forecast
from pipeline.learning.heldout import held_out
from pipeline.learning.models import fit_frames, read_frames


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Cellar:
    folder = tmp_path_factory.mktemp("maker") / "logbook"
    makers.write(makers.simulate(11, batches=80), folder)
    return load_cellar(folder)


@pytest.fixture(scope="module")
def models(cellar: Cellar) -> Models:
    return fit_models(cellar)


@pytest.fixture(scope="module")
def planned(cellar: Cellar, models: Models) -> Forecast:
    musts = cellar.table("musts").filter("is_planned")
    return forecast(models, musts, cellar.table("must_fruits").filter("is_planned"))


def test_every_outcome_of_every_plan_is_an_interval_about_its_value(planned: Forecast) -> None:
    for name in UNITS:
        for row in range(len(planned.musts)):
            found = planned[name].new_batch(row)
            assert found is not None, name
            assert found.low <= found.value <= found.high
            assert found.unit == UNITS[name]


def test_a_new_batch_is_less_certain_than_the_mean(planned: Forecast) -> None:
    for name in ("finished_fraction", "final_gravity", "alcohol", "harshness", "score"):
        new, mean = planned[name].new_batch(0), planned[name].expected(0)
        assert new is not None
        assert mean is not None
        assert new.high - new.low > mean.high - mean.low


def test_a_recipe_does_not_differ_from_itself(planned: Forecast) -> None:
    for name in UNITS:
        change = planned[name].change(0, 0)
        assert change is not None
        assert change.value == 0
        if planned[name].slope is not None:
            assert change.high - change.low == pytest.approx(0, abs=1e-9)


def test_an_unknown_amount_leaves_what_rests_on_it_unsaid(cellar: Cellar, models: Models) -> None:
    musts = cellar.table("musts").filter("is_planned").head(1)
    fruits = cellar.table("must_fruits").filter(
        "is_planned", pl.col("must_id") == musts["must_id"][0]
    )
    unknown = musts.with_columns(
        sugar_kg=pl.lit(None, pl.Float64), sugar_l=pl.lit(None, pl.Float64)
    )
    assert forecast(models, musts, fruits)["alcohol"].new_batch(0) is not None
    assert forecast(models, unknown, fruits)["alcohol"].new_batch(0) is None


def test_held_out_batches_are_predicted_better_than_by_the_same_fruits_mean(
    cellar: Cellar, models: Models
) -> None:
    found = held_out(read_frames(cellar), models)
    for name in ("volume", "gravity"):
        assert found[name].is_trusted, name
        coverage = found[name].coverage
        assert coverage is not None
        assert 0.75 <= coverage <= 1.0
    assert found["volume"].batches > 40
    assert np.isfinite(found["score"].mae or np.nan)


def test_a_refit_without_a_yeast_still_starts_from_the_whole(
    cellar: Cellar, models: Models
) -> None:
    frames = read_frames(cellar)
    rarest = frames.batches["yeast"].value_counts().sort("count")["yeast"][0]
    kept = frames.batches.filter(pl.col("yeast") != rarest)["batch_id"].to_list()
    again = fit_frames(frames.of(kept), models)
    assert again.gravity.yeasts == models.gravity.yeasts
