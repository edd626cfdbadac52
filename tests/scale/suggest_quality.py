"""Measure suggestions on simulated makers: how often they truly help, and what they leave unused.

Run from the project's folder: `python tests/scale/suggest_quality.py` prints one table. The
simulator brews every single change, pair and triple of the grid that `suggest` searches, and so
knows the best of them. Not a test: it prints what is measured, beside what is asked for.

Gain is what `suggest` aims at, with true expectations put in: the score less what an unfilled
vessel costs, against the recipe as it is. A case is a planned recipe. A suggestion that truly moves
the strength by more than 1 % vol, half a percent granted since nobody knows a strength better, or
empties the vessel by more than a fiftieth counts as no help and no gain. The best is sought among
the same sets, and held to the same rules by what they truly come to: strength and vessel to the
letter, phosphate under its limit (reckoned by adding), and no worse in taste, by a point where the
vessel would stay short.

- helps: share of the cases with a change in which the true gain is above nought (asked: 95 %);
- regret: points lost of the points to be had, best true gain less true gain of what was suggested,
  all cases added up (asked: 10 % at most); nothing suggested gains nothing;
- mean of cases: the same of each case whose best gain is at least MATERIAL, averaged;
- not to be known: what would be lost of it if the models' curves were those of nature, by anyone
  who has only this logbook (`suggest_drawn.py`);
- inside: share of single changes whose true effect lies in the range told for it (meant: 90 %); of
  those that reach the outcome at all.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np
import polars as pl

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set
from makers.changes import Outcome, changed_plans, true_outcome  # noqa: E402
from scale.suggest_drawn import EMPTIER, GRANTED, Drawn, drawn_gains  # noqa: E402

from pipeline.advice.edits import Edit  # noqa: E402
from pipeline.advice.suggest import look  # noqa: E402
from pipeline.advice.suggest.searching import MAY_COST, Found  # noqa: E402
from pipeline.advice.suggest.wanted import Wanted  # noqa: E402
from pipeline.advice.suggest.yardstick import (  # noqa: E402
    FULL,
    SHORT_COSTS,
    STRENGTH_MAY_MOVE,
)
from pipeline.cellar import Cellar, load_cellar  # noqa: E402
from pipeline.learning.models import Models, fit_models  # noqa: E402

MATERIAL = 0.5  # [points of 20] a best gain worth speaking of
DRAWS = 24
EFFECTS = ("score", "harshness", "alcohol", "residual_sugar", "finished_fraction")
ASKED = "asked: helps in 95 % or more, regret 10 % or less"


@dataclass(frozen=True)
class Case:
    """One planned recipe: true gains of what was suggested and of the best there is."""

    changes: int
    gain: float
    best: float
    score_gain: float
    chance: float
    expected: float
    is_short: bool
    moved: float
    breaks: bool
    best_set: tuple[Edit, ...]
    own_set: tuple[Edit, ...]
    drawn: Drawn
    inside: dict[str, list[bool]]


def case(maker: makers.Maker, recipe: str, cellar: Cellar, models: Models) -> Case:
    """Return how one recipe's suggestion compares with the truth."""
    (found,) = look(cellar, models, [recipe], Wanted())
    edits = [edits[0] for edits in found.singles.sets if len(edits) == 1]
    sets: list[tuple[Edit, ...]] = [(), found.changes]
    for size in (1, 2, 3):
        sets += [
            group
            for group in combinations(edits, size)
            if len({edit.place for edit in group}) == size
        ]
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    plans = changed_plans(maker, recipe, lines.to_dicts(), sets)
    true = true_outcome(plans, maker.world, DRAWS)
    moved = np.abs(true.alcohol - true.alcohol[0])
    short = np.maximum(FULL - true.finished_fraction, 0.0)
    emptier = np.maximum(min(FULL, true.finished_fraction[0]) - true.finished_fraction, 0.0)
    worth = true.score - SHORT_COSTS * short
    gain = worth - worth[0]
    is_in = members(sets, edits)
    phosphate = is_in @ alone(found, edits, found.singles.outcomes.phosphate)
    phosphate = phosphate + found.singles.outcomes.phosphate[0]
    is_fair = (moved <= STRENGTH_MAY_MOVE) & (emptier <= 0.005)
    is_fair &= phosphate <= found.singles.yardstick.phosphate + 1e-6
    is_fair &= true.score >= true.score[0] - (MAY_COST if short[0] > 0 else 0.0)
    best = int(np.argmax(np.where(is_fair, gain, -np.inf)))
    breaks = (moved > STRENGTH_MAY_MOVE + GRANTED) | (emptier > EMPTIER)
    kept = np.where(breaks, np.minimum(gain, 0.0), gain)
    drawn = drawn_gains(found, models, edits, is_in)
    return Case(
        len(found.changes),
        float(kept[1]),
        max(float(gain[best]), 0.0),
        float(true.score[1] - true.score[0]),
        float(found.best.chance[found.row]),
        float(found.best.gain[found.row]),
        bool(short[0] > 0),
        float(moved[1]),
        bool(breaks[1]),
        sets[best],
        found.changes,
        drawn,
        inside(found, edits, true, sets),
    )


def members(sets: list[tuple[Edit, ...]], edits: list[Edit]) -> np.ndarray:
    """Return which edits each set is of (sets, edits), as noughts and ones."""
    place = {edit: number for number, edit in enumerate(edits)}
    is_in = np.zeros((len(sets), len(edits)), dtype=np.float32)
    for row, group in enumerate(sets):
        is_in[row, [place[edit] for edit in group]] = 1.0
    return is_in


def alone(found: Found, edits: list[Edit], values: np.ndarray) -> np.ndarray:
    """Return what each edit alone changes in some values of the single changes (edits,)."""
    rows = [found.singles.sets.index((edit,)) for edit in edits]
    steps: np.ndarray = values[rows] - values[0]
    return steps


def inside(
    found: Found, edits: list[Edit], true: Outcome, sets: list[tuple[Edit, ...]]
) -> dict[str, list[bool]]:
    """Return of each outcome which single changes truly do what was told, within its range."""
    answer: dict[str, list[bool]] = {name: [] for name in EFFECTS}
    for edit in edits:
        row, place = found.singles.sets.index((edit,)), sets.index((edit,), 2)
        for name in EFFECTS:
            told = found.singles.forecast[name].change(0, row)
            values = getattr(true, name)
            if told is not None and told.high > told.low:
                answer[name].append(bool(told.low <= values[place] - values[0] <= told.high))
    return answer


def cases(seed: int, batches: int, recipes: int) -> list[Case]:
    """Return the cases of one maker."""
    maker = makers.simulate(seed, batches, planned=recipes, draws=2)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        models = fit_models(cellar)
        return [case(maker, recipe, cellar, models) for recipe in maker.planned_recipes]


def line(name: str, found: list[Case]) -> str:
    """Return one line of the table."""
    if not found:
        return f"  {name:28} no case"
    changed = [c for c in found if c.changes]
    material = [c for c in found if c.best >= MATERIAL]
    lost = 1 - sum(c.gain for c in found) / max(sum(c.best for c in found), 1e-9)
    unknown = 1 - sum(c.drawn.chosen for c in found) / max(sum(c.drawn.best for c in found), 1e-9)
    held = {name: _mean([i for c in found for i in c.inside[name]]) for name in EFFECTS}
    return (
        f"  {name:28} {len(found):4} cases, {len(changed):4} changed; "
        f"helps {_mean([c.gain > 0 for c in changed]):6.1%} "
        f"(breaks a limit {_mean([c.breaks for c in changed]):5.1%}), "
        f"no worse taste {_mean([c.score_gain > -0.05 for c in changed]):6.1%}; "
        f"regret {lost:5.1%} (mean of cases "
        f"{_mean([(c.best - c.gain) / c.best for c in material]):5.1%}; not to be known "
        f"{unknown:5.1%}); "
        f"gain {_mean([c.gain for c in changed]):4.2f}, "
        f"expected {_mean([c.expected for c in changed]):4.2f}\n"
        f"    inside {', '.join(f'{name} {share:.1%}' for name, share in held.items())}"
    )


def _mean(values: list[float] | list[bool]) -> float:
    return float(np.mean(values)) if values else float("nan")


def table(sizes: list[int], seeds: range, recipes: int, is_long: bool) -> None:
    print(ASKED)
    for batches in sizes:
        began = time.perf_counter()
        found = [c for seed in seeds for c in cases(seed, batches, recipes)]
        print(f"\n{batches} batches, {len(seeds)} makers ({time.perf_counter() - began:.0f} s)")
        print(line("all", found))
        print(line("vessel not full as planned", [c for c in found if c.is_short]))
        print(line("vessel full as planned", [c for c in found if not c.is_short]))
        if is_long:
            for c in found:
                print(
                    f"    gain {c.gain:5.2f} of {c.best:5.2f}, expected {c.expected:5.2f} "
                    f"({c.chance:.3f}), strength moves {c.moved:.2f}\n      own  {said(c.own_set)}"
                    f"\n      best {said(c.best_set)}"
                )


def said(edits: tuple[Edit, ...]) -> str:
    return "; ".join(
        f"{e.ingredient or e.kind} {e.field}: {e.before} -> {e.after or 'none'}" for e in edits
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[40, 150, 600])
    parser.add_argument("--makers", type=int, default=5)
    parser.add_argument("--first", type=int, default=1, help="first seed")
    parser.add_argument("--recipes", type=int, default=20)
    parser.add_argument("--long", action="store_true", help="print every case")
    given = parser.parse_args()
    seeds = range(given.first, given.first + given.makers)
    table(given.sizes, seeds, given.recipes, given.long)
