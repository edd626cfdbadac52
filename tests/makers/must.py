"""What the vessel does: fruit releases and holds back, sugar dissolves, solids come out.

Release follows a Hill curve in contact days, pulp holds must by fruit, form and pressing, and what
the pulp keeps takes its share of everything dissolved. Nothing here is taken from the pipeline.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.plans import Plans
from makers.world import Bools, Floats, World

SUCROSE_L_KG = 0.62
HONEY_L_KG = 0.70
JUICE_KG_L = 1.045
WATER_KG_L = 0.9982
RIPE_SUGAR = np.array([0.86, 1.0, 1.06])
RIPE_ACID = np.array([1.22, 1.0, 0.86])
RIPE_STARCH = np.array([1.8, 1.0, 0.35])


@dataclass
class Must:
    """The strained must, all its sugar counted as if unfermented, and where the mass went."""

    fruit_kg: Floats
    strained_l: Floats
    net_l: Floats
    hexose_g: Floats
    start_gravity: Floats
    acid_g: Floats
    nitrogen_mg: Floats
    extract_g: Floats
    starch_g: Floats
    nutrient_g: Floats
    tannin_added_g: Floats
    liquid_kg: Floats
    pomace_kg: Floats
    put_in_kg: Floats
    evaporated_kg: Floats


def sugar_gravity(sucrose_g_l: Floats) -> Floats:
    """Return the gravity of a sugar solution; an own quadratic, good to 0.0005 up to 300 g/L."""
    return 1.0 + 3.885e-4 * sucrose_g_l - 2.6e-8 * sucrose_g_l**2


def spooned(plans: Plans, name: str, rng: np.random.Generator) -> Floats:
    """Return what a powder really weighed [g]: a spoon is seldom level."""
    grams: Floats = getattr(plans, f"{name}_g")
    spread = np.where(plans.is_spoons & (grams > 0), 0.12, 0.0)
    real: Floats = grams * np.exp(spread * rng.normal(size=len(plans)))
    return real


def release(plans: Plans, world: World, days: Floats) -> Floats:
    """Return the share of its juice each fruit has given up after so many days, (n, 2)."""
    nature = world.nature
    pace = nature.form_pace[plans.form] * np.where(plans.is_frozen, nature.frozen_pace, 1.0)
    hasty = np.where(plans.pectic_g > 0, nature.enzyme_pace, 1.0)
    pace = pace * (hasty * nature.heat_pace[plans.extraction])[:, None]
    half = world.fruits.half_days[plans.fruit] / pace
    return nature.given(days[:, None] / half)


def held(plans: Plans, world: World) -> Floats:
    """Return what the pulp keeps back [L/kg], (n, 2)."""
    has_pectic, nature = plans.pectic_g > 0, world.nature
    whole = nature.press_hold[plans.pressed] * np.where(has_pectic, nature.enzyme_hold, 1.0)
    whole = whole * np.where((plans.extraction > 0) & ~has_pectic, nature.heat_hold, 1.0)
    thawed = np.where(plans.is_frozen, nature.frozen_hold, 1.0)
    by_form = nature.form_hold[plans.form]
    return world.fruits.hold_l_kg[plans.fruit] * by_form * thawed * whole[:, None]


def _approximate(rng: np.random.Generator, amount: Floats, rough: Bools) -> Floats:
    spread = np.where(rough, 0.05, 0.0)
    real: Floats = amount * np.exp(spread * rng.normal(size=amount.shape))
    return real


def poured_water(
    plans: Plans, fruit_kg: Floats, sugar_l: Floats, rng: np.random.Generator
) -> Floats:
    """Return the water [L]: as measured, or what was missing to the mark with all in the vessel."""
    n = len(plans)
    missing = plans.target_l - fruit_kg.sum(axis=1) / 1.04 - sugar_l
    to_mark = np.maximum(missing, 0.2 * plans.target_l) + 0.008 * plans.target_l * rng.normal(
        size=n
    )
    measured = plans.water_l * (1.0 + 0.006 * rng.normal(size=n))
    return np.where(plans.made == 0, to_mark, measured)


def _acid(plans: Plans, fruit_acid_g: Floats, rng: np.random.Generator) -> Floats:
    strength = np.where(plans.is_tartaric, 1.0, 1.17)
    return fruit_acid_g + strength * spooned(plans, "acid", rng)


def mash(plans: Plans, world: World, rng: np.random.Generator) -> Must:
    """Return the strained must of every batch."""
    n, fruits = len(plans), world.fruits
    fruit_kg = _approximate(rng, plans.fruit_kg, plans.is_approximate)
    sugar_kg = _approximate(rng, plans.sugar_kg, plans.is_sugar_approximate)
    sugar_l = SUCROSE_L_KG * sugar_kg + HONEY_L_KG * plans.honey_kg
    water_l = poured_water(plans, fruit_kg, sugar_l, rng)
    early_kg = np.where(plans.feed_day < plans.contact_days, plans.feed_kg, 0.0)
    late_kg = plans.feed_kg - early_kg

    given = release(plans, world, plans.contact_days)
    given = given * (0.96 + 0.08 * rng.beta(4.0, 4.0, (n, 2)))
    year = np.exp(world.nature.sugar_noise * rng.standard_t(6, (n, 2)))
    sugar_g_kg = fruits.sugar_g_kg[plans.fruit] * RIPE_SUGAR[plans.ripeness] * year
    fruit_sugar_g = fruit_kg * sugar_g_kg
    starch_g = fruit_kg * fruits.starch_g_kg[plans.fruit] * RIPE_STARCH[plans.ripeness]
    turned = _turned(plans, water_l, spooned(plans, "amylase", rng))
    released_l = fruit_kg * fruits.juice_l_kg[plans.fruit] * given

    liquid_l = water_l + sugar_l + SUCROSE_L_KG * early_kg + released_l.sum(axis=1)
    noise = np.exp(world.nature.hold_noise * rng.normal(size=(n, 2)))
    held_l = np.minimum((fruit_kg * held(plans, world) * noise).sum(axis=1), 0.6 * liquid_l)
    evaporated_l = world.nature.evaporated_a_day * plans.target_l * plans.contact_days
    strained_l = liquid_l - held_l - evaporated_l
    kept = strained_l / (liquid_l - evaporated_l)

    dissolved_g = 1052.6 * (sugar_kg + early_kg) + 800.0 * plans.honey_kg
    from_fruit_g = (fruit_sugar_g * given**0.8).sum(axis=1) + 1.11 * turned * (
        starch_g * given
    ).sum(1)
    nutrient_g = spooned(plans, "nutrient", rng)
    yan = np.where(plans.is_complex, 100.0, 212.0)
    fruit_n_mg = (fruit_kg * fruits.nitrogen_mg_kg[plans.fruit] * given).sum(axis=1)
    fruit_acid_g = fruits.acid_g_kg[plans.fruit] * RIPE_ACID[plans.ripeness] * fruit_kg * given**0.8
    extract_g = (fruit_kg * fruits.extract_g_kg[plans.fruit] * given).sum(axis=1)
    liquid_kg = WATER_KG_L * (water_l - evaporated_l) + sugar_kg + early_kg + plans.honey_kg
    liquid_kg = liquid_kg + JUICE_KG_L * released_l.sum(axis=1)
    put_in_kg = (
        WATER_KG_L * water_l + sugar_kg + plans.feed_kg + plans.honey_kg + fruit_kg.sum(axis=1)
    )
    pomace_kg = fruit_kg.sum(axis=1) - JUICE_KG_L * released_l.sum(axis=1) + (1 - kept) * liquid_kg
    return Must(
        fruit_kg=fruit_kg,
        strained_l=strained_l + SUCROSE_L_KG * late_kg,
        net_l=released_l.sum(axis=1) - held_l,
        hexose_g=kept * (dissolved_g + from_fruit_g) + 1052.6 * late_kg,
        start_gravity=_first_gravity(plans, world, fruit_sugar_g, water_l, sugar_kg, released_l),
        acid_g=kept * _acid(plans, fruit_acid_g.sum(axis=1), rng) + 0.4 * strained_l,
        nitrogen_mg=kept * (fruit_n_mg + yan * nutrient_g),
        extract_g=kept * extract_g + 12.0 * strained_l * np.exp(0.1 * rng.normal(size=n)),
        starch_g=kept * (1 - turned) * (starch_g * given).sum(axis=1),
        nutrient_g=nutrient_g,
        tannin_added_g=kept * spooned(plans, "tannin", rng),
        liquid_kg=kept * liquid_kg + late_kg,
        pomace_kg=pomace_kg,
        put_in_kg=put_in_kg,
        evaporated_kg=WATER_KG_L * evaporated_l,
    )


def _turned(plans: Plans, water_l: Floats, amylase_g: Floats) -> Floats:
    dose_g_l = amylase_g / water_l
    softened = np.where(plans.extraction > 0, 1.0, 0.6)
    return 0.08 + 0.84 * softened * dose_g_l / (dose_g_l + 0.08)


def _first_gravity(
    plans: Plans,
    world: World,
    fruit_sugar_g: Floats,
    water_l: Floats,
    sugar_kg: Floats,
    released_l: Floats,
) -> Floats:
    """Return the gravity when yeast went in: the fruit may still be keeping most of its sugar."""
    early = release(plans, world, np.maximum(plans.yeast_day, 0.15))
    final = np.maximum(release(plans, world, plans.contact_days), 1e-9)
    given_l = (released_l * early / final).sum(axis=1)
    volume_l = water_l + SUCROSE_L_KG * sugar_kg + HONEY_L_KG * plans.honey_kg + given_l
    grams = 1000 * sugar_kg + 760 * plans.honey_kg + 0.95 * (fruit_sugar_g * early**0.8).sum(axis=1)
    extract = 0.6 * 14.0 * given_l
    return sugar_gravity((grams + extract) / volume_l)
