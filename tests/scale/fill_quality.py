"""Measure `hedgerow predict --fill` on simulated makers: is the target reached as often as asked?

Run from the project's folder: `python tests/scale/fill_quality.py --sizes 40 150 --makers 4`.
Every planned recipe is filled in each way and with each chance, and the filled recipe is brewed
again and again by the simulator, pressed as its maker does. Not a test: it prints what is measured.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import polars as pl

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.brew import brew  # noqa: E402
from makers.changes import changed_plans  # noqa: E402
from makers.repeats import pressed_as_usual  # noqa: E402

from pipeline.advice.fill import filled  # noqa: E402
from pipeline.advice.fill.ways import KEEPS, Keep  # noqa: E402
from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.errors import CannotSayError  # noqa: E402
from pipeline.learning.models import fit_models  # noqa: E402

CHANCES = (0.6, 0.8, 0.95)
DRAWS = 40


@dataclass(frozen=True)
class Case:
    """One recipe filled in one way."""

    batches: int
    keep: Keep
    asked: float
    told: float  # the chance that the program gives for what can be measured out
    reached: float  # share of the brews in which the finished wine was the target or more
    over: float  # finished wine over the target, on average
    moved: float  # [% vol] what the strength truly differs by from that as planned


def cases(
    seed: int, batches: int, recipes: int, keeps: Sequence[Keep] = KEEPS, nature: str = "everyday"
) -> Iterator[Case]:
    """Yield the cases of one maker."""
    maker = makers.simulate(seed, batches, planned=recipes, draws=2, nature=nature)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        models = fit_models(cellar)
        for recipe in maker.planned_recipes:
            lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
            asked = [(keep, chance) for keep in keeps for chance in CHANCES]
            tried, sets = [], []
            for keep, chance in asked:
                try:
                    found, row = filled(cellar, models, recipe, chance, keep)
                except CannotSayError as refusal:
                    print(f"  {recipe}, {keep}, {chance:.0%}: {refusal}")
                    continue
                tried.append((keep, chance, float(found.chance[row])))
                sets.append(found.sizes[row].edits)
            plans = changed_plans(maker, recipe, lines.to_dicts(), [(), *sets])
            aim = float(plans.target_l[0])
            rng = np.random.default_rng([seed, 7])
            runs = [
                brew(pressed_as_usual(plans, maker.world, rng), maker.world, rng)
                for _ in range(DRAWS)
            ]
            litres = np.array([run.bottled.bottled_l for run in runs])
            strength = np.nanmean(
                [np.where(run.wine.is_stuck, np.nan, run.bottled.alcohol) for run in runs], axis=0
            )
            for at, (keep, chance, told) in enumerate(tried, start=1):
                yield Case(
                    batches,
                    keep,
                    chance,
                    told,
                    float(np.mean(litres[:, at] >= aim)),
                    float(litres[:, at].mean() / aim - 1),
                    float(strength[at] - strength[0]),
                )


def table(found: list[Case], keeps: Sequence[Keep]) -> None:
    """Print how often the target was reached, by way and chance asked for."""
    for keep in keeps:
        for chance in CHANCES:
            own = [case for case in found if case.keep == keep and case.asked == chance]
            if own:
                print(
                    f"  {keep:12} asked {chance:4.0%}, told {np.mean([c.told for c in own]):6.1%}, "
                    f"reached {np.mean([c.reached for c in own]):6.1%} of {len(own)} recipes; "
                    f"over the target by {np.mean([c.over for c in own]):5.1%}; strength moves "
                    f"{np.mean([abs(c.moved) for c in own]):4.2f} % vol",
                    flush=True,
                )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[40, 150])
    parser.add_argument("--makers", type=int, default=4)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--recipes", type=int, default=12)
    parser.add_argument("--keep", nargs="+", choices=KEEPS, default=list(KEEPS))
    parser.add_argument("--nature", default="everyday", help="the world the makers live in")
    given = parser.parse_args()
    for size in given.sizes:
        began = time.perf_counter()
        every: list[Case] = []
        for seed in range(given.first, given.first + given.makers):
            every += cases(seed, size, given.recipes, given.keep, given.nature)
        print(f"{size} batches, {given.makers} makers ({time.perf_counter() - began:.0f} s)")
        table(every, given.keep)
