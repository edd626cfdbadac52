"""A recipe planned and forecast in several sizes at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.advice.edits import apply_sets
from pipeline.advice.fill.ways import Filled, Recipe
from pipeline.cellar.plan import PlannedMusts, plan_musts
from pipeline.errors import CannotSayError
from pipeline.learning import Models
from pipeline.learning.ferment import SUGAR_PER_PERCENT
from pipeline.learning.forecast import Forecast, forecast


@dataclass(frozen=True)
class Tried:
    """A recipe in several sizes, the recipe as it is first; arrays have one entry each."""

    sizes: list[Filled]
    plans: PlannedMusts
    forecast: Forecast
    lines: pl.DataFrame
    chance: np.ndarray

    @property
    def sweetness(self) -> np.ndarray:
        """What all sugar comes to [% vol], the part that is left unfermented counted in."""
        left = self.forecast["residual_sugar"].mean / SUGAR_PER_PERCENT
        return np.asarray(self.forecast["alcohol"].mean + left)

    @property
    def poured_share(self) -> np.ndarray:
        """Share of that which is poured, and not the fruit's own."""

        def column(name: str) -> np.ndarray:
            return self.plans.musts[name].cast(pl.Float64).fill_null(0.0).to_numpy().astype(float)

        poured = 1000 * column("sugar_kg")
        return np.asarray(poured / np.maximum(poured + column("fruit_sugar_g"), 1e-9))


def try_sizes(models: Models, recipe: Recipe, sizes: Sequence[Filled], bottle_l: float) -> Tried:
    """Plan and forecast a recipe as it is and in other sizes.

    Parameters
    ----------
    models : Models
    recipe : Recipe
    sizes : sequence of Filled
    bottle_l : float
        Size of a bottle [L].

    Raises
    ------
    CannotSayError
        If too little of the recipe is known.
    """
    every = [Filled((), recipe.target_l), *sizes]
    names = [f"{number:03d}" for number in range(len(every))]
    lines = apply_sets(recipe.lines, [one.edits for one in every], names)
    plans = plan_musts(lines, bottle_l)
    expected = forecast(models, plans.musts, plans.must_fruits)
    aim = recipe.target_l / np.array([one.target_l for one in every])
    chance = expected["finished_fraction"].chance_above(aim)
    if not np.isfinite(chance[0]):
        raise CannotSayError(
            f"Too much of '{recipe.lines['recipe'][0]}' is unknown to say what it will give: a "
            "weight or a volume in it could not be read."
        )
    return Tried(every, plans, expected, lines, chance)
