"""Measure the models on simulated makers: error, intervals and yeasts, beside what is asked.

Run from the project's folder: `python tests/scale/learning_targets.py` prints one table. Each
maker's planned recipes are predicted and brewed once; the oracle knows their true expectation
given what the plan says. How a plan will be pressed it cannot say: it is brewed as the maker's
habit falls, and the oracle is the mean over that habit. `--nature elsewhere` measures in a world of
other laws. Not a test: it prints what is measured. Causes of harshness are in taste_targets.py.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from itertools import combinations
from pathlib import Path

import numpy as np
import polars as pl
from scipy import stats

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.brew import brew  # noqa: E402
from makers.nature import NATURES  # noqa: E402

from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.learning.forecast import Forecast, forecast  # noqa: E402
from pipeline.learning.gravity import MustCurve  # noqa: E402
from pipeline.learning.gravity.supply import read_supply  # noqa: E402
from pipeline.learning.models import Models, fit_models  # noqa: E402
from pipeline.learning.volume import litres_per_kg  # noqa: E402
from pipeline.learning.yeasts import YeastsLikeForLike  # noqa: E402

# Error ÷ the oracle's: required and wanted at 40, 150 and 600 batches; most width at 150.
ASKED = {
    "finished_fraction": {40: (1.75, 1.5), 150: (1.45, 1.25), 600: (1.25, 1.15)},
    "final_gravity": {40: (2.7, 2.2), 150: (2.0, 1.7), 600: (1.75, 1.5)},
    "alcohol": {40: (2.8, 2.3), 150: (2.2, 1.9), 600: (2.0, 1.7)},
    "score": {40: (1.75, 1.6), 150: (1.6, 1.5), 600: (1.45, 1.35)},
    "harshness": {40: (2.15, 2.0), 150: (1.6, 1.45), 600: (1.5, 1.35)},
}
WIDEST = {
    "finished_fraction": 0.12,
    "final_gravity": 0.009,
    "alcohol": 1.4,
    "score": 5.2,
    "harshness": 1.9,
}
INSIDE = {40: "84-96", 150: "86-95", 600: "87-94"}
STEP = 0.001  # [SG] of a hydrometer
SIGNS = {40: 0.80, 150: 0.92, 600: 0.97}


def measure(seed: int, batches: int, nature: str) -> dict[str, np.ndarray]:
    """Return per outcome: error, the oracle's, share inside, width, and how far off on average."""
    maker = makers.simulate(seed, batches, nature=nature)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        kept = pl.col("is_planned")
        planned = [cellar.table(name).filter(kept) for name in ("musts", "must_fruits")]
        began = time.perf_counter()
        models = fit_models(cellar)
        seconds = time.perf_counter() - began
    told = forecast(models, *planned)
    found = {name: _errors(told, maker.truth.planned, name) for name in ASKED}
    found["yeasts"] = _signs(models, maker)
    found["litres"] = _litres(models, maker.truth)
    found["seconds"] = np.array([seconds])
    return found


def _errors(told: Forecast, truth: pl.DataFrame, name: str) -> np.ndarray:
    rows = pl.DataFrame({"recipe": told.musts.ids})
    truth = rows.join(truth, on="recipe", how="left", maintain_order="left")
    realised, expected = (
        truth[f"{part}_{name}"].cast(pl.Float64).to_numpy() for part in ("realised", "expected")
    )
    bounds = [told[name].new_batch(row) for row in range(truth.height)]
    value, low, high = (
        np.array([np.nan if bound is None else getattr(bound, side) for bound in bounds])
        for side in ("value", "low", "high")
    )
    known = np.isfinite(realised) & np.isfinite(value)
    inside = (low <= realised) & (realised <= high)
    off = value - expected
    parts = (np.abs(value - realised), np.abs(expected - realised), inside, high - low, off)
    return np.array([part[known].mean() for part in parts])


def _signs(models: Models, maker: makers.Maker) -> np.ndarray:
    """Return in what share of the pairs of yeasts the order of dryness is right, five times over.

    By the model over the logbook's musts; by the plain means of the finished gravities; by both of
    pairs that are truly a step of the hydrometer apart; and in how many the logbook could tell,
    were all but the yeasts' own numbers known: what is told then lies a normal deviation away.
    """
    known = np.flatnonzero(np.isfinite(models.musts["load"]))
    compared = YeastsLikeForLike(models.gravity, models.musts.take(known), {})
    true = _true_gravities(maker)
    finished = maker.truth.batches.filter(~pl.col("is_stuck"))
    of_yeast = finished.group_by(pl.col("yeast").str.to_lowercase())
    means = dict(of_yeast.agg(pl.col("final_gravity").mean()).rows())
    best = _were_all_else_known(models)
    found = []
    for a, b in combinations([name for name in models.gravity.yeasts if name in means], 2):
        apart, one, other = true[a] - true[b], compared.made[a], compared.made[b]
        slope = one.slope - other.slope
        is_right = (one.final < other.final) == (apart < 0)
        by_means = (means[a] < means[b]) == (apart < 0)
        is_far = np.nan if abs(apart) < STEP else 1.0
        could_be = stats.norm.cdf(abs(apart) / np.sqrt(slope @ best @ slope))
        found.append((is_right, by_means, is_far * is_right, is_far * by_means, could_be))
    return np.nanmean(np.array(found, dtype=float), axis=0)


def _true_gravities(maker: makers.Maker) -> dict[str, float]:
    """Brew the logbook's plans again and again with each yeast; what sticks is left out."""
    plans, world = maker.run.plans, maker.world
    true = {}
    for k, name in enumerate(world.yeasts.names):
        with_it = plans.changed(yeast=np.full(len(plans), k))
        wines = [brew(with_it, world, np.random.default_rng(round_)).wine for round_ in range(30)]
        gravity = np.array([np.where(wine.is_stuck, np.nan, wine.gravity) for wine in wines])
        true[name.casefold()] = float(np.nanmean(gravity))
    return true


def _were_all_else_known(models: Models) -> np.ndarray:
    """Return the covariance of the gravity model's coefficients given all but the yeasts' own."""
    model, musts = models.gravity, models.musts
    groups = MustCurve(model, musts, read_supply(musts, model.typical)).grouped()
    own = [place for group in groups if group.name.endswith(": yeast") for place in group.columns]
    whole = model.fit.regressor.covariance_[1:, 1:]
    found = np.zeros_like(whole)
    found[np.ix_(own, own)] = np.linalg.inv(np.linalg.inv(whole)[np.ix_(own, own)])
    return found


def _litres(models: Models, truth: makers.Truth) -> np.ndarray:
    """Return the share of fruits whose litres per kilogram lie within their interval."""
    mean = truth.batches.group_by("fruit").agg(pl.col("net_litres_per_kg").mean(), pl.len())
    true = {row[0]: row[1] for row in mean.rows() if row[2] >= 3}
    told = litres_per_kg(models.volume, models.musts)
    away = [(told[fruit][0] - litres) / told[fruit][1] for fruit, litres in true.items()]
    return np.array([np.mean(np.abs(away) < 1.645)])


def table(sizes: list[int], seeds: range, nature: str) -> None:
    for batches in sizes:
        found = [measure(seed, batches, nature) for seed in seeds]
        print(
            f"\n{batches} batches, {len(found)} makers, fit in "
            f"{np.mean([part['seconds'] for part in found]):.2f} s; inside {INSIDE[batches]} %"
        )
        for name, asked in ASKED.items():
            _, _, inside, width, off = np.mean([part[name] for part in found], axis=0)
            ratio = np.mean([part[name][0] / part[name][1] for part in found])
            widest = f" (at most {WIDEST[name]})" if batches == 150 else ""
            print(
                f"  {name:18} {ratio:5.2f} (required {asked[batches][0]}, wanted "
                f"{asked[batches][1]}); {inside:4.0%} inside, {width:.4f} wide{widest}; "
                f"{off:+.4f} off on average"
            )
        signs = np.nanmean([part["yeasts"] for part in found], axis=0)
        litres = np.mean([part["litres"] for part in found])
        print(
            f"  yeasts in the right order in {signs[0]:.0%} of pairs (asked {SIGNS[batches]:.0%}); "
            f"by plain means {signs[1]:.0%}; of pairs {STEP} SG apart {signs[2]:.0%}, "
            f"by means {signs[3]:.0%};\n"
            f"  were all but the yeasts known it would be {signs[4]:.0%} of all pairs;"
            f" litres per kg within their interval for {litres:.0%} of fruits",
            flush=True,
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[40, 150, 600])
    parser.add_argument("--makers", type=int, default=5)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--nature", choices=list(NATURES), default="everyday")
    given = parser.parse_args()
    table(given.sizes, range(given.first, given.first + given.makers), given.nature)
