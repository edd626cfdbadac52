"""Measure `hedgerow trial` on simulated makers: does it pick the split that truly teaches most?

Run from the project's folder: `python tests/scale/trial_quality.py --batches 40 --makers 4`.
Every split of a planned recipe is truly made and poured several times, each time written down
beside the logbook, which is fitted anew; the true narrowing of a split is how much narrower, on
average, the interval is that the program then gives. Not a test: it prints what is measured.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.arms import Luck, joined_to, pour_arms, true_difference  # noqa: E402
from makers.changes import changed_plans  # noqa: E402

from pipeline.advice import trial  # noqa: E402
from pipeline.advice.edits import apply_edits  # noqa: E402
from pipeline.advice.predict import planned  # noqa: E402
from pipeline.advice.trial_arms import possible_splits  # noqa: E402
from pipeline.advice.trial_plan import Split  # noqa: E402
from pipeline.advice.trial_settled import settled  # noqa: E402
from pipeline.advice.trial_weigh import Choice, weigh  # noqa: E402
from pipeline.cellar import Cellar, load_cellar  # noqa: E402
from pipeline.cellar.plan import plan_musts  # noqa: E402
from pipeline.learning.models import Models, fit_frames, read_frames  # noqa: E402

ARMS = ("arm A", "arm B")
TABLES = ("musts", "must_fruits", "must_lines", "staged_recipes", "batches", "glasses", "steps")


@dataclass
class Beside:
    """The mart with a split batch written beside it; what is asked of a cellar."""

    cellar: Cellar
    more: dict[str, pl.DataFrame]

    def table(self, name: str) -> pl.DataFrame:
        return self.more.get(name, self.cellar.table(name))


@dataclass
class Tried:
    """One split, truly made several times; one entry a time."""

    factor: str
    may_help: bool
    promised: float
    now: float
    truth: float
    value: float
    after: list[float] = field(default_factory=list)
    found: list[float] = field(default_factory=list)
    half: list[float] = field(default_factory=list)

    @property
    def narrowed(self) -> float:
        """Return by how much the interval truly became narrower."""
        return self.now - float(np.mean(self.after))


def fitted(maker: makers.Maker) -> tuple[Cellar, Models]:
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        for name in TABLES:
            cellar.table(name)
        cellar.settings()
        return cellar, fit_frames(read_frames(cellar))


def choice_of(
    cellar: Cellar, models: Models, recipe: str, tasters: int
) -> tuple[pl.DataFrame, Choice]:
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    read = trial._read(cellar, models, lines, planned(cellar, [recipe]))
    splits = possible_splits(read)
    return lines, weigh(models, lines, splits, 0.75, "harshness", tasters)


def made(
    maker: makers.Maker,
    cellar: Cellar,
    models: Models,
    lines: pl.DataFrame,
    split: Split,
    luck: Luck,
) -> tuple[dict[str, Any] | None, float]:
    """Return what the program says was settled by one truly made split, and the true difference."""
    recipe = lines["recipe"][0]
    plans = changed_plans(maker, recipe, lines.to_dicts(), [split.base, split.other])
    one = split.way == "glass"
    ids = (ARMS[0], ARMS[0]) if one else ARMS
    glasses = pour_arms(maker, plans, luck, ids, is_one_wine=one)
    sets = zip((split.base, split.other), ARMS, strict=True)
    arms = [apply_edits(lines, edits, name) for edits, name in sets]
    musts = plan_musts(pl.concat(arms[: len(set(ids))]), 0.75)
    warm = pl.col("ferment_temperature_c")
    begun = {"recipe": pl.lit(recipe), "started_on": pl.lit(date(2026, 1, 1))}
    batches = musts.musts.rename({"must_id": "batch_id"}).with_columns(
        must_temperature_mean_c=warm, **begun
    )
    if one:
        # Sugar is stirred into the glass, so the batch itself is as it is.
        batches = batches.with_columns(sweeten_to_g_l=pl.lit(None, pl.Float64))
    frames = read_frames(cellar)
    frames = replace(
        frames,
        batches=joined_to(frames.batches, batches),
        must_fruits=joined_to(frames.must_fruits, musts.must_fruits),
        glasses=joined_to(frames.glasses, glasses),
    )
    beside = Beside(cellar, {"batches": frames.batches, "glasses": frames.glasses})
    refitted = fit_frames(frames, models)
    told = settled(beside, refitted, recipe)  # type: ignore[arg-type]
    entry = next((entry for entry in told if ARMS[0] in entry["pairs"][0]), None)
    return entry, float(true_difference(plans, maker.world)[0])


def try_all(
    maker: makers.Maker,
    cellar: Cellar,
    models: Models,
    recipe: str,
    times: int,
    *,
    is_every: bool = False,
) -> list[Tried]:
    """Make every split that may be for the better (or every one), the program's pick first."""
    lines, choice = choice_of(cellar, models, recipe, len(maker.world.tasters.names))
    found = []
    asked = [one for one in choice.weighed if one.may_help or is_every]
    for one in asked or choice.weighed:
        tried = None
        for time in range(times):
            luck = Luck(shared=1000 + time, own=2000 + time)
            entry, truth = made(maker, cellar, models, lines, one.split, luck)
            if tried is None:
                tried = Tried(
                    one.split.factor,
                    one.may_help,
                    one.narrowed,
                    one.width_now,
                    truth,
                    one.effect.value,
                )
            if entry is None or entry["factor"] != one.split.factor:
                seen = None if entry is None else entry["factors"]
                print(f"not recognised: {recipe}, {one.split.labels}, {seen}", flush=True)
                continue
            tried.after.append(entry["interval_width_after"])
            tried.found.append(entry["after_mean"]["value"])
            tried.half.append(entry["after_mean"]["high"] - entry["after_mean"]["value"])
        if tried is not None and tried.after:
            found.append(tried)
    return found


def asked_of(tried: list[Tried]) -> list[Tried]:
    """Return the splits that the pick was made from."""
    return [one for one in tried if one.may_help] or tried


def picked_best(found: list[list[Tried]]) -> tuple[float, float]:
    """Return how often the pick truly narrows most, and its share of the most on average."""
    most = [max(one.narrowed for one in asked_of(tried)) for tried in found]
    share = np.array([asked_of(tried)[0].narrowed for tried in found]) / most
    return float(np.mean(share >= 1 - 1e-9)), float(np.mean(share))


def report(found: list[list[Tried]]) -> None:
    """Print how often the pick truly teaches most, and what the intervals are worth."""
    ranked: dict[int, list[tuple[float, float]]] = {0: [], 1: [], 2: []}
    for tried in found:
        asked = asked_of(tried)
        for rank in ranked:
            if len(asked) > rank:
                one = asked[rank]
                before = (one.value - one.truth) ** 2
                after = float(np.mean((np.array(one.found) - one.truth) ** 2))
                ranked[rank].append((before, after))
    every = [one for tried in found for one in tried]
    inside_now = [abs(one.value - one.truth) <= one.now / 2 for one in every]
    inside = [
        abs(value - one.truth) <= half
        for one in every
        for value, half in zip(one.found, one.half, strict=True)
    ]
    picked = [asked_of(tried)[0] for tried in found]
    first, share = picked_best(found)
    promised = [one.promised for one in picked]
    print(
        f"{len(found)} recipes: the pick truly narrows most in {first:.0%}, and by "
        f"{share:.0%} of the most on average; "
        f"promised {np.mean(promised):.3f}, kept {np.mean([one.narrowed for one in picked]):.3f}"
    )
    print(f"true difference inside: {np.mean(inside_now):.0%} before, {np.mean(inside):.0%} after")
    for rank, errors in ranked.items():
        before, after = np.sqrt(np.mean(np.array(errors), axis=0))
        print(f"  choice {rank + 1}: error {before:.3f} before, {after:.3f} after ({len(errors)})")
    counts: dict[str, int] = {}
    for one in picked:
        counts[one.factor] = counts.get(one.factor, 0) + 1
    print("  picked:", ", ".join(f"{name} {count}" for name, count in sorted(counts.items())))


def run(batches: int, seeds: range, recipes: int, times: int, *, is_every: bool) -> None:
    found = []
    for seed in seeds:
        maker = makers.simulate(seed, batches, planned=recipes, draws=4)
        cellar, models = fitted(maker)
        for recipe in maker.planned_recipes:
            found.append(try_all(maker, cellar, models, recipe, times, is_every=is_every))
            print(f"{seed} {recipe}: {found[-1][0].factor}", file=sys.stderr, flush=True)
    report(found)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=40)
    parser.add_argument("--makers", type=int, default=4)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--recipes", type=int, default=6, help="of each maker")
    parser.add_argument("--times", type=int, default=3, help="each split is made")
    parser.add_argument("--every", action="store_true", help="hopeless splits as well")
    given = parser.parse_args()
    seeds = range(given.first, given.first + given.makers)
    run(given.batches, seeds, given.recipes, given.times, is_every=given.every)
