"""How well each model predicts batches it has not seen, beside simple baselines.

Batches of one recipe are never on both sides: repeats would make any model look good.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from sklearn.model_selection import GroupKFold

from pipeline.learning.baselines import Baseline, boosting, global_mean, same_fruit
from pipeline.learning.estimate import Doubt
from pipeline.learning.forecast import Forecast, forecast
from pipeline.learning.models import Frames, Models, fit_frames

FOLDS = 5
FEWEST_BATCHES = 12  # with the outcome known, under which there is nothing to hold out
BASELINES: dict[str, Baseline] = {
    "same_fruit": same_fruit,
    "global": global_mean,
    "boosting": boosting,
}
# Name in answers: name in the forecast.
OUTCOMES = {
    "volume": "finished_fraction",
    "gravity": "final_gravity",
    "score": "score",
    "harshness": "harshness",
}


@dataclass(frozen=True)
class HeldOut:
    """Errors of one model on batches held out of the fit, per batch.

    `baselines` holds the mean absolute error of each baseline fitted the same way; `coverage` the
    share of batches within the 90 % interval. All None where too few batches have the outcome.
    """

    batches: int
    rmse: float | None
    mae: float | None
    baselines: dict[str, float | None]
    coverage: float | None
    doubts: tuple[Doubt, ...]

    @property
    def baseline_mae(self) -> float | None:
        """The error of the best baseline."""
        known = [error for error in self.baselines.values() if error is not None]
        return min(known, default=None)

    @property
    def is_trusted(self) -> bool:
        """Whether the model beats the mean of the same fruit, so that advice may rest on it."""
        mean = self.baselines["same_fruit"]
        return self.mae is not None and mean is not None and self.mae < mean


@dataclass(frozen=True)
class _Guesses:
    """Predictions of one outcome, NaN where a batch could not be predicted."""

    value: np.ndarray
    low: np.ndarray
    high: np.ndarray
    baselines: dict[str, np.ndarray]


def held_out(frames: Frames, models: Models) -> dict[str, HeldOut]:
    """Refit without each fifth of the recipes in turn and predict their batches.

    Parameters
    ----------
    frames : Frames
        The logbook.
    models : Models
        Fitted to all of it: where each refit starts from, and what tells tasters' severity.

    Returns
    -------
    dict of str to HeldOut
        ``volume`` (shares of the target), ``gravity``, ``score``, ``harshness``.
    """
    frames = replace(frames, batches=_with_age(frames))
    truth = _truth(frames, models)
    guesses = {name: _nothing(frames.batches.height) for name in OUTCOMES}
    for train, test in _folds(frames.batches):
        if train.size >= FEWEST_BATCHES:
            _guess(frames, models, truth, guesses, train, test)
    return {name: _summary(name, truth[name], guesses[name]) for name in OUTCOMES}


def _with_age(frames: Frames) -> pl.DataFrame:
    """Give each batch the age at which its unsweetened glasses were tasted."""
    ages = (
        frames.glasses.filter(pl.col("sweetened_to_g_l").is_null())
        .group_by("batch_id")
        .agg(pl.col("age_days").mean().cast(pl.Float64).alias("tasted_at"))
    )
    joined = frames.batches.join(ages, on="batch_id", how="left", maintain_order="left")
    return joined.with_columns(taste_day=pl.coalesce("taste_day", "tasted_at")).drop("tasted_at")


def _truth(frames: Frames, models: Models) -> dict[str, np.ndarray]:
    batches = frames.batches
    return {
        "volume": _floats(batches["finished_fraction_net"]),
        "gravity": _floats(batches["final_gravity"]),
        "score": models.taste.measured("score")[0],
        "harshness": models.taste.measured("harshness")[0],
    }


def _floats(values: pl.Series) -> np.ndarray:
    return values.cast(pl.Float64).fill_null(np.nan).to_numpy().copy()


def _nothing(size: int) -> _Guesses:
    def unknown() -> np.ndarray:
        return np.full(size, np.nan)

    return _Guesses(unknown(), unknown(), unknown(), {name: unknown() for name in BASELINES})


def _folds(batches: pl.DataFrame) -> list[tuple[np.ndarray, np.ndarray]]:
    """Split batches so that those of one recipe stay together; the same split every time."""
    recipe = batches.select(pl.coalesce("recipe", pl.format("batch {}", "batch_id"))).to_series()
    groups = recipe.str.to_lowercase().to_numpy()
    count = min(FOLDS, len(set(groups)))
    if count < 2:
        return []
    split = GroupKFold(count, shuffle=True, random_state=0)
    return list(split.split(groups, groups=groups))


def _guess(
    frames: Frames,
    models: Models,
    truth: dict[str, np.ndarray],
    guesses: dict[str, _Guesses],
    train: np.ndarray,
    test: np.ndarray,
) -> None:
    """Predict one fold's batches from the others, by model and baselines."""
    ids = frames.batches["batch_id"]
    fitted = fit_frames(frames.of(ids[train].to_list()), models)
    unseen = frames.of(ids[test].to_list())
    found = forecast(fitted, unseen.batches, unseen.must_fruits)
    for name, outcome in OUTCOMES.items():
        _note(found, outcome, guesses[name], test)
        known = train[np.isfinite(truth[name][train])]
        if known.size >= FEWEST_BATCHES:
            for baseline, predict in BASELINES.items():
                guesses[name].baselines[baseline][test] = predict(
                    frames.batches, truth[name], known, test
                )


def _note(found: Forecast, outcome: str, guesses: _Guesses, test: np.ndarray) -> None:
    for row, place in enumerate(test):
        estimate = found[outcome].new_batch(row)
        if estimate is not None:
            guesses.value[place] = estimate.value
            guesses.low[place], guesses.high[place] = estimate.low, estimate.high


def _summary(name: str, truth: np.ndarray, guesses: _Guesses) -> HeldOut:
    known = np.isfinite(truth) & np.isfinite(guesses.value)
    for guess in guesses.baselines.values():
        known &= np.isfinite(guess)
    count = int(known.sum())
    if count < FEWEST_BATCHES:
        text = f"{count} batches can be held out for {name}: too few to say how well it predicts"
        nothing = dict.fromkeys(BASELINES)
        return HeldOut(count, None, None, nothing, None, (Doubt("few_batches", text),))
    error = guesses.value[known] - truth[known]
    inside = (guesses.low <= truth) & (truth <= guesses.high)
    result = HeldOut(
        batches=count,
        rmse=float(np.sqrt(np.mean(error**2))),
        mae=float(np.mean(np.abs(error))),
        baselines={
            baseline: float(np.mean(np.abs(guess[known] - truth[known])))
            for baseline, guess in guesses.baselines.items()
        },
        coverage=float(inside[known].mean()),
        doubts=(),
    )
    if result.is_trusted:
        return result
    text = f"{name}: no better yet than the mean of the same fruit, so no advice rests on it"
    return replace(result, doubts=(Doubt("few_batches", text),))
