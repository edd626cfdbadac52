"""How often intervals of plans hold whose amounts are in doubt, on simulated makers.

Run from the project's folder: `python tests/scale/doubt_coverage.py` prints one table. Each planned
recipe is written three ways (exactly; in spoons and `~`; without warmth and with an unweighed
packet of nutrient), predicted, and made many times as the maker would. Not a test: it prints.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.roughly import WAYS, in_three_ways, realised, write_three_ways  # noqa: E402

from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.learning.forecast import Forecast, forecast  # noqa: E402
from pipeline.learning.models import fit_models  # noqa: E402

OUTCOMES = ("original_gravity", "final_gravity", "alcohol", "finished_fraction")
ROUNDS = 20


def measure(seed: int, batches: int, nature: str) -> dict[str, np.ndarray]:
    """Return (inside with doubt, inside without, width, width without) by outcome and way."""
    maker = in_three_ways(makers.simulate(seed, batches, nature=nature, draws=1))
    with tempfile.TemporaryDirectory() as folder:
        cellar = load_cellar(write_three_ways(maker, Path(folder)))
        tables = [cellar.table(name).filter("is_planned") for name in ("musts", "must_fruits")]
        models = fit_models(cellar)
    came = realised(maker, ROUNDS, np.random.default_rng([seed, 3]))
    told = [forecast(models, *tables, with_doubts=doubts) for doubts in (True, False)]
    return {name: _held(told, came[name], name, maker.planned_recipes) for name in OUTCOMES}


def _held(told: list[Forecast], came: np.ndarray, name: str, recipes: list[str]) -> np.ndarray:
    """Return (ways, 4): the share inside and the width, with doubt and without."""
    found = []
    for one in told:
        order = [one.row(recipe) for recipe in recipes]
        bounds = [one[name].new_batch(row) for row in order]
        low, high = (
            np.array([np.nan if bound is None else getattr(bound, side) for bound in bounds])
            for side in ("low", "high")
        )
        known = np.isfinite(came) & np.isfinite(low)
        inside = np.where(known, (low <= came) & (came <= high), np.nan)
        found += [np.nanmean(inside.reshape(len(came), len(WAYS), -1), axis=(0, 2))]
        found += [np.nanmean((high - low).reshape(len(WAYS), -1), axis=1)]
    return np.array(found).T


def table(sizes: list[int], seeds: range, nature: str) -> None:
    for batches in sizes:
        found = [measure(seed, batches, nature) for seed in seeds]
        print(f"\n{batches} batches, {len(found)} makers, each plan made {ROUNDS} times")
        for name in OUTCOMES:
            mean = np.mean([part[name] for part in found], axis=0)
            for way, (inside, width, without, narrow) in zip(WAYS, mean, strict=True):
                print(
                    f"  {name:18} {way:8} {inside:4.0%} inside, {width:.4f} wide"
                    f"  (doubt left out: {without:4.0%}, {narrow:.4f})",
                    flush=True,
                )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[40, 150])
    parser.add_argument("--makers", type=int, default=5)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--nature", choices=["everyday", "elsewhere"], default="everyday")
    given = parser.parse_args()
    table(given.sizes, range(given.first, given.first + given.makers), given.nature)
