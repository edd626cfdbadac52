"""Trials on unseen batches: forward in time nothing is known that was not known then."""

from __future__ import annotations

from datetime import date

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import load_cellar
from pipeline.learning import Models
from pipeline.learning.heldout import OUTCOMES, held_out
from pipeline.learning.heldout.seasons import (
    AFTER_BOTTLING,
    AFTER_LAST_READING,
    known_by,
    next_seasons,
)
from pipeline.learning.heldout.splits import (
    MOST_TRIED,
    evenly_by_recipe,
    recipe_folds,
    season_splits,
)
from pipeline.learning.models import Frames, fit_frames, read_frames

JANUARY = date(2025, 1, 1)


def logbook() -> Frames:
    """Three batches: settled and bottled in time, still moving at the turn of the year, later."""
    outcomes = {name: [0.9, 0.9, 0.9] for name in (*AFTER_LAST_READING, *AFTER_BOTTLING)}
    batches = pl.DataFrame(
        {
            "batch_id": ["early", "moving", "later"],
            "recipe": ["plum", "plum", None],
            "started_on": [date(2024, 3, 1), date(2024, 12, 1), date(2025, 2, 1)],
            "last_day": [60.0, 45.0, 50.0],
            "bottle_day": [200.0, 210.0, None],
            **outcomes,
        }
    )
    days = [date(2024, 6, 1), date(2025, 1, 1), date(2025, 5, 1)]
    return Frames(
        batches,
        pl.DataFrame({"must_id": ["early", "moving", "later"]}),
        pl.DataFrame({"batch_id": ["early", "early", "later"], "moved_on": days}),
        pl.DataFrame({"batch_id": ["early", "early", "moving"], "tasted_on": days}),
    )


def test_what_was_not_yet_known_is_unknown():
    then = known_by(logbook(), JANUARY)
    assert then.batches["batch_id"].to_list() == ["early", "moving"]
    for name in (*AFTER_LAST_READING, *AFTER_BOTTLING):
        assert then.batches[name].to_list() == [0.9, None], name
    assert then.steps["moved_on"].to_list() == [date(2024, 6, 1)]
    assert then.glasses["tasted_on"].to_list() == [date(2024, 6, 1)]
    assert then.must_fruits["must_id"].to_list() == ["early", "moving"]


def test_the_first_season_is_foreseen_by_nobody():
    (season,) = next_seasons(logbook().batches)
    assert season[0] == JANUARY
    assert season[1].tolist() == [2]
    assert next_seasons(logbook().batches.head(2)) == []


def test_only_the_latest_seasons_are_tried():
    years = pl.DataFrame({"started_on": [date(year, 5, 1) for year in range(2018, 2027)]})
    assert [day.year for day, _ in next_seasons(years)] == [2024, 2025, 2026]


@pytest.fixture(scope="module")
def frames(tmp_path_factory: pytest.TempPathFactory) -> Frames:
    folder = tmp_path_factory.mktemp("maker") / "logbook"
    makers.write(makers.simulate(12, batches=70, planned=0), folder)
    return read_frames(load_cellar(folder))


@pytest.fixture(scope="module")
def models(frames: Frames) -> Models:
    return fit_frames(frames)


def truth(frames: Frames) -> dict[str, np.ndarray]:
    return {name: np.ones(frames.batches.height) for name in OUTCOMES}


def test_a_recipe_is_never_on_both_sides(frames):
    recipe = frames.batches["recipe"].to_numpy()
    splits = list(recipe_folds(frames, truth(frames)))
    assert sorted(np.concatenate([split.test for split in splits])) == list(range(recipe.size))
    for split in splits:
        assert not set(recipe[split.train]) & set(recipe[split.test])
        assert split.seen.batches.height == split.train.size


@pytest.mark.parametrize(("recipes", "whole"), [(1500, True), (3, False)])
def test_a_very_large_logbook_is_tried_on_a_part_of_it(recipes, whole):
    recipe = [f"Recipe {at}" for at in np.random.default_rng(5).integers(0, recipes, 25_000)]
    recipe[::50] = [None] * 500
    batches = pl.DataFrame({"batch_id": [f"B{at}" for at in range(25_000)], "recipe": recipe})
    places = evenly_by_recipe(batches)
    assert places.size == pytest.approx(MOST_TRIED, rel=0.25)
    assert places[0] < 100
    assert places[-1] > 24_000
    assert np.bincount(places // 5000).min() > 600  # from all its time
    tried = batches[places]["recipe"].drop_nulls()
    left = batches["recipe"].drop_nulls().len() - tried.len()
    others = batches.filter(~pl.col("recipe").is_in(tried.unique().to_list()))
    assert (others.height == left) == whole  # no recipe half tried
    assert tried.n_unique() > 1


def test_a_season_is_learnt_only_from_what_came_to_an_end_before_it(frames):
    batches = frames.batches
    splits = list(season_splits(frames, truth(frames)))
    assert len(splits) == 3
    for split in splits:
        begins = batches["started_on"][split.test].dt.year().min()
        assert batches["started_on"][split.train].dt.year().max() < begins
        tasted = frames.glasses.filter(pl.col("tasted_on").dt.year() < begins)["batch_id"]
        assert set(batches["batch_id"][split.known["score"]]) <= set(tasted)
        bottled = batches[split.known["volume"]].with_columns(
            bottled=pl.col("started_on") + pl.duration(days="bottle_day")
        )
        assert bottled["bottled"].dt.year().max() < begins


def test_each_model_is_tried_on_recipes_and_on_seasons(frames, models):
    for name, found in held_out(frames, models).items():
        assert found.width is not None, name
        assert found.width > 2 * found.mae, name
        assert found.next_season.batches < found.batches, name
        assert set(found.next_season.baselines) == {"same_fruit", "global", "boosting"}


def test_a_logbook_of_one_year_cannot_tell_how_the_next_is_foreseen(frames):
    year = frames.batches.filter(pl.col("started_on").dt.year() == 2024)["batch_id"].to_list()
    only = frames.of(year)
    found = held_out(only, fit_frames(only))
    for name in OUTCOMES:
        season = found[name].next_season
        assert (season.batches, season.mae, season.coverage, season.width) == (0, None, None, None)
        assert season.baseline_mae is None
