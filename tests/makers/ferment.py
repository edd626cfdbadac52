"""What the yeast does: how much alcohol it makes, what it leaves, when it sticks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.must import Must
from makers.plans import Plans
from makers.world import Bools, Floats, World

CO2_KG_PER_HEXOSE_KG = 0.465
SHRINKS_L_KG = 0.071


@dataclass
class Wine:
    """The wine when fermentation is over, before anything is racked or topped up."""

    hexose_g_l: Floats
    alcohol: Floats
    residual_g_l: Floats
    extract_g_l: Floats
    gravity: Floats
    shortfall: Floats
    chance_stuck: Floats
    is_stuck: Bools
    done_at_strain: Floats
    volume_l: Floats
    co2_kg: Floats


def ethanol_gravity(alcohol: Floats) -> Floats:
    """Return the gravity of plain alcohol and water; an own quadratic, good to 0.0004."""
    return 1.0 - 1.505e-3 * alcohol + 1.5e-5 * alcohol**2


def wine_gravity(alcohol: Floats, extract_g_l: Floats) -> Floats:
    """Return the gravity of wine: alcohol lightens it, what is dissolved weighs it down."""
    return ethanol_gravity(alcohol) + 3.88e-4 * extract_g_l


def nitrogen_shortfall(must: Must, hexose_g_l: Floats, plans: Plans, world: World) -> Floats:
    """Return how short of nitrogen the yeast is, 0 to 1."""
    demand = world.yeasts.demand_mg_g[plans.yeast] * hexose_g_l
    ratio = np.maximum(must.nitrogen_mg / must.strained_l, 1.0) / demand
    return world.nature.shortage(ratio)


def ferment(plans: Plans, must: Must, world: World, rng: np.random.Generator) -> Wine:
    """Return every batch's finished wine."""
    n, yeasts, nature = len(plans), world.yeasts, world.nature
    hexose = must.hexose_g / must.strained_l
    short = nitrogen_shortfall(must, hexose, plans, world)
    warm = plans.must_temperature_c
    strain = (
        nature.shortage_cost * short
        + 0.035 * np.maximum(warm - 25, 0) ** 2
        + 0.03 * np.maximum(16 - warm, 0) ** 2
    )
    tolerance = yeasts.tolerance[plans.yeast] - strain + 0.22 * rng.normal(size=n)
    potential = hexose * (1 - yeasts.residue[plans.yeast]) * yeasts.yield_ml_g[plans.yeast] / 10
    alcohol = nature.smaller(potential, np.maximum(tolerance, 5.0))
    unrest = (
        -4.9
        + 2.8 * short
        + 0.3 * np.maximum(np.abs(warm - 21) - 4, 0)
        + 0.3 * np.maximum(potential - tolerance, 0)
    )
    chance_stuck = 1 / (1 + np.exp(-unrest))
    is_stuck = rng.random(n) < chance_stuck
    alcohol = np.where(is_stuck, alcohol * rng.beta(9.0, 4.0, n), alcohol)
    alcohol = alcohol * np.exp(nature.alcohol_noise * rng.normal(size=n))
    used = hexose * (1 - yeasts.residue[plans.yeast]) * np.minimum(alcohol / potential, 1.0)
    residual = (hexose - used) * 0.98
    extract = (must.extract_g + 0.25 * must.starch_g) / must.strained_l + 0.028 * used
    pace = 2.6 * 1.08 ** (21.0 - warm)
    done = 1 - np.exp(-np.maximum(plans.contact_days - plans.yeast_day - 0.5, 0.05) / pace)
    return Wine(
        hexose_g_l=hexose,
        alcohol=alcohol,
        residual_g_l=residual,
        extract_g_l=extract,
        gravity=wine_gravity(alcohol, extract + 0.95 * residual) + 0.0009 * rng.standard_t(5, n),
        shortfall=short,
        chance_stuck=chance_stuck,
        is_stuck=is_stuck,
        done_at_strain=done,
        volume_l=must.strained_l - SHRINKS_L_KG * used * must.strained_l / 1000,
        co2_kg=CO2_KG_PER_HEXOSE_KG * used * must.strained_l / 1000,
    )
