"""A batch's own first gravity says what went in: its end is then told more closely."""

import tempfile
from pathlib import Path

import makers
import numpy as np
import polars as pl
import pytest
from makers.roughly import in_three_ways, realised, write_three_ways

from pipeline.cellar import load_cellar
from pipeline.learning.doubtful import moved_musts
from pipeline.learning.ferments import expected_ferment
from pipeline.learning.first_reading import final_after_first
from pipeline.learning.gravity import fit_gravity
from pipeline.learning.musts import read_musts
from pipeline.learning.usual import as_usually_done

MISREAD = 0.001  # [SG] a hydrometer's division


@pytest.fixture(scope="module")
def made():
    """Return a model, plans in spoons and `~`, and their first and last gravity, made 16 times."""
    maker = in_three_ways(makers.simulate(21, 100, draws=1))
    with tempfile.TemporaryDirectory() as folder:
        cellar = load_cellar(write_three_ways(maker, Path(folder)))
        batches, steps = cellar.table("batches"), cellar.table("steps")
        fruits, plans = cellar.table("must_fruits"), cellar.table("musts")
    logged = read_musts(batches, fruits.filter(~pl.col("is_planned")))
    model = fit_gravity(logged, batches, steps)
    rough = pl.col("is_planned") & pl.col("must_id").str.starts_with("roughly")
    planned = read_musts(plans.filter(rough), fruits.filter(rough), model.fruits)
    random = np.random.default_rng(5)
    came = realised(maker, 16, random)
    order = [maker.planned_recipes.index(recipe) for recipe in planned.ids]
    first, last = (came[name][:, order] for name in ("original_gravity", "final_gravity"))
    first = first + random.normal(0, MISREAD, first.shape)
    return model, as_usually_done(planned, logged), first, last


def test_what_was_written_roughly_is_told_more_closely_once_its_first_gravity_is_read(made):
    model, musts, first, last = made
    moved = moved_musts(musts)
    before = expected_ferment(model, musts, moved)
    after = [final_after_first(model, musts, read, moved) for read in first]
    error = np.nanmean(np.abs(before.mean["undiluted"] - last))
    told = np.array([final.mean for final in after])
    deviation = np.array([np.hypot(final.sd, final.noise) for final in after])
    assert np.nanmean(np.abs(told - last)) < 0.95 * error
    assert deviation.mean() < 0.95 * before.new_sd("undiluted").mean()
    held = np.abs(told - last)[np.isfinite(last)] < 1.66 * deviation[np.isfinite(last)]
    assert 0.86 < held.mean() < 0.98


def test_without_a_first_reading_a_must_is_told_as_any(made):
    model, musts, _, _ = made
    moved = moved_musts(musts)
    before = expected_ferment(model, musts, moved)
    after = final_after_first(model, musts, np.full(len(musts), np.nan), moved)
    assert after.mean == pytest.approx(before.mean["undiluted"], abs=1e-12)
    assert np.hypot(after.sd, after.noise) == pytest.approx(before.new_sd("undiluted"), rel=1e-9)


def test_more_sugar_than_the_yeast_stands_stays_and_a_mistyped_reading_says_little(made):
    model, musts, _, _ = made
    before = expected_ferment(model, musts)
    sweet = before.mean["excess"] > 1.0
    assert sweet.sum() >= 3
    rise = {
        away: final_after_first(
            model, musts, before.mean["original"] + away, moved_musts(musts)
        ).mean
        - before.mean["undiluted"]
        for away in (0.01, 0.1)
    }
    assert np.all(rise[0.01][sweet] > 0.001)
    assert np.all(rise[0.1][sweet] < rise[0.01][sweet])
