"""Measure `fit` on a long logbook, and one pooled fit beside the mixed models of others.

    python tests/scale/fit_logbook.py [BATCHES]

Writes the logbook of a simulated maker (see tests/makers) to a temporary folder, loads it, fits the
three models and tries them on held-out batches; prints wall and processor seconds and the peak of
memory. Then fits one formula, the same rows each time, with hedgerow's PooledRegressor, with
statsmodels' MixedLM (`pip install statsmodels`) and with lme4 (where R has it), and prints the
ratios of their processor time and how far the estimates are apart.
"""

import argparse
import json
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from scipy import sparse

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

BATCHES, SLOPES, SEED = 100_000, 8, 11
STEPS = ("read back", "fit", "held out")  # of a `fit`
# By default MixedLM stops where its spreads are still out by up to 1.7e-4: on the crossed rows its
# restricted deviance is 951.5312635, hedgerow's 951.5312623, and its own goes on down to that.
SETTLED = {"method": "bfgs", "gtol": 1e-8}
LME4 = """
suppressMessages(library(lme4))
rows <- read.csv(commandArgs(TRUE)[1])
formula <- as.formula(commandArgs(TRUE)[2])
took <- system.time(model <- lmer(formula, rows, REML = TRUE))
spreads <- as.data.frame(VarCorr(model))
cat(took[["user.self"]] + took[["sys.self"]], fixef(model)[-1],
    spreads$sdcor[match(c(strsplit(commandArgs(TRUE)[3], ",")[[1]], "Residual"), spreads$grp)])
"""


@dataclass(frozen=True)
class Rows:
    """Invented rows: slopes X (n, 8), a level of each factor for every row, and the response."""

    slopes: np.ndarray
    factors: dict[str, np.ndarray]
    y: np.ndarray


@dataclass(frozen=True)
class Found:
    """What one program took and found: slopes, spreads of the factors and of the rest."""

    seconds: float
    estimates: np.ndarray


def invented(rows: int, levels: dict[str, int]) -> Rows:
    """Draw rows with crossed factors of these sizes; in each factor the spread is another."""
    chance = np.random.default_rng(SEED)
    slopes = chance.normal(size=(rows, SLOPES))
    factors = {name: chance.integers(0, size, rows) for name, size in levels.items()}
    y = slopes @ np.linspace(-1.0, 1.5, SLOPES) + chance.normal(0, 0.7, rows)
    for place, (name, size) in enumerate(levels.items()):
        y += chance.normal(0, 0.5 + 0.2 * place, size)[factors[name]]
    return Rows(slopes, factors, y)


def with_hedgerow(rows: Rows) -> Found:
    """Fit with the last factor eliminated and the others pooled."""
    from pipeline.learning.mixed.spreads import Grouped
    from pipeline.learning.pooled import PooledRegressor

    began = time.process_time()
    *pooled, last = rows.factors
    blocks, grouped, first = [sparse.csr_array(rows.slopes)], [], SLOPES
    for name in pooled:
        level = rows.factors[name]
        size = int(level.max()) + 1
        ones = np.ones(level.size)
        shape = (level.size, size)
        blocks.append(sparse.csr_array((ones, (np.arange(level.size), level)), shape=shape))
        grouped.append(Grouped(name, tuple(range(first, first + size))))
        first += size
    model = PooledRegressor(grouped, between=Grouped(last, ()))
    model.fit(sparse.hstack(blocks, format="csr"), rows.y, rows.factors[last])
    took = time.process_time() - began
    spreads = [model.group_sd_[name] for name in rows.factors]
    return Found(took, np.array([*model.coef_[:SLOPES], *spreads, model.residual_sd_]))


def with_statsmodels(rows: Rows) -> Found:
    """Fit with MixedLM: one factor as its groups, several as variance components of one group."""
    import pandas as pd
    from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

    names = list(rows.factors)
    design = np.column_stack([np.ones(rows.y.size), rows.slopes])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        began = time.process_time()
        if len(names) == 1:
            model = MixedLM(rows.y, design, groups=rows.factors[names[0]])
        else:
            parts = [[pd.get_dummies(rows.factors[name], dtype=float).to_numpy()] for name in names]
            columns = [[[str(k) for k in range(part[0].shape[1])]] for part in parts]
            spec = VCSpec(names, columns, parts)
            model = MixedLM(
                rows.y, design, groups=np.zeros(rows.y.size), exog_vc=spec, exog_re=None
            )
        fit = model.fit(reml=True, **SETTLED)
        took = time.process_time() - began
    variances = fit.cov_re if len(names) == 1 else fit.vcomp
    spreads = np.sqrt([*np.asarray(variances).ravel(), fit.scale])
    return Found(took, np.array([*fit.fe_params[1:], *spreads]))


def with_lme4(rows: Rows) -> Found:
    """Fit with lme4 in a process of R's own; the time is that of lmer alone."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "rows.csv"
        columns = {f"x{k}": rows.slopes[:, k] for k in range(SLOPES)}
        pl.DataFrame({"y": rows.y, **columns, **rows.factors}).write_csv(path)
        formula = " + ".join([*columns, *(f"(1 | {factor})" for factor in rows.factors)])
        command = ["Rscript", "-e", LME4, str(path), f"y ~ {formula}", ",".join(rows.factors)]
        said = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    took, *estimates = (float(number) for number in said.split())
    return Found(took, np.array(estimates))


def has_lme4() -> bool:
    """Tell whether R is here, with lme4."""
    if shutil.which("Rscript") is None:
        return False
    ask = ["Rscript", "-e", "library(lme4)"]
    return subprocess.run(ask, check=False, capture_output=True).returncode == 0


def beside_others(title: str, rows: Rows, others: dict[str, Callable[[Rows], Found]]) -> None:
    """Fit the same formula with each program and print ratios."""
    own = min((with_hedgerow(rows) for _ in range(3)), key=lambda found: found.seconds)
    print(f"{title}: hedgerow {own.seconds:.3f} processor s", flush=True)
    for name, fit in others.items():
        other = fit(rows)
        apart = np.abs(other.estimates / own.estimates - 1)
        print(
            f"  {name}: {other.seconds:.2f} processor s, {other.seconds / own.seconds:.0f} times "
            f"hedgerow's (at least 10); slopes apart by at most {apart[:SLOPES].max():.1e} of "
            f"themselves, spreads by {apart[SLOPES:].max():.1e} (at most 1e-4)",
            flush=True,
        )


def compare_single_fits() -> None:
    """Fit one factor of 3,000 levels and crossed factors, each with eight slopes."""
    others: dict[str, Callable[[Rows], Found]] = {}
    if find_spec("statsmodels"):
        others["statsmodels MixedLM"] = with_statsmodels
    else:
        print("statsmodels is left out: it is not installed")
    lme4: dict[str, Callable[[Rows], Found]] = {"lme4": with_lme4} if has_lme4() else {}
    if not lme4:
        print("lme4 is left out: R is not here, or has no lme4")
    beside_others(
        "100,000 rows, 8 slopes, one factor of 3,000 levels",
        invented(100_000, {"batch": 3000}),
        others | lme4,
    )
    # MixedLM holds crossed factors in a dense matrix of rows by rows: 80 GB for 100,000.
    beside_others(
        "1,500 rows, 8 slopes, crossed factors of 10, 40 and 100 levels",
        invented(1500, {"yeast": 10, "fruit": 40, "batch": 100}),
        others | lme4,
    )
    beside_others(
        "100,000 rows, 8 slopes, crossed factors of 10, 40 and 3,000 levels",
        invented(100_000, {"yeast": 10, "fruit": 40, "batch": 3000}),
        lme4,
    )


def write(folder: Path, batches: int) -> int:
    """Write the logbook of a simulated maker and return the bytes of its tables."""
    import makers

    makers.write(makers.simulate(SEED, batches=batches, planned=0), folder)
    return sum(path.stat().st_size for path in folder.glob("*.csv"))


def measure_here(folder: Path) -> dict[str, tuple[float, float, int]]:
    """Load, fit and try the models in this process.

    Returns wall and processor seconds of each step, and the peak of memory [bytes] so far.
    """
    from pipeline.cellar import load_cellar
    from pipeline.learning.heldout import held_out
    from pipeline.learning.models import fit_frames, read_frames

    took = {}

    def timed(name: str, run: Callable[[], Any]) -> Any:
        wall, processor = time.perf_counter(), time.process_time()
        result = run()
        wall, processor = time.perf_counter() - wall, time.process_time() - processor
        took[name] = (wall, processor, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
        return result

    cellar = timed("load", lambda: load_cellar(folder))
    frames = timed("read back", lambda: read_frames(cellar))
    models = timed("fit", lambda: fit_frames(frames))
    timed("held out", lambda: held_out(frames, models))
    return took


def measure(batches: int) -> dict[str, Any]:
    """Write a logbook and measure it, each in a process of its own; `bytes` is its size.

    This process must stay small: a child begins with its parent's peak of memory.
    """
    with tempfile.TemporaryDirectory() as name:
        said = [
            subprocess.run(
                [sys.executable, "-W", "ignore", __file__, str(batches), what, name],
                check=True,
                capture_output=True,
                text=True,
            ).stdout
            for what in ("--write", "--measure")
        ]
    return {"bytes": int(said[0]), **json.loads(said[1])}


def main() -> None:
    """Measure the whole `fit`, then single fits."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("batches", nargs="?", type=int, default=BATCHES)
    for hidden in ("--write", "--measure"):
        parser.add_argument(hidden, type=Path, help=argparse.SUPPRESS)
    call = parser.parse_args()
    if call.write:
        print(write(call.write, call.batches))
    elif call.measure:
        print(json.dumps(measure_here(call.measure)))
    else:
        print_fit(call.batches)
        compare_single_fits()


def print_fit(batches: int) -> None:
    """Measure and print the whole `fit`, which rests on a load."""
    took = measure(batches)
    print(f"{batches} batches, {took['bytes'] / 1e6:.0f} MB of CSV")
    print(f"{'':26}  wall s  processor s  peak MB")
    for name in ("load", *STEPS):
        wall, processor, peak = took[name]
        print(f"{name:26}{wall:8.1f}  {processor:11.1f}  {peak / 1e6:7.0f}")
    wall, processor = (sum(took[name][side] for name in STEPS) for side in (0, 1))
    print(f"{'fit in all (at most 60)':26}{wall:8.1f}  {processor:11.1f}", flush=True)


if __name__ == "__main__":
    main()
