"""Measure the chance of sticking on simulated makers, against the simulator's own chances.

Run from the project's folder: `python tests/scale/sticking_quality.py` prints one line a size. All
makers count, whether any of their batches stuck or not. Told and true mean, the slope of a
logistic calibration (1: as told; above 1: too timid), log loss beside that of the maker's own base
rate and of the truth, and how often the true chance lies within the interval. Not a test.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.special import logit

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.brew import brew  # noqa: E402
from makers.nature import NATURES  # noqa: E402
from makers.repeats import pressed_as_usual  # noqa: E402

from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.learning.forecast import forecast  # noqa: E402
from pipeline.learning.models import fit_models  # noqa: E402

BREWS = 60  # of every plan, over which the true chance is averaged


def true_chances(maker: makers.Maker, names: list[str]) -> np.ndarray:
    """Return how likely each plan is to stick, as the simulator has it."""
    rng = np.random.default_rng(5)
    plans, world = maker.planned, maker.world
    runs = [brew(pressed_as_usual(plans, world, rng), world, rng) for _ in range(BREWS)]
    found = np.mean([run.wine.chance_stuck for run in runs], axis=0)
    return np.asarray(found[[maker.planned_recipes.index(name) for name in names]])


def measure(seed: int, batches: int, nature: str) -> np.ndarray:
    """Return true chance, told, low, high and the base rate of one maker's plans (5, plans)."""
    maker = makers.simulate(seed, batches, nature=nature, draws=4)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        models = fit_models(cellar)
        planned = [cellar.table(name).filter("is_planned") for name in ("musts", "must_fruits")]
    told = forecast(models, *planned)
    answers = [told.sticking.chance(row) for row in range(len(told.musts))]
    sides = [
        [np.nan if one is None else getattr(one, side) for one in answers]
        for side in ("value", "low", "high")
    ]
    base = (models.sticking.stuck + 0.5) / (len(models.sticking.taught_by) + 1)
    found = np.array([true_chances(maker, told.musts.ids), *sides, np.full(len(answers), base)])
    return found[:, np.isfinite(found).all(axis=0)]


def log_loss(true: np.ndarray, told: np.ndarray) -> float:
    """Return the mean loss of telling these chances, over what happens with the true ones."""
    return float(-(true * np.log(told) + (1 - true) * np.log(1 - told)).mean())


def calibration_slope(true: np.ndarray, told: np.ndarray) -> float:
    """Return by how much log odds told must be stretched to be right."""
    line = logit(told)

    def loss(at: np.ndarray) -> float:
        odds = at[0] + at[1] * line
        return float((np.logaddexp(0, odds) - true * odds).sum())

    return float(minimize(loss, np.array([0.0, 1.0])).x[1])


def table(sizes: list[int], seeds: range, nature: str) -> None:
    for batches in sizes:
        parts = [measure(seed, batches, nature) for seed in seeds]
        true, told, low, high, base = np.hstack(parts)
        print(
            f"{batches} batches, {len(parts)} makers: told {told.mean():.4f}, true "
            f"{true.mean():.4f}; slope {calibration_slope(true, told):.2f}; log loss "
            f"{log_loss(true, told):.4f}, base rate {log_loss(true, base):.4f}, truth "
            f"{log_loss(true, true):.4f}; inside {((low <= true) & (true <= high)).mean():.0%}",
            flush=True,
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[40, 150, 600])
    parser.add_argument("--makers", type=int, default=12)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--nature", choices=list(NATURES), default="everyday")
    given = parser.parse_args()
    table(given.sizes, range(given.first, given.first + given.makers), given.nature)
