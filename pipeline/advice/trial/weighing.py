"""Which split batch is worth making: what each would teach of a change that may be for the better.

A maker who thinks of changing one thing can leave it as it is or change it. A change is worth a
trial while it may be for the better by what somebody would mind: one that cannot will not be made,
whatever is learnt of it. Of those that may, the trial takes the one whose interval the split batch
narrows most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.advice.edits import Edit, apply_edits
from pipeline.advice.trial.plan import Split
from pipeline.cellar.plan import plan_musts
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate
from pipeline.learning.explain import confounded_sets
from pipeline.learning.explain.doubts import tasted_rows
from pipeline.learning.explain.factors import usual_row
from pipeline.learning.explain.shares import share_out
from pipeline.learning.forecast import forecast
from pipeline.learning.taste.inputs import TasteInputs
from pipeline.learning.trial import Differences, Pair, differences

# What somebody minds: half a point of harshness, a point of score; common practice, no source.
USEFUL = {"harshness": 0.5, "score": 1.0}
BETTER = {"harshness": -1.0, "score": 1.0}  # which way is for the better
ALSO_NARROWED = 0.1  # share of another factor's interval from which it is worth a word


@dataclass(frozen=True)
class Weighed:
    """One split and what it would teach [points of the logbook's scale].

    `place` is where it stands among the `Splits`; `width_after` holds after one evening.
    """

    split: Split
    place: int
    effect: Estimate
    width_now: float
    width_after: float
    may_help: bool

    @property
    def narrowed(self) -> float:
        """Return by how much the interval would be narrower."""
        return self.width_now - self.width_after


@dataclass(frozen=True)
class Choice:
    """Every split of a recipe, the best of each factor, those worth most first."""

    weighed: tuple[Weighed, ...]
    differences: Differences
    inputs: TasteInputs
    useful: float

    @property
    def chosen(self) -> Weighed | None:
        """Return the split to make, None where nothing could be split."""
        return self.weighed[0] if self.weighed else None

    def of(self, factor: str) -> Weighed | None:
        """Return the split of one factor."""
        return next((one for one in self.weighed if one.split.factor == factor), None)


def weigh(
    models: Models,
    lines: pl.DataFrame,
    splits: Sequence[Split],
    bottle_l: float,
    answer: str,
    glasses: int,
) -> Choice:
    """Work out what every split of a recipe would teach.

    Parameters
    ----------
    models : Models
    lines : polars.DataFrame
        The recipe's rows of `staged_recipes`.
    splits : sequence of Split
    bottle_l : float
        Size of a bottle [L].
    answer : {'harshness', 'score'}
        What it is about.
    glasses : int
        Of each arm, on one evening.
    """
    sets: list[tuple[Edit, ...]] = [()]
    pairs = [
        Pair(
            split.factor,
            _placed(sets, split.base),
            _placed(sets, split.other),
            is_one_wine=split.way == "glass",
        )
        for split in splits
    ]
    every = [apply_edits(lines, edits, f"{number:05d}") for number, edits in enumerate(sets)]
    plans = plan_musts(pl.concat(every), bottle_l)
    inputs = forecast(models, plans.musts, plans.must_fruits).taste
    found = differences(models.taste, answer, inputs, pairs)
    useful = USEFUL[answer] * found.unit_share
    better = BETTER[answer]
    weighed = [_weighed(found, k, split, glasses, useful, better) for k, split in enumerate(splits)]
    return Choice(_best_of_each(found, weighed), found, inputs.take(np.array([0])), useful)


def _placed(sets: list[tuple[Edit, ...]], edits: tuple[Edit, ...]) -> int:
    """Return where an arm stands among the recipes to plan; the recipe itself is the first."""
    if not edits:
        return 0
    sets.append(edits)
    return len(sets) - 1


def _weighed(
    found: Differences, k: int, split: Split, glasses: int, useful: float, better: float
) -> Weighed:
    now = float(found.variance_now()[k])
    after = float(found.variance_after(k, glasses)[k])
    value = float(found.value[k])
    effect = found.estimate(value, now)
    return Weighed(
        split=split,
        place=k,
        effect=effect,
        width_now=2 * found.half_width(now),
        width_after=2 * found.half_width(after),
        may_help=max(better * effect.low, better * effect.high) >= useful,
    )


def _best_of_each(found: Differences, weighed: list[Weighed]) -> tuple[Weighed, ...]:
    """Return one split a factor, those that may help first, the largest narrowing first."""
    best: dict[str, Weighed] = {}
    for one in sorted(weighed, key=lambda one: (not one.may_help, -one.narrowed)):
        if found.is_touched(one.place):
            best.setdefault(one.split.factor, one)
    return tuple(best.values())


def also_taught(choice: Choice, chosen: Weighed, glasses: int) -> list[tuple[Weighed, float]]:
    """Return the other factors that a split narrows as well, each with its width afterwards."""
    found = choice.differences
    after = found.variance_after(chosen.place, glasses)
    widths = {
        one.place: 2 * found.half_width(float(after[one.place]))
        for one in choice.weighed
        if one is not chosen
    }
    return [
        (one, widths[one.place])
        for one in choice.weighed
        if one is not chosen and one.width_now - widths[one.place] >= ALSO_NARROWED * one.width_now
    ]


def sets_together(models: Models, choice: Choice) -> list[list[str]]:
    """Return the sets of factors that the logbook cannot tell apart, for this recipe."""
    rows = tasted_rows(models.taste)
    usual = usual_row(models.taste.inputs, rows)
    return confounded_sets(models.taste, share_out(models.taste.harshness, choice.inputs, usual))
