"""What is really true of a maker: expectations, realised batches, causes of harshness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl

from makers.brew import Run, brew
from makers.glasses import one_each
from makers.plans import Plans
from makers.repeats import pressed_as_usual
from makers.taste import Drivers, harshness, score
from makers.world import Floats, World

# Factor of the harshness report -> the drivers that carry it.
FACTORS = {
    "fruit": ("fruit",), "fruit_load": ("fruit_load",), "skins": ("skins",),
    "contact_days": ("contact_days", "after_yeast"), "crushing": ("crushing",),
    "ripeness": ("ripeness",), "tannin_added": ("tannin_added",), "acidity": ("acidity",),
    "alcohol": ("alcohol",), "residual_sugar": ("residual_sugar",),
    "must_temperature": ("must_temperature",), "nitrogen_shortfall": ("nitrogen_shortfall",),
    "age": ("age",), "sulphite": ("sulphite",), "yeast": ("yeast",),
}  # fmt: skip
OUTCOMES = (
    "strained_l", "finished_volume_l", "finished_fraction", "final_gravity", "alcohol",
    "residual_sugar_g_l", "harshness", "score",
)  # fmt: skip
SMOOTH_BELOW = 5.0


@dataclass
class Truth:
    """The truth beside a logbook; every frame has one row per named thing.

    ``batches``: inputs as they really were, outcomes of this realisation (plain names) and their
    expectation over many realisations (``expected_`` names). ``planned``: ``expected_`` and
    ``realised_`` outcomes of each recipe in recipes.csv. ``contributions``: by batch and factor,
    how much of the harshness is owed to the factor being as it is and not as in the maker's
    smooth batches.
    """

    batches: pl.DataFrame
    planned: pl.DataFrame
    fruits: pl.DataFrame
    yeasts: pl.DataFrame
    tasters: pl.DataFrame
    contributions: pl.DataFrame
    cause: tuple[str, str] | None
    aliases: list[tuple[str, str]]


def outcomes(run: Run, world: World, rng: np.random.Generator) -> dict[str, Floats]:
    """Return what one realisation comes to; a stuck batch has no finished gravity."""
    rough, marks = one_each(run.drivers, world, rng)
    unstuck = ~run.wine.is_stuck
    return {
        "strained_l": run.bottled.strained_l,
        "finished_volume_l": run.bottled.bottled_l,
        "finished_fraction": run.finished_fraction,
        "final_gravity": np.where(unstuck, run.wine.gravity, np.nan),
        "alcohol": np.where(unstuck, run.bottled.alcohol, np.nan),
        "residual_sugar_g_l": np.where(unstuck, run.bottled.residual_g_l, np.nan),
        "harshness": rough,
        "score": marks,
    }


def expectations(
    plans: Plans, world: World, rng: np.random.Generator, draws: int, is_planned: bool = False
) -> dict[str, Floats]:
    """Return the mean of each outcome over many realisations of the same plans.

    What a planned recipe cannot say, how it will be pressed, is drawn anew each time from this
    maker's habit: no one could know better.
    """
    total = {name: np.zeros(len(plans)) for name in OUTCOMES}
    count = {name: np.zeros(len(plans)) for name in OUTCOMES}
    for _ in range(draws):
        made = brew(pressed_as_usual(plans, world, rng) if is_planned else plans, world, rng)
        for name, values in outcomes(made, world, rng).items():
            total[name] += np.nan_to_num(values)
            count[name] += ~np.isnan(values)
    return {f"expected_{name}": total[name] / np.maximum(count[name], 1) for name in OUTCOMES}


def contributions(drivers: Drivers) -> dict[str, Floats]:
    """Return per factor how much harsher the wine is than with it as in the smooth batches."""
    plain = drivers.changed(own_harsh=np.zeros_like(drivers.own_harsh))
    base = harshness(plain)
    smooth = base < SMOOTH_BELOW
    smooth = smooth if smooth.any() else base <= np.median(base)
    owed = {}
    for factor, columns in FACTORS.items():
        usual = {
            name: np.full_like(base, float(np.mean(getattr(drivers, name)[smooth])))
            for name in columns
        }
        owed[factor] = base - harshness(plain.changed(**usual))
    return owed


def batch_columns(run: Run, world: World) -> dict[str, object]:
    """Return what is true of each batch of a run."""
    plans, must, wine, bottled = run.plans, run.must, run.wine, run.bottled
    names = [*world.fruits.names, None]
    return {
        "fruit": [names[k] for k in plans.fruit[:, 0]],
        "second_fruit": [names[k] for k in plans.fruit[:, 1]],
        "yeast": [world.yeasts.names[k] for k in plans.yeast],
        "made": plans.made,
        "target_l": plans.target_l,
        "fruit_kg": must.fruit_kg.sum(axis=1),
        "net_litres_per_kg": must.net_l / np.maximum(must.fruit_kg.sum(axis=1), 1e-9),
        "strained_l": bottled.strained_l,
        "topped_l": bottled.topped_l,
        "finished_volume_l": bottled.bottled_l,
        "finished_fraction": run.finished_fraction,
        "hexose_g_l": wine.hexose_g_l,
        "final_gravity": wine.gravity,
        "bottled_gravity": bottled.gravity,
        "alcohol_before_topping": wine.alcohol,
        "alcohol": bottled.alcohol,
        "residual_sugar_g_l": bottled.residual_g_l,
        "acidity_g_l": bottled.acid_g_l,
        "nitrogen_shortfall": wine.shortfall,
        "is_stuck": wine.is_stuck,
        "harshness": harshness(run.drivers),
        "score": score(run.drivers),
    }
