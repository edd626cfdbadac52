"""How surely it is known what a set of changes does: its strength, and that it is for the better.

Every change departs from the curves in its own way. Where one makes up for another (sugar for the
water that thins it) their sum may be nought and yet be doubted as much as both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy import special

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.wanted import Wanted
from pipeline.advice.suggest.yardstick import SHORT_COSTS, Yardstick
from pipeline.learning.ferment import SUGAR_PER_PERCENT
from pipeline.learning.forecast import Forecast

DOUBTED = ("alcohol", "score", "finished_fraction")
# Share of what would be left unfermented that may ferment all the same (one sd); chosen on
# simulated makers (tests/scale/suggest_quality.py).
UNSURE_END = 0.2
Steps = Mapping[str, Mapping[Edit, float]]


def steps_of(sets: Sequence[tuple[Edit, ...]], expected: Forecast) -> Steps:
    """Return by how much each single change among some sets moves an outcome, the base first."""
    return {
        name: {
            edits[0]: float(expected[name].mean[row] - expected[name].mean[0])
            for row, edits in enumerate(sets)
            if len(edits) == 1
        }
        for name in DOUBTED
    }


def change_sd(
    sets: Sequence[tuple[Edit, ...]], expected: Forecast, name: str, steps: Steps
) -> np.ndarray:
    """Return how surely it is known what sets do to an outcome (sets,)."""
    alone = steps[name]
    departs = expected[name].departure.own(np.array(list(alone.values())))
    own = {edit: float(sd) if alone[edit] else 0.0 for edit, sd in zip(alone, departs, strict=True)}
    together = np.array([sum(own[edit] ** 2 for edit in edits) for edits in sets])
    return expected[name].change_sd(0, own=np.sqrt(together))


def strength_sd(
    sets: Sequence[tuple[Edit, ...]], expected: Forecast, steps: Steps, wanted: Wanted
) -> np.ndarray:
    """Return how surely the strength is known, beside the recipe's own where that is the wish.

    Of a must too sweet for its yeast water seems to take no strength, only sugar left over. If the
    yeast goes further than is thought, it takes strength after all.
    """
    if wanted.strength is not None:
        return expected["alcohol"].sd
    left = np.nan_to_num(expected["residual_sugar"].mean)
    unfermented = UNSURE_END * (left - left[0]) / SUGAR_PER_PERCENT
    return np.asarray(np.hypot(change_sd(sets, expected, "alcohol", steps), unfermented))


def chance_better(
    sets: Sequence[tuple[Edit, ...]],
    expected: Forecast,
    steps: Steps,
    worth: np.ndarray,
    yardstick: Yardstick,
) -> np.ndarray:
    """Return how likely each set is better than the base (sets,)."""
    share = expected["finished_fraction"]
    slope = SHORT_COSTS * yardstick.out_of / 20.0 * (share.mean < yardstick.full)
    of_share = np.nan_to_num(change_sd(sets, expected, "finished_fraction", steps))
    variance = change_sd(sets, expected, "score", steps) ** 2 + (slope * of_share) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        away = (worth - worth[0]) / np.sqrt(variance)
    return np.asarray(special.stdtr(max(expected["score"].degrees, 3.0), away))
