"""Measure how long `suggest` takes on a large logbook, the models being fitted.

Run from the project's folder: `python tests/scale/suggest_speed.py --batches 10000`. Printed are
processor seconds, which other work on the machine does not lengthen, and seconds on the clock.
Not a test: it prints what is measured; asked for is under a second.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set

from pipeline.advice import suggest  # noqa: E402
from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.learning.models import fit_models  # noqa: E402


def measure(batches: int, recipes: int) -> None:
    """Print what the first call and the usual call cost."""
    maker = makers.simulate(1, batches, planned=recipes, draws=2)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        models = fit_models(cellar)
        cpu, clock, sets = [], [], []
        for recipe in maker.planned_recipes:
            began, spent = time.perf_counter(), time.process_time()
            (found,) = suggest.look(cellar, models, [recipe], suggest.Wanted())
            cpu.append(time.process_time() - spent)
            clock.append(time.perf_counter() - began)
            sets.append(len(found.singles.sets) + len(found.best.sets))
    print(
        f"{batches} batches: first {cpu[0]:.2f} s of processor (tables read), then "
        f"{np.median(cpu[1:]):.2f} s (at most {max(cpu[1:]):.2f}), on the clock "
        f"{np.median(clock[1:]):.2f} s; {np.median(sets):.0f} recipes planned and forecast"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, nargs="+", default=[150, 10_000])
    parser.add_argument("--recipes", type=int, default=8)
    given = parser.parse_args()
    for size in given.batches:
        measure(size, given.recipes)
