"""Draw recipes as a maker would invent them, in amounts a person would write."""

from __future__ import annotations

import numpy as np

from makers.catalogue import FORMS, SECONDARY
from makers.plans import GALLON_L, POUND_KG, SPOON_G, TABLET_G, Plans
from makers.world import Bools, Floats, Ints, World

EACH_WAY = np.array([4.0, 4.0, 2.0])


def _choose(rng: np.random.Generator, weights: Floats, size: int) -> Ints:
    return rng.choice(len(weights), size=size, p=weights / weights.sum()).astype(np.int64)


def draw_recipes(world: World, rng: np.random.Generator, n: int) -> Plans:
    """Draw n recipes as this maker would invent them."""
    habits, fruits = world.habits, world.fruits
    gallon = GALLON_L[habits.imperial]
    target_l = gallon * rng.choice([1.0, 1.0, 1.0, 1.0, 1.0, 2.0, 5.0], n)
    metric = rng.random(n) < 0.2
    target_l = np.where(metric, np.where(target_l > 8, 10.0, 4.5), target_l)
    fruit = np.stack([_choose(rng, fruits.popularity, n), _second(world, rng, n)], axis=1)
    twice = fruit[:, 1] == fruit[:, 0]
    fruit[twice, 1] = len(fruits.kinds)
    loads = np.array([kind.load_kg_l for kind in fruits.kinds] + [0.0])
    share = np.stack([np.ones(n), rng.uniform(0.2, 0.5, n)], axis=1)
    load = loads[fruit] * share * np.exp(rng.normal(0.0, 0.28, (n, 2)))
    kg = load * np.minimum(1.0, 0.75 / load.sum(axis=1))[:, None] * target_l[:, None]
    made = _choose(rng, habits.made, n)
    plans = Plans(
        fruit=fruit,
        fruit_kg=kg,
        fruit_style=np.repeat(_choose(rng, habits.styles, n)[:, None], 2, 1),
        is_approximate=rng.random((n, 2)) < 0.08,
        form=_forms(world, rng, fruit),
        is_frozen=np.repeat(rng.random(n)[:, None] < 0.3, 2, 1),
        is_skins_on=_skins(world, rng, fruit),
        ripeness=rng.choice(3, (n, 2), p=[0.12, 0.7, 0.18]).astype(np.int64),
        is_imperial=np.full(n, habits.imperial),
        target_l=target_l,
        made=made,
        water_l=_water(rng, made, target_l),
        water_style=(rng.random(n) > habits.litres).astype(np.int64),
        sugar_kg=np.zeros(n),
        feed_kg=np.zeros(n),
        feed_day=np.round(rng.uniform(4, 9, n)),
        honey_kg=np.zeros(n),
        sugar_style=_choose(rng, habits.styles, n),
        is_sugar_approximate=rng.random(n) < 0.04,
        acid_g=np.zeros(n),
        is_tartaric=rng.random(n) < 0.3,
        tannin_g=np.zeros(n),
        nutrient_g=np.zeros(n),
        is_complex=rng.random(n) < 0.25,
        pectic_g=np.where(rng.random(n) < 0.6, 1.6, 0.0) * target_l / 4.5,
        amylase_g=np.zeros(n),
        is_spoons=rng.random(n) < habits.spoons,
        sulphite_g=np.zeros(n),
        yeast=_choose(rng, world.yeasts.popularity, n),
        yeast_day=rng.choice([0.0, 1.0, 1.0, 2.0], n),
        extraction=rng.choice(4, n, p=[0.52, 0.32, 0.06, 0.10]).astype(np.int64),
        contact_days=np.round(rng.gamma(6.0, 1.25, n) + 1.5),
        pressed=_choose(rng, EACH_WAY if habits.pressing is None else habits.pressing, n),
        must_temperature_c=rng.normal(21.0, 2.3, n),
        rackings=1 + _choose(rng, habits.rackings, n),
        is_chilled=rng.random(n) < 0.35,
        top_share=np.zeros(n),
        is_topped_with_wine=rng.random(n) < 0.35,
        bottle_day=rng.uniform(110, 190, n),
        taste_day=np.full(n, habits.taste_days),
        sweeten_g_l=np.zeros(n),
        recipe=np.arange(n),
    )
    return write_amounts(doses(plans, world, rng))


def _second(world: World, rng: np.random.Generator, n: int) -> Ints:
    none = len(world.fruits.kinds)
    usual = np.array([world.fruits.index(name) for name in SECONDARY if name in world.fruits.names])
    return np.where(rng.random(n) < 0.22, rng.choice(usual, n), none).astype(np.int64)


def _forms(world: World, rng: np.random.Generator, fruit: Ints) -> Ints:
    usual = np.array([FORMS.index(kind.form) for kind in world.fruits.kinds] + [0])[fruit]
    other = rng.integers(0, 4, fruit.shape)
    return np.where(rng.random(fruit.shape) < 0.35, other, usual)


def _skins(world: World, rng: np.random.Generator, fruit: Ints) -> Bools:
    usual = np.array([kind.skins for kind in world.fruits.kinds] + [0.0])[fruit]
    return rng.random(fruit.shape) < 0.12 + 0.76 * usual


def _water(rng: np.random.Generator, made: Ints, target_l: Floats) -> Floats:
    share = rng.choice([0.75, 0.8, 0.9], len(made))
    return np.where(made == 2, share * target_l, target_l)


def doses(plans: Plans, world: World, rng: np.random.Generator) -> Plans:
    """Give each recipe its sugar, acid, tannin, nutrient, amylase and sulphite."""
    n = len(plans)
    load = plans.fruit_kg.sum(axis=1) / plans.target_l
    wine_l = plans.target_l * np.choose(plans.made, [0.95 - 0.45 * load, 1.22, 1.05])
    aimed = np.clip(rng.normal(13.2, 2.1, n), 9.0, 17.5)
    sugar_kg = (world.fruits.sugar_g_kg[plans.fruit] * plans.fruit_kg).sum(axis=1) / 1000
    needed = np.maximum(aimed * 0.0166 * wine_l - 0.8 * sugar_kg, 0.10 * wine_l)
    feed = np.where(rng.random(n) < 0.14, rng.uniform(0.2, 0.35, n), 0.0)
    honey = np.where(rng.random(n) < 0.05, 0.3, 0.0)
    acid_g_l = (world.fruits.acid_g_kg[plans.fruit] * plans.fruit_kg).sum(axis=1) / wine_l
    acid = (
        np.clip(5.5 - 0.8 * acid_g_l, 0.0, 5.0) * (rng.random(n) < 0.8) * rng.uniform(0.4, 1.3, n)
    )
    starchy = world.fruits.starch_g_kg[plans.fruit[:, 0]] > 40
    return plans.changed(
        sugar_kg=needed * (1 - feed - honey),
        feed_kg=needed * feed,
        honey_kg=needed * honey * 1.2,
        acid_g=acid * wine_l,
        tannin_g=np.where(rng.random(n) < 0.3, rng.uniform(0.05, 0.38, n), 0.0) * wine_l,
        nutrient_g=np.where(rng.random(n) < 0.72, rng.uniform(0.2, 0.95, n), 0.0) * wine_l,
        amylase_g=np.where(starchy & (rng.random(n) < 0.5), 0.35, 0.0) * wine_l,
        sulphite_g=np.where(rng.random(n) < 0.5, rng.choice([1, 1, 2], n), 0)
        * TABLET_G
        * wine_l
        / 4.5,
    )


def _to_step(amount: Floats, step: Floats | float) -> Floats:
    return np.where(amount > 0, np.maximum(np.round(amount / step), 1.0) * step, 0.0)


def weight_step(kg: Floats, style: Ints) -> Floats:
    """Return the smallest weight [kg] a maker would write in this style."""
    ounce = POUND_KG / 16
    steps = np.choose(style, [ounce, 4 * ounce, 0.05, 0.01])
    fine = np.choose(style, [ounce / 4, ounce / 4, 0.005, 0.005])
    return np.where(kg < 0.35, fine, steps)


def write_amounts(plans: Plans) -> Plans:
    """Round every amount to what a person would write."""

    def weight(kg: Floats, style: Ints) -> Floats:
        return _to_step(kg, weight_step(kg, style))

    def powder(grams: Floats, name: str) -> Floats:
        step = np.where(plans.is_spoons, SPOON_G[name] / 4, 0.5)
        return _to_step(grams, step)

    gallon = np.where(plans.is_imperial, GALLON_L[1], GALLON_L[0])
    # A made-up mark and water poured on top are the target itself; a measured amount is rounded.
    measured = np.where(plans.water_style == 0, 0.1, gallon / 8)
    return plans.changed(
        fruit_kg=weight(plans.fruit_kg, plans.fruit_style),
        sugar_kg=weight(plans.sugar_kg, plans.sugar_style),
        feed_kg=weight(plans.feed_kg, plans.sugar_style),
        honey_kg=weight(plans.honey_kg, plans.sugar_style),
        water_l=np.where(plans.made == 2, _to_step(plans.water_l, measured), plans.water_l),
        acid_g=powder(plans.acid_g, "acid"),
        tannin_g=powder(plans.tannin_g, "tannin"),
        nutrient_g=powder(plans.nutrient_g, "nutrient"),
        pectic_g=powder(plans.pectic_g, "pectic"),
        amylase_g=powder(plans.amylase_g, "amylase"),
        sulphite_g=np.round(plans.sulphite_g / TABLET_G) * TABLET_G,
    )
