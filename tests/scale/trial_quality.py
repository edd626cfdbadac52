"""Measure `hedgerow trial` on simulated makers: does it pick the split that truly teaches most?

Run from the project's folder: `python tests/scale/trial_quality.py --batches 40 --makers 4`.
Every split of a planned recipe that may be for the better is truly made and poured. Its true
narrowing is told in two ways: by the variances that the simulator's own vessels and tasters have
(`--draws` pours of each), and by writing the arms down beside the logbook, fitting it anew and
asking what was settled (`--times` times). Not a test: it prints what is measured.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
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
from makers.plans import Plans  # noqa: E402

from pipeline.advice import trial  # noqa: E402
from pipeline.advice.edits import apply_edits  # noqa: E402
from pipeline.advice.predict import planned  # noqa: E402
from pipeline.advice.trial.arms import possible_splits  # noqa: E402
from pipeline.advice.trial.plan import Split  # noqa: E402
from pipeline.advice.trial.settling import settled  # noqa: E402
from pipeline.advice.trial.weighing import Choice, weigh  # noqa: E402
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
    by_true_noise: float
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


def true_noise(maker: makers.Maker, plans: Plans, truth: float, draws: int, *, one: bool) -> float:
    """Return how far what the tasters find lies from the true difference, as a variance."""
    found = []
    for draw in range(draws):
        luck = Luck(shared=3000 + draw, own=4000 + draw)
        glasses = pour_arms(maker, plans, luck, ARMS, is_one_wine=one)
        marks = glasses.pivot("batch_id", index="taster", values="harshness")
        found.append(float((marks[ARMS[1]] - marks[ARMS[0]]).mean()))
    return float(np.mean((np.array(found) - truth) ** 2))


def narrowing(choice: Choice, place: int, noise: float) -> float:
    """Return by how much an interval narrows where pairs show the difference with such noise."""
    known = float(choice.differences.variance_now()[place])
    half = choice.differences.half_width
    return 2 * (half(known) - half(known * noise / (known + noise)))


def made(
    maker: makers.Maker,
    cellar: Cellar,
    models: Models,
    lines: pl.DataFrame,
    split: Split,
    plans: Plans,
    luck: Luck,
) -> dict[str, Any] | None:
    """Return what the program says was settled by one truly made split."""
    recipe, one = lines["recipe"][0], split.way == "glass"
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
    return next((entry for entry in told if ARMS[0] in entry["pairs"][0]), None)


def try_all(
    maker: makers.Maker,
    cellar: Cellar,
    models: Models,
    recipe: str,
    draws: int,
    times: int = 0,
    *,
    is_every: bool = False,
) -> list[Tried]:
    """Make every split that may be for the better (or every one), the program's pick first."""
    lines, choice = choice_of(cellar, models, recipe, len(maker.world.tasters.names))
    found = []
    asked = [one for one in choice.weighed if one.may_help or is_every]
    for one in asked or choice.weighed:
        split = one.split
        plans = changed_plans(maker, recipe, lines.to_dicts(), [split.base, split.other])
        truth = float(true_difference(plans, maker.world)[0])
        noise = true_noise(maker, plans, truth, draws, one=split.way == "glass")
        tried = Tried(
            split.factor,
            one.may_help,
            one.narrowed,
            one.width_now,
            truth,
            one.effect.value,
            narrowing(choice, one.place, noise),
        )
        found.append(tried)
        for time in range(times):
            luck = Luck(shared=1000 + time, own=2000 + time)
            entry = made(maker, cellar, models, lines, split, plans, luck)
            if entry is None or entry["factor"] != split.factor:
                print(f"not recognised: {recipe}, {split.labels}, {entry and entry['factors']}")
                continue
            tried.after.append(entry["interval_width_after"])
            tried.found.append(entry["after_mean"]["value"])
            tried.half.append(entry["after_mean"]["high"] - entry["after_mean"]["value"])
    return found


def asked_of(tried: list[Tried]) -> list[Tried]:
    """Return the splits that the pick was made from."""
    return [one for one in tried if one.may_help] or tried


def picked_best(found: list[list[Tried]], narrowed: Callable[[Tried], float]) -> np.ndarray:
    """Return what the pick truly narrows as a share of the most that any does, per recipe."""
    every = [[narrowed(one) for one in asked_of(tried)] for tried in found]
    return np.array([values[0] / max(values) for values in every])


def report(found: list[list[Tried]]) -> None:
    """Print how often the pick truly teaches most, and what the intervals are worth."""
    ways = {"by the true variances": lambda one: one.by_true_noise}
    if all(one.after for tried in found for one in tried):
        ways["written down and fitted anew"] = lambda one: one.narrowed
    print(f"{len(found)} recipes, {sum(len(asked_of(tried)) > 1 for tried in found)} with a choice")
    for way, narrowed in ways.items():
        share = picked_best(found, narrowed)
        is_most = share >= 1 - 1e-9
        chosen = np.array([len(asked_of(tried)) > 1 for tried in found])
        print(f"{way}: the pick narrows most in {is_most.mean():.0%} ", end="")
        print(f"({is_most[chosen].mean():.0%} of those with a choice), ", end="")
        print(f"by {np.mean(share):.1%} of the most on average, {share.min():.0%} at worst")
    picked = [asked_of(tried)[0] for tried in found]
    told = np.mean([one.promised for one in picked])
    kept = np.mean([narrowed(one) for one in picked])
    print(f"narrowing promised {told:.3f}, kept {kept:.3f} points")
    every = [one for tried in found for one in tried]
    inside = np.mean([abs(one.value - one.truth) <= one.now / 2 for one in every])
    print(f"true difference inside the interval: {inside:.0%} before ({len(every)} splits)")
    counts = Counter(one.factor for one in picked)
    print("picked:", ", ".join(f"{name} {count}" for name, count in counts.most_common()))
    if len(ways) > 1:
        _report_errors(found, every)


def _report_errors(found: list[list[Tried]], every: list[Tried]) -> None:
    inside = [
        abs(value - one.truth) <= half
        for one in every
        for value, half in zip(one.found, one.half, strict=True)
    ]
    print(f"and {np.mean(inside):.0%} after; root mean square error, by place in the ranking:")
    for rank in range(3):
        ranked = [asked_of(tried)[rank] for tried in found if len(asked_of(tried)) > rank]
        before = [(one.value - one.truth) ** 2 for one in ranked]
        after = [np.mean((np.array(one.found) - one.truth) ** 2) for one in ranked]
        print(
            f"  {rank + 1}: {np.mean(before) ** 0.5:.3f} before, {np.mean(after) ** 0.5:.3f} after"
        )


def run(given: argparse.Namespace) -> None:
    found = []
    for seed in range(given.first, given.first + given.makers):
        maker = makers.simulate(seed, given.batches, planned=given.recipes, draws=4)
        cellar, models = fitted(maker)
        for recipe in maker.planned_recipes:
            tried = try_all(
                maker,
                cellar,
                models,
                recipe,
                given.draws,
                given.times,
                is_every=given.every,
            )
            found.append(tried)
            print(f"{seed} {recipe}: {tried[0].factor}", file=sys.stderr, flush=True)
    report(found)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=40)
    parser.add_argument("--makers", type=int, default=4)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--recipes", type=int, default=6, help="of each maker")
    parser.add_argument("--draws", type=int, default=60, help="pours behind the true variances")
    parser.add_argument("--times", type=int, default=0, help="each split is written down")
    parser.add_argument("--every", action="store_true", help="hopeless splits as well")
    run(parser.parse_args())
