"""What a model must beat: the mean, the mean of the same fruit, and boosting on the raw inputs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import polars as pl
from threadpoolctl import threadpool_limits

FEWEST_FOR_THREADS = 10_000

# (batches, outcome of all, places to learn from, places to predict) to predictions.
Baseline = Callable[[pl.DataFrame, np.ndarray, np.ndarray, np.ndarray], np.ndarray]

RAW_NUMBERS = (
    *("fruit_load_kg_l", "target_volume_l", "water_l", "sugar_kg", "juice_l", "fruit_kg"),
    *("contact_days", "contact_days_after_yeast", "crushed_share", "frozen_share", "skins_share"),
    *("unripe_share", "overripe_share", "acid_added_g_l", "tannin_added_g_l"),
    *("nitrogen_added_mg_l", "so2_added_mg_l", "must_temperature_mean_c", "has_pectic_enzyme"),
    *("has_amylase", "original_gravity", "times_racked", "taste_day"),
)
RAW_NAMES = ("main_fruit", "yeast", "made", "extraction", "pressed")


def global_mean(
    batches: pl.DataFrame, outcome: np.ndarray, train: np.ndarray, test: np.ndarray
) -> np.ndarray:
    """Predict the mean of all batches."""
    del batches
    return np.full(test.size, outcome[train].mean())


def same_fruit(
    batches: pl.DataFrame, outcome: np.ndarray, train: np.ndarray, test: np.ndarray
) -> np.ndarray:
    """Predict the mean of the same main fruit, that of all where there is none."""
    fruit = batches["main_fruit"].fill_null("").to_numpy()
    means = {name: outcome[train][fruit[train] == name].mean() for name in set(fruit[train])}
    otherwise = outcome[train].mean()
    return np.array([means.get(name, otherwise) for name in fruit[test]])


def boosting(
    batches: pl.DataFrame, outcome: np.ndarray, train: np.ndarray, test: np.ndarray
) -> np.ndarray:
    """Predict by gradient boosting on what was logged, as it was logged."""
    inputs = raw_inputs(batches)
    inputs = inputs[:, _varies(inputs[train])]
    if not inputs.shape[1]:
        return global_mean(batches, outcome, train, test)
    # Loaded here, since trials that were made before are read back without it.
    from sklearn.ensemble import HistGradientBoostingRegressor

    model = HistGradientBoostingRegressor(
        max_iter=80, max_leaf_nodes=8, min_samples_leaf=5, early_stopping=False, random_state=0
    )
    # On few rows its threads wait for each other far longer than they compute.
    with threadpool_limits(limits=1 if train.size < FEWEST_FOR_THREADS else None):
        return np.asarray(model.fit(inputs[train], outcome[train]).predict(inputs[test]))


def _varies(inputs: np.ndarray) -> np.ndarray:
    """Return which columns have two different numbers: of others there is nothing to learn."""
    known = np.isfinite(inputs)
    highest = np.where(known, inputs, -np.inf).max(axis=0)
    lowest = np.where(known, inputs, np.inf).min(axis=0)
    return np.asarray(highest > lowest)


def raw_inputs(batches: pl.DataFrame) -> np.ndarray:
    """Return the logged inputs as numbers (n, p), names as codes, NaN where not logged."""
    numbers = batches.select(pl.col(name).cast(pl.Float64) for name in RAW_NUMBERS)
    codes = batches.select(pl.col(name).rank("dense").cast(pl.Float64) for name in RAW_NAMES)
    return np.hstack([frame.fill_null(np.nan).to_numpy() for frame in (numbers, codes)])


BASELINES: dict[str, Baseline] = {
    "same_fruit": same_fruit,
    "global": global_mean,
    "boosting": boosting,
}
