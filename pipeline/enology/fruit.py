"""What fruit does in a must: the room it takes, the juice it gives, its starch and sugar.

What fruit gives up is the least certain number in wine making: the defaults are common practice,
and the logbook learns its own.

References
----------
.. [1] Home press: 0.60 to 0.70 kg of juice per kg of fruit (from memory); measured ones: fruit.csv.
.. [2] Starch + water -> glucose, stoichiometry.
.. [3] CSIRO banana ripening guide, after von Loesecke: pulp by peel colour (from memory,
   ± 3 g/100 g).
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.substances import GLUCOSE_PER_STARCH, INVERT_PER_SUCROSE
from pipeline.enology.sucrose import GRAVITY_RANGE, density_from_gravity

JUICE_YIELD = 0.65  # [kg/kg] home press [1]
FRUIT_DENSITY_KG_L = 1.03  # [kg/L] whole fruit in the vessel; common practice, no source
STRAINED_SHARE = 0.5  # [-] of the pressed juice runs off unpressed; common practice, no source
JUICE_GRAVITY = 1.045  # [-] juice of about 11 °Bx; common practice, no source
HEADSPACE_FRACTION = 0.20  # room for the cap and foam; common practice, no source

# Sugar and starch of banana pulp by peel colour, 1 green … 8 browning [g/100 g pulp] [3].
BANANA_SUGAR = (0.5, 2.5, 4.5, 7.5, 13.5, 18.0, 19.0, 19.0)
BANANA_STARCH = (20.0, 18.0, 16.0, 13.0, 7.0, 2.5, 1.5, 1.0)
BANANA_STAGE = {"under": 4, "ripe": 6, "over": 8}  # common practice, no source


def fruit_displaced_volume(fruit_kg: Numeric) -> Numeric:
    """Return the room whole or crushed fruit takes in the vessel [L]: kg / 1.03."""
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    return returned(fruit / FRUIT_DENSITY_KG_L, fruit)


def juice_released(
    fruit_kg: Numeric,
    juice_yield_fraction: Numeric = JUICE_YIELD,
    juice_gravity: Numeric = JUICE_GRAVITY,
) -> Numeric:
    """Return the juice fruit adds to the strained must.

    Parameters
    ----------
    fruit_kg : float or array
        Fruit [kg].
    juice_yield_fraction : float or array
        Juice per fruit [kg/kg], 0 to 1; fruit.csv has measured ones.
    juice_gravity : float or array
        Its gravity.

    Returns
    -------
    float or array
        Juice [L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    share = checked(juice_yield_fraction, "juice_yield_fraction", 0, 1)
    sg = checked(juice_gravity, "juice_gravity", *GRAVITY_RANGE)
    juice = fruit * share / density_from_gravity(sg)
    return returned(juice, fruit, share, sg)


def juice_strained(fruit_kg: Numeric, juice_yield_fraction: Numeric = JUICE_YIELD) -> Numeric:
    """Return what fruit adds to the must that runs off a bag or sieve at home [L].

    Parameters
    ----------
    fruit_kg : float or array
        Fruit [kg].
    juice_yield_fraction : float or array
        Juice a press would get [kg/kg], 0 to 1.

    Returns
    -------
    float or array
        Half of the pressed juice [L]: the rest stays in the pulp; common practice, no source.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    share = checked(juice_yield_fraction, "juice_yield_fraction", 0, 1)
    return returned(STRAINED_SHARE * np.asarray(juice_released(fruit, share)), fruit, share)


def pulp_kept(fruit_kg: Numeric, juice_yield_fraction: Numeric = JUICE_YIELD) -> Numeric:
    """Return the wet pulp [kg] that stays behind at straining: what is not released."""
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    share = checked(juice_yield_fraction, "juice_yield_fraction", 0, 1)
    return returned(fruit * (1 - share), fruit, share)


def starch_to_sugar(starch_g: Numeric, converted_fraction: Numeric = 1.0) -> Numeric:
    """Return the glucose [g] that amylase makes of starch: 1.111 g per g [2]_.

    Without amylase or with raw starch `converted_fraction` is near 0: starch then makes haze.
    """
    starch = checked(starch_g, "starch_g", 0, unit="g")
    share = checked(converted_fraction, "converted_fraction", 0, 1)
    return returned(GLUCOSE_PER_STARCH * starch * share, starch, share)


def invert_from_sucrose(sucrose_g: Numeric) -> Numeric:
    """Return invert sugar [g] from sucrose [g]: 1.0526, because splitting binds water."""
    sucrose = checked(sucrose_g, "sucrose_g", 0, unit="g")
    return returned(INVERT_PER_SUCROSE * sucrose, sucrose)


def fruit_supplies(
    fruit_kg: Numeric, grams_per_kg: Numeric, refuse_fraction: Numeric = 0.0
) -> Numeric:
    """Return what fruit brings of sugar, acid or starch.

    Parameters
    ----------
    fruit_kg : float or array
        Fruit as weighed [kg].
    grams_per_kg : float or array
        Content of the edible part [g/kg].
    refuse_fraction : float or array
        Share thrown away or holding nothing: peel, stones, stalks; 0 for prepared fruit.

    Returns
    -------
    float or array
        Amount [g] if all of it is extracted; cold whole fruit gives less.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    content = checked(grams_per_kg, "grams_per_kg", 0, 1000, "g/kg")
    refuse = checked(refuse_fraction, "refuse_fraction", 0, 1)
    return returned(fruit * (1 - refuse) * content, fruit, content, refuse)


def dried_concentration(
    grams_per_kg_fresh: Numeric, water_g_kg_fresh: Numeric, water_g_kg_dried: Numeric = 250.0
) -> Numeric:
    """Return the content of dried fruit [g/kg] from the fresh one: water leaves, the rest stays.

    A quarter of water is usual in soft dried fruit; common practice, no source.
    """
    content = checked(grams_per_kg_fresh, "grams_per_kg_fresh", 0, 1000, "g/kg")
    fresh = checked(water_g_kg_fresh, "water_g_kg_fresh", 0, 999, "g/kg")
    dried = checked(water_g_kg_dried, "water_g_kg_dried", 0, 999, "g/kg")
    return returned(content * (1000 - dried) / (1000 - fresh), content, fresh, dried)


def vessel_for(volume_l: Numeric, headspace_fraction: Numeric = HEADSPACE_FRACTION) -> Numeric:
    """Return the smallest vessel [L] for a must on the pulp: at least a fifth more."""
    volume = checked(volume_l, "volume_l", 0, unit="L")
    spare = checked(headspace_fraction, "headspace_fraction", 0, 2)
    return returned(volume * (1 + spare), volume, spare)
