"""Recipes made again: as they were or a little altered, with the small differences of every day."""

from __future__ import annotations

import numpy as np

from makers.plans import Plans
from makers.recipes import draw_recipes, write_amounts
from makers.world import Bools, Floats, Ints, World

MOST_LOAD = 0.8  # [kg/L]


def draw_batches(world: World, rng: np.random.Generator, n: int) -> Plans:
    """Draw n batches from recipes made one to six times, half of the repeats slightly altered."""
    counts = rng.choice([1, 2, 3, 4, 5, 6], n, p=[0.42, 0.22, 0.14, 0.10, 0.07, 0.05])
    recipes = int(np.searchsorted(np.cumsum(counts), n) + 1)
    rows = np.repeat(np.arange(recipes), counts[:recipes])[:n]
    plans = draw_recipes(world, rng, recipes).take(rows)
    is_repeat = np.append(False, rows[1:] == rows[:-1])
    plans = alter(plans, world, rng, is_repeat & (rng.random(n) < 0.5), changes=1.6)
    return as_made(plans, world, rng)


def draw_planned(world: World, rng: np.random.Generator, n: int, batches: Plans) -> Plans:
    """Draw n planned recipes: half altered from the logbook's, half new."""
    fresh = draw_recipes(world, rng, n)
    source = batches.take(rng.integers(0, len(batches), n))
    source = alter(source, world, rng, np.ones(n, dtype=bool), changes=2.6)
    is_old = np.arange(n) % 2 == 0
    plans = _where(is_old, source, fresh)
    # What recipes.csv has no column for is done as this maker usually does it.
    usual = {
        name: np.full(n, int(np.bincount(getattr(batches, name)).argmax()))
        for name in ("extraction", "pressed")
    }
    plans = plans.changed(
        top_share=np.zeros(n),
        recipe=np.arange(n),
        is_chilled=np.zeros(n, dtype=bool),
        sweeten_g_l=np.where(rng.random(n) < 0.15, rng.choice([10.0, 20.0], n), 0.0),
        **usual,
    )
    return write_amounts(plans)


def _where(flag: Bools, one: Plans, other: Plans) -> Plans:
    columns = {}
    for name, value in vars(one).items():
        mask = flag[:, None] if value.ndim == 2 else flag
        columns[name] = np.where(mask, value, getattr(other, name))
    return Plans(**columns)


def as_made(plans: Plans, world: World, rng: np.random.Generator) -> Plans:
    """Add what differs from batch to batch without being meant: weather, patience, topping up."""
    n, habits = len(plans), world.habits
    topped = rng.random(n) < habits.topping
    return plans.changed(
        contact_days=np.maximum(plans.contact_days + rng.choice([-1.0, 0.0, 0.0, 1.0], n), 1.0),
        must_temperature_c=plans.must_temperature_c + rng.normal(0.0, 1.3, n),
        bottle_day=plans.bottle_day + rng.uniform(-20, 30, n),
        taste_day=habits.taste_days * np.exp(rng.normal(0.0, 0.3, n)),
        top_share=np.where(topped, rng.uniform(0.3, 1.0, n), 0.0),
    )


def _fitting(fruit_kg: Floats, plans: Plans) -> Floats:
    """Return the fruit that still leaves room for water in the vessel."""
    load = fruit_kg.sum(axis=1) / plans.target_l
    fitting: Floats = fruit_kg * np.minimum(1.0, MOST_LOAD / np.maximum(load, 1e-9))[:, None]
    return fitting


def pressed_as_usual(plans: Plans, world: World, rng: np.random.Generator) -> Plans:
    """Press as this maker does, which recipes.csv has no column for: mostly one way."""
    shares = world.habits.pressing
    if shares is None:
        return plans
    [aside] = rng.spawn(1)
    return plans.changed(pressed=aside.choice(3, len(plans), p=shares).astype(np.int64))


def alter(
    plans: Plans, world: World, rng: np.random.Generator, rows: Bools, changes: float
) -> Plans:
    """Change about so many things in the given rows, as a maker does between two seasons."""
    n = len(plans)

    def chosen(share: float) -> Bools:
        return rows & (rng.random(n) < share * changes)

    def pair(flag: Bools) -> Bools:
        return np.repeat(flag[:, None], 2, axis=1)

    factor = np.exp(rng.normal(0.0, 0.16, (n, 1)))
    yeast: Ints = rng.choice(len(world.yeasts.names), n, p=world.yeasts.popularity).astype(np.int64)
    more_sugar = np.where(chosen(0.2), np.exp(rng.normal(0.0, 0.09, n)), 1.0)
    flip_enzyme = chosen(0.08)
    enzyme_g = np.where(plans.pectic_g > 0, 0.0, 1.6 * plans.target_l / 4.5)
    altered = plans.changed(
        fruit_kg=_fitting(
            np.where(pair(chosen(0.16)), plans.fruit_kg * factor, plans.fruit_kg), plans
        ),
        sugar_kg=plans.sugar_kg * more_sugar,
        contact_days=np.where(
            chosen(0.15),
            np.maximum(plans.contact_days + rng.integers(-4, 6, n), 1),
            plans.contact_days,
        ),
        is_skins_on=plans.is_skins_on ^ pair(chosen(0.10)),
        is_frozen=plans.is_frozen ^ pair(chosen(0.10)),
        form=np.where(pair(chosen(0.06)), rng.integers(0, 4, (n, 1)), plans.form),
        yeast=np.where(chosen(0.14), yeast, plans.yeast),
        pectic_g=np.where(flip_enzyme, enzyme_g, plans.pectic_g),
        acid_g=np.where(chosen(0.08), plans.acid_g * rng.uniform(0.5, 1.6, n), plans.acid_g),
        nutrient_g=np.where(
            chosen(0.10), rng.uniform(0, 0.9, n) * plans.target_l, plans.nutrient_g
        ),
        tannin_g=np.where(chosen(0.07), rng.uniform(0, 0.3, n) * plans.target_l, plans.tannin_g),
        pressed=np.where(chosen(0.06), rng.integers(0, 3, n), plans.pressed),
        made=np.where(chosen(0.05), rng.integers(0, 2, n), plans.made),
    )
    water_l = np.where((altered.made == 2), plans.water_l, plans.target_l)
    return write_amounts(altered.changed(water_l=water_l))
