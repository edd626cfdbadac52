"""The search for changes worth making: every single one, and the best of them two and three deep.

All single changes are planned and forecast together. What pairs and triples would bring is first
reckoned from those, all of them at once; the most promising are then planned and forecast together
too, since two changes seldom do exactly what each does alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
import polars as pl
from threadpoolctl import threadpool_limits

from pipeline.advice.edits import Edit, apply_sets
from pipeline.advice.suggest.doubts import Steps, chance_better, steps_of, strength_sd
from pipeline.advice.suggest.sets import WORTH_A_CHANGE, mixing_pairs, promising
from pipeline.advice.suggest.wanted import Wanted
from pipeline.advice.suggest.yardstick import (
    Outcomes,
    Wish,
    Yardstick,
    outcomes_of,
    yardstick_of,
)
from pipeline.cellar import Cellar
from pipeline.cellar.plan import PlannedMusts, plan_musts
from pipeline.learning import Models
from pipeline.learning.forecast import Forecast, forecast

WORTH_AT_ALL = 0.3  # [points of 20] under which nobody would notice; common practice, no source
# [points of 20] of taste that a fuller vessel may cost, where it would stay short: under the size
# from which a trial is worth making; common practice, no source.
MAY_COST = 1.0
SURE_ENOUGH = 0.8  # chance that the changes are for the better
TRIED_TOGETHER = 120  # pairs and triples that are planned and forecast


@dataclass(frozen=True)
class Asked:
    """A recipe to search: its rows of `staged_recipes`, and the single changes to try."""

    lines: pl.DataFrame
    edits: Sequence[Edit]


@dataclass(frozen=True)
class Tried:
    """Recipes tried out: the base first, then one for each set of edits; arrays have one each.

    `worth` is the expected score less what an unfilled vessel and unmet wishes cost, `gain` what
    it is above the base's, `chance` how likely it is above it at all. `missed` tells for each wish
    of the maker which recipes are further from it than the base.
    """

    sets: list[tuple[Edit, ...]]
    plans: PlannedMusts
    forecast: Forecast
    lines: pl.DataFrame
    outcomes: Outcomes
    yardstick: Yardstick
    worth: np.ndarray
    chance: np.ndarray
    missed: dict[Wish, np.ndarray]

    @property
    def is_allowed(self) -> np.ndarray:
        """Return whether every wish is met, or at least as nearly as by the recipe as it is."""
        return ~np.any(list(self.missed.values()), axis=0)

    @property
    def keeps_taste(self) -> np.ndarray:
        """Return whether none of the taste is lost.

        A vessel that would stay short may be filled at the cost of a little, and what was asked
        for goes before taste.
        """
        score, is_short = self.outcomes.score, self.outcomes.share[0] < self.yardstick.full
        may_cost = MAY_COST * self.yardstick.out_of / 20.0 if is_short else 0.0
        return (score >= score[0] - may_cost) | self.yardstick.is_unmet

    @property
    def gain(self) -> np.ndarray:
        """Return by how much each is better than the base, in points."""
        return self.worth - self.worth[0]


@dataclass(frozen=True)
class Found:
    """What the search found.

    `singles` holds the single changes (and pairs of them), `best` the trial in which the best set
    is, and `row` where: 0 if the recipe is best left alone.
    """

    singles: Tried
    best: Tried
    row: int

    @property
    def changes(self) -> tuple[Edit, ...]:
        """Return the changes worth making."""
        return self.best.sets[self.row]


def search(cellar: Cellar, models: Models, asked: Sequence[Asked], wanted: Wanted) -> list[Found]:
    """Find the changes worth making to each of some recipes.

    Recipes are planned and forecast together: how they are described takes far longer to set out
    than to work out.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    asked : sequence of Asked
    wanted : Wanted
        What the maker wants whatever is changed.
    """
    start = [[(), *((edit,) for edit in one.edits), *mixing_pairs(one.edits)] for one in asked]
    # Matrices of a hundred columns: threads wait for each other longer than they compute.
    with threadpool_limits(limits=1, user_api="blas"):
        singles = _tried(cellar, models, asked, start, wanted, "", [None] * len(asked))
        sets = [
            [(), *promising(tried.sets, tried.outcomes, tried.yardstick, TRIED_TOGETHER)]
            for tried in singles
        ]
        steps = [steps_of(tried.sets, tried.forecast) for tried in singles]
        together = _tried(cellar, models, asked, sets, wanted, "together ", steps)
    return [_better(*both) for both in zip(singles, together, strict=True)]


def _better(singles: Tried, together: Tried) -> Found:
    tried = max((singles, together), key=lambda tried: _best(tried)[:2])
    return Found(singles, tried, _best(tried)[2])


def _tried(
    cellar: Cellar,
    models: Models,
    asked: Sequence[Asked],
    sets: Sequence[list[tuple[Edit, ...]]],
    wanted: Wanted,
    named: str,
    alone: Sequence[Steps | None],
) -> list[Tried]:
    """Try sets of edits on each recipe; `named` keeps what is tried now from what was before.

    `alone` tells of each recipe what single changes do, None where they are among the sets.
    """
    ends = accumulate(len(of_one) for of_one in sets)
    places = [range(end - len(of_one), end) for of_one, end in zip(sets, ends, strict=True)]
    lines = [
        apply_sets(one.lines, of_one, [f"{named}{number:05d}" for number in place])
        for one, of_one, place in zip(asked, sets, places, strict=True)
    ]
    plans = plan_musts(pl.concat(lines), float(cellar.settings()["bottle_l"]))
    # Doubt about amounts is much the same before and after a change.
    expected = forecast(models, plans.musts, plans.must_fruits, with_doubts=False)
    return [
        _judged(
            cellar, of_one, plans.take(place), expected.take(np.array(place)), own, wanted, steps
        )
        for of_one, place, own, steps in zip(sets, places, lines, alone, strict=True)
    ]


def _judged(
    cellar: Cellar,
    sets: list[tuple[Edit, ...]],
    plans: PlannedMusts,
    expected: Forecast,
    lines: pl.DataFrame,
    wanted: Wanted,
    alone: Steps | None,
) -> Tried:
    outcomes = outcomes_of(cellar, plans.musts, expected)
    yardstick = yardstick_of(cellar, outcomes, wanted)
    worth = yardstick.worth(outcomes)
    steps = alone or steps_of(sets, expected)
    return Tried(
        sets,
        plans,
        expected,
        lines,
        outcomes,
        yardstick,
        worth,
        chance_better(sets, expected, steps, worth, yardstick),
        yardstick.missed(outcomes, strength_sd(sets, expected, steps, wanted)),
    )


def _best(tried: Tried) -> tuple[bool, float, int]:
    """Return whether a set worth making keeps to what was asked, what the best is worth, and where.

    Every change must earn its place. The base (row 0) is worth nothing and is the best where
    nothing else is worth making.
    """
    points = tried.yardstick.out_of / 20.0
    value = tried.gain - WORTH_A_CHANGE * points * np.array([len(edits) for edits in tried.sets])
    is_worth = tried.is_allowed & (tried.chance >= SURE_ENOUGH) & np.isfinite(value)
    is_worth &= (tried.gain >= WORTH_AT_ALL * points) & tried.keeps_taste
    # What was asked for is no matter of taste: kept where anything worth making keeps it.
    keeps = is_worth & tried.yardstick.meets(tried.outcomes)
    value = np.where(keeps if keeps.any() else is_worth, value, -np.inf)
    value[0] = 0.0
    row = int(np.argmax(value))
    return bool(keeps.any()), float(value[row]), row
