"""Which batches a trial of the models may learn from, and which it must predict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.learning.heldout.seasons import known_by, next_seasons
from pipeline.learning.models import Frames

FOLDS = 5
MOST_TRIED = 5000  # batches
LONGEST_STRETCH = 100  # repeats of a recipe that stay together


@dataclass(frozen=True)
class Split:
    """What a refit may see and which batches it must predict.

    `train` and `test` are places in the logbook; `known` tells per outcome which of `train` had
    come to it.
    """

    seen: Frames
    train: np.ndarray
    test: np.ndarray
    known: dict[str, np.ndarray]


def evenly_by_recipe(batches: pl.DataFrame) -> np.ndarray:
    """Return the places to try a logbook on: all, or of a very large one about MOST_TRIED.

    Whole recipes, of those made very often stretches of repeats, evenly from the first to the last:
    eight refits to a hundred thousand batches would tell no more of how well the models predict
    than to five thousand, the more so as curves are fitted to at most four thousand.
    """
    if batches.height <= MOST_TRIED:
        return np.arange(batches.height)
    recipe = pl.Series("recipe", _recipes(batches)).to_frame()
    stretch = recipe.select("recipe", at=pl.int_range(pl.len()).over("recipe") // LONGEST_STRETCH)
    turn = stretch.select(pl.struct("recipe", "at").rank("dense") - 1).to_series().to_numpy()
    _, first = np.unique(turn, return_index=True)
    turn = first.argsort().argsort()[turn]  # in the order in which stretches began
    return np.flatnonzero(turn % -(-batches.height // MOST_TRIED) == 0)


def recipe_folds(frames: Frames, truth: dict[str, np.ndarray]) -> Iterator[Split]:
    """Split batches so that those of one recipe stay together; the same split every time."""
    batches = frames.batches
    groups = _recipes(batches)
    count = min(FOLDS, len(set(groups)))
    if count < 2:
        return
    # Loaded here, since trials that were made before are read back without it.
    from sklearn.model_selection import GroupKFold

    split = GroupKFold(count, shuffle=True, random_state=0)
    for train, test in split.split(groups, groups=groups):
        seen = frames.of(batches["batch_id"][train].to_list())
        known = {name: train[np.isfinite(values[train])] for name, values in truth.items()}
        yield Split(seen, train, test, known)


def season_splits(frames: Frames, truth: dict[str, np.ndarray]) -> Iterator[Split]:
    """Split forward in time: each of the latest seasons from what was known before it."""
    started = frames.batches["started_on"].to_numpy()
    for day, test in next_seasons(frames.batches):
        seen, train = known_by(frames, day), np.flatnonzero(started < np.datetime64(day))
        tasted = seen.batches["batch_id"].is_in(seen.glasses["batch_id"].unique().to_list())
        come_to = {
            "volume": seen.batches["finished_fraction_net"].is_not_null(),
            "gravity": seen.batches["final_gravity"].is_not_null(),
            "score": tasted,
            "harshness": tasted,
        }
        known = {
            name: train[is_known.to_numpy() & np.isfinite(truth[name][train])]
            for name, is_known in come_to.items()
        }
        yield Split(seen, train, test, known)


def _recipes(batches: pl.DataFrame) -> np.ndarray:
    """Return the recipe of each batch; one that follows none is alone in its own."""
    recipe = batches.select(pl.coalesce("recipe", pl.format("batch {}", "batch_id"))).to_series()
    return recipe.str.to_lowercase().to_numpy()
