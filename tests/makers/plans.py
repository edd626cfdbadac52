"""What a maker sets out to do: one entry per batch or planned recipe, as arrays.

Amounts are those *written down*; what really went in differs where a spoon or a ``~`` is used.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from makers.world import Bools, Floats, Ints

GALLON_L = (3.785411784, 4.54609)
POUND_KG = 0.45359237
# Grams in a level teaspoon, as the simulated kitchen has it.
SPOON_G = {"acid": 4.8, "tannin": 2.5, "nutrient": 4.5, "pectic": 3.2, "amylase": 3.0}
TABLET_G = 0.44


@dataclass
class Plans:
    """Arrays over n batches; fruit arrays are (n, 2), the second column often 'no fruit'."""

    fruit: Ints
    fruit_kg: Floats
    fruit_style: Ints
    is_approximate: Bools
    form: Ints
    is_frozen: Bools
    is_skins_on: Bools
    ripeness: Ints
    is_imperial: Bools
    target_l: Floats
    made: Ints
    water_l: Floats
    water_style: Ints
    sugar_kg: Floats
    feed_kg: Floats
    feed_day: Floats
    honey_kg: Floats
    sugar_style: Ints
    is_sugar_approximate: Bools
    acid_g: Floats
    is_tartaric: Bools
    tannin_g: Floats
    nutrient_g: Floats
    is_complex: Bools
    pectic_g: Floats
    amylase_g: Floats
    is_spoons: Bools
    sulphite_g: Floats
    yeast: Ints
    yeast_day: Floats
    extraction: Ints
    contact_days: Floats
    pressed: Ints
    must_temperature_c: Floats
    rackings: Ints
    is_chilled: Bools
    top_share: Floats
    is_topped_with_wine: Bools
    bottle_day: Floats
    taste_day: Floats
    sweeten_g_l: Floats
    recipe: Ints

    def __len__(self) -> int:
        return len(self.recipe)

    def take(self, rows: Ints | Bools) -> Plans:
        """Return copies of these rows, in this order."""
        return Plans(**{f.name: getattr(self, f.name)[rows].copy() for f in fields(self)})

    def copy(self) -> Plans:
        """Return an independent copy."""
        return self.take(np.arange(len(self)))

    def changed(self, **columns: np.ndarray) -> Plans:
        """Return the same plans with some columns replaced."""
        return replace(self, **columns)

    @property
    def has_fruit(self) -> Bools:
        return self.fruit_kg > 0


def join(parts: list[Plans]) -> Plans:
    """Stack several sets of plans into one."""
    return Plans(
        **{f.name: np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(Plans)}
    )
