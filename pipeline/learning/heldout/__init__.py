"""How well each model predicts batches it has not seen, beside simple baselines.

Twice: with batches of one recipe never on both sides, since repeats would make any model look good;
and forward in time, each of the latest seasons from the logbook as it stood before it, which is
what a maker asks of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipeline.counts import counted
from pipeline.learning.estimate import Doubt, interval_factor
from pipeline.learning.forecast import forecast
from pipeline.learning.heldout.baselines import BASELINES
from pipeline.learning.heldout.splits import Split, evenly_by_recipe, recipe_folds, season_splits
from pipeline.learning.models import Frames, Models, fit_frames
from pipeline.learning.outcome import Outcome

FEWEST_BATCHES = 12  # with the outcome known, under which there is nothing to hold out
# Name in answers: name in the forecast.
OUTCOMES = {
    "volume": "finished_fraction",
    "gravity": "final_gravity",
    "score": "score",
    "harshness": "harshness",
}


@dataclass(frozen=True)
class Errors:
    """Errors of one model on batches held out of the fit, per batch.

    `baselines` holds the mean absolute error of each baseline fitted the same way; `coverage` the
    share of batches within the 90 % interval and `width` how wide that is on average. All None
    where too few batches have the outcome.
    """

    batches: int
    rmse: float | None
    mae: float | None
    baselines: dict[str, float | None]
    coverage: float | None
    width: float | None

    @property
    def baseline_mae(self) -> float | None:
        """The error of the best baseline."""
        known = [error for error in self.baselines.values() if error is not None]
        return min(known, default=None)


@dataclass(frozen=True)
class HeldOut(Errors):
    """Errors on held-out recipes, `next_season` those forward in time, and reasons to doubt."""

    next_season: Errors
    doubts: tuple[Doubt, ...] = ()

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
    """Refit without each fifth of the recipes, then without each late season, and predict those.

    Parameters
    ----------
    frames : Frames
        The logbook.
    models : Models
        Fitted to all of it: what a wine is worth with the tasters taken out.

    Returns
    -------
    dict of str to HeldOut
        ``volume`` (shares of the target), ``gravity``, ``score``, ``harshness``.
    """
    places = evenly_by_recipe(frames.batches)
    truth = {name: values[places] for name, values in _truth(frames, models).items()}
    frames = frames.of(frames.batches["batch_id"][places].to_list())
    frames = replace(frames, batches=_with_age(frames))
    by_recipe = _tried(frames, truth, recipe_folds(frames, truth))
    by_season = _tried(frames, truth, season_splits(frames, truth))
    return {
        name: _verdict(name, HeldOut(**vars(by_recipe[name]), next_season=by_season[name]))
        for name in OUTCOMES
    }


def batches_tried(frames: Frames, models: Models) -> dict[str, dict[str, list[str]]]:
    """Return which batches with a known outcome are held out, by name, as `held_out` does it.

    Parameters
    ----------
    frames : Frames
    models : Models

    Returns
    -------
    dict of str to dict
        Of each outcome the batches held out with all of their recipe (``recipes``), and those of
        the latest seasons (``next_season``).
    """
    places = evenly_by_recipe(frames.batches)
    truth = {name: values[places] for name, values in _truth(frames, models).items()}
    frames = frames.of(frames.batches["batch_id"][places].to_list())
    names = frames.batches["batch_id"].to_list()
    ways = {"recipes": recipe_folds(frames, truth), "next_season": season_splits(frames, truth)}
    found: dict[str, dict[str, list[str]]] = {name: {} for name in OUTCOMES}
    for way, splits in ways.items():
        asked = {name: np.zeros(len(names), dtype=bool) for name in OUTCOMES}
        for split in splits:
            for name in _answerable(split):
                asked[name][split.test] = True
        for name in OUTCOMES:
            rows = np.flatnonzero(asked[name] & np.isfinite(truth[name]))
            found[name][way] = [names[row] for row in rows]
    return found


def _answerable(split: Split) -> list[str]:
    """Return the outcomes that enough of the batches seen had come to."""
    if split.train.size < FEWEST_BATCHES:
        return []
    return [name for name in OUTCOMES if split.known[name].size >= FEWEST_BATCHES]


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


def _tried(
    frames: Frames, truth: dict[str, np.ndarray], splits: Iterator[Split]
) -> dict[str, Errors]:
    """Predict each split's batches from what it may see."""
    guesses = {name: _nothing(frames.batches.height) for name in OUTCOMES}
    for split in splits:
        if _answerable(split):
            _guess(frames, truth, guesses, split)
    return {name: _errors(truth[name], guesses[name]) for name in OUTCOMES}


def _nothing(size: int) -> _Guesses:
    def unknown() -> np.ndarray:
        return np.full(size, np.nan)

    return _Guesses(unknown(), unknown(), unknown(), {name: unknown() for name in BASELINES})


def _guess(
    frames: Frames,
    truth: dict[str, np.ndarray],
    guesses: dict[str, _Guesses],
    split: Split,
) -> None:
    """Predict one split's batches, by model and baselines."""
    # From scratch: a fit to everything has seen what is held out.
    fitted = fit_frames(split.seen)
    unseen = frames.of(frames.batches["batch_id"][split.test].to_list())
    found = forecast(fitted, unseen.batches, unseen.must_fruits)
    for name in _answerable(split):
        known = split.known[name]
        _note(found[OUTCOMES[name]], guesses[name], split.test)
        for baseline, predict in BASELINES.items():
            guess = predict(frames.batches, truth[name], known, split.test)
            guesses[name].baselines[baseline][split.test] = guess


def _note(found: Outcome, guesses: _Guesses, test: np.ndarray) -> None:
    """Note what a new batch of each must is expected to show, all of them at once."""
    half = interval_factor(min(found.degrees, 1e6)) * np.hypot(found.sd, found.noise)
    guesses.value[test] = np.clip(found.mean, *found.bounds)
    guesses.low[test] = np.clip(found.mean - half, *found.bounds)
    guesses.high[test] = np.clip(found.mean + half, *found.bounds)


def _errors(truth: np.ndarray, guesses: _Guesses) -> Errors:
    known = np.isfinite(truth) & np.isfinite(guesses.value)
    for guess in guesses.baselines.values():
        known &= np.isfinite(guess)
    count = int(known.sum())
    if count < FEWEST_BATCHES:
        return Errors(count, None, None, dict.fromkeys(BASELINES), None, None)
    error = guesses.value[known] - truth[known]
    inside = (guesses.low <= truth) & (truth <= guesses.high)
    return Errors(
        batches=count,
        rmse=float(np.sqrt(np.mean(error**2))),
        mae=float(np.mean(np.abs(error))),
        baselines={
            baseline: float(np.mean(np.abs(guess[known] - truth[known])))
            for baseline, guess in guesses.baselines.items()
        },
        coverage=float(inside[known].mean()),
        width=float((guesses.high - guesses.low)[known].mean()),
    )


def _verdict(name: str, found: HeldOut) -> HeldOut:
    """Say what stands against leaning on a model."""
    if found.mae is None:
        count = counted(found.batches, "batch", "batches")
        text = f"{count} can be held out for {name}: too few to say how well it predicts"
    elif found.is_trusted:
        return found
    else:
        text = f"{name}: no better yet than the mean of the same fruit, so no advice rests on it"
    return replace(found, doubts=(Doubt("few_batches", text),))
