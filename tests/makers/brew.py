"""Make every batch once: vessel, yeast, cellar, and what the taste will depend on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.cellaring import Bottled, age
from makers.ferment import Wine, ferment
from makers.must import Must, mash
from makers.plans import Plans
from makers.taste import Drivers
from makers.world import Floats, World


@dataclass
class Run:
    """One realisation of a set of plans."""

    plans: Plans
    must: Must
    wine: Wine
    bottled: Bottled
    drivers: Drivers

    @property
    def finished_fraction(self) -> Floats:
        return self.bottled.bottled_l / self.plans.target_l


def brew(plans: Plans, world: World, rng: np.random.Generator) -> Run:
    """Return one realisation: the same plans brewed again come out a little different."""
    must = mash(plans, world, rng)
    wine = ferment(plans, must, world, rng)
    bottled = age(plans, must, wine, world, rng)
    return Run(plans, must, wine, bottled, _drivers(plans, must, wine, bottled, world, rng))


def _share(weights: Floats, flag: np.ndarray) -> Floats:
    shares: Floats = (weights * flag).sum(axis=1) / weights.sum(axis=1)
    return shares


def _drivers(
    plans: Plans, must: Must, wine: Wine, bottled: Bottled, world: World, rng: np.random.Generator
) -> Drivers:
    n, kg = len(plans), must.fruit_kg
    volume = must.strained_l / bottled.share_left
    return Drivers(
        fruit=_share(kg, world.fruits.tannin[plans.fruit]),
        fruit_load=kg.sum(axis=1) / volume,
        skins=_share(kg, plans.is_skins_on),
        contact_days=plans.contact_days,
        after_yeast=np.maximum(plans.contact_days - plans.yeast_day, 0.0),
        crushing=_share(kg, plans.form >= 2),
        ripeness=_share(kg, plans.ripeness == 0),
        tannin_added=must.tannin_added_g / volume,
        acidity=bottled.acid_g_l,
        alcohol=bottled.alcohol,
        residual_sugar=np.maximum(bottled.residual_g_l, plans.sweeten_g_l),
        must_temperature=plans.must_temperature_c,
        nitrogen_shortfall=wine.shortfall,
        age=plans.taste_day,
        sulphite=1000 * 0.576 * plans.sulphite_g / volume,
        freezing=_share(kg, plans.is_frozen),
        enzyme=(plans.pectic_g > 0).astype(float),
        heat=(plans.extraction > 1) * 0.7 + (plans.extraction == 1) * 0.15,
        yeast=world.yeasts.merit[plans.yeast],
        merit=_share(kg, world.fruits.merit[plans.fruit]),
        starch=must.starch_g / volume,
        own_harsh=0.10 * rng.standard_t(6, n),
        own_score=0.75 * rng.standard_t(6, n),
    )
