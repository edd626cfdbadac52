import numpy as np
import polars as pl
import pytest
from unit.learning.simulated import mart

from pipeline.learning.release import Release, release_curve
from pipeline.learning.stages import read_stages
from pipeline.learning.usual import as_usually_done
from pipeline.learning.volume import fit_volume, litres_per_kg


@pytest.fixture(scope="module")
def fitted():
    return fit_volume(mart().logged(), mart().steps)


def test_predicts_recipes_nobody_has_made(fitted):
    planned = as_usually_done(mart().planned(fitted.fruits), mart().logged())
    expected = mart().truth(planned, "expected_finished_fraction")
    found = fitted.expected(planned)
    assert np.abs(found.mean - expected).mean() < 0.05  # the recipes differ by 0.2 and more
    assert np.corrcoef(found.mean, expected)[0, 1] > 0.95


def test_learns_which_fruit_holds_water_back(fitted):
    told = litres_per_kg(fitted, mart().logged())
    true = dict(
        mart()
        .maker.truth.batches.group_by("fruit")
        .agg(pl.col("net_litres_per_kg").mean())
        .filter(pl.col("fruit").is_in(list(told)))
        .rows()
    )
    pairs = np.array([(told[fruit][0], litres) for fruit, litres in true.items()])
    assert np.corrcoef(pairs.T)[0, 1] > 0.6
    assert all(sd > 0 for _, sd in told.values())


def test_with_two_batches_only_physics_speaks_and_says_how_unsure_it_is():
    few = mart().batches.head(2)
    model = fit_volume(
        mart().logged(few), mart().steps.filter(pl.col("batch_id").is_in(few["batch_id"]))
    )
    assert model.fit is None
    found = model.expected(mart().planned(model.fruits))
    assert np.all(np.isfinite(found.mean))
    assert np.all(found.sd > 0.01)


def test_a_batch_whose_water_is_unknown_is_left_out_and_not_taken_as_dry():
    batches = mart().batches
    lost = batches["batch_id"] == batches["batch_id"][0]
    unknown = batches.with_columns(pl.when(lost).then(None).otherwise("water_l").alias("water_l"))
    model = fit_volume(mart().logged(unknown), mart().steps)
    assert model.batches == fit_volume(mart().logged(), mart().steps).batches - 1


def test_what_was_topped_up_is_no_wine_of_the_fruit():
    musts = mart().logged()
    steps = mart().steps
    topped = steps.filter(pl.col("topped_up_l") > 0)
    assert topped.height > 0
    stages = read_stages(musts, steps)
    batch = topped["batch_id"][0]
    place = musts.ids.index(batch)
    bottled = (stages.must == place) & (stages.bottled > 0)
    row = mart().batches.filter(pl.col("batch_id") == batch).row(0, named=True)
    assert stages.net[bottled] == pytest.approx([row["finished_fraction_net"]])


def test_more_days_and_harder_pressing_free_more():
    musts = mart().logged()
    release = Release(musts.fruits, {"contact_days": 7.0, "pressing": 0.5})
    curve = release_curve(release, musts)
    plain, slope = curve.per_kg(np.zeros(curve.width))
    assert plain.min() > -1.5
    assert plain.max() < 1.0
    pressing = musts["pressing"][musts.lines.must]
    same = np.isclose(musts.lines.number["contact_days"], 7.0)
    hard, soft = (np.nanmean(plain[same & (pressing == way)]) for way in (1.0, 0.0))
    assert hard > soft
    later = np.nan_to_num(musts.lines.number["contact_days"]) >= 10
    sooner = np.nan_to_num(musts.lines.number["contact_days"], nan=9) <= 4
    assert plain[later].mean() > plain[sooner].mean()
    assert np.all(np.isfinite(slope.data))


def test_what_a_plan_leaves_open_is_done_as_usual():
    logged = mart().logged()
    planned = mart().planned(logged.fruits)
    assert np.all(np.isnan(planned["pressing"]))
    filled = as_usually_done(planned, logged)
    ways = logged["pressing"][np.isfinite(logged["pressing"])]
    assert np.all((filled["pressing"] >= ways.min()) & (filled["pressing"] <= ways.max()))
    assert np.all(filled["pressing_doubt"] >= 0)
    assert np.all(np.isfinite(filled["must_temperature_c"]))
