"""What fruit does in a must: the room it takes, the juice it gives.

What fruit gives up is the least certain number in wine making: the defaults are common practice,
and the logbook learns its own.

References
----------
.. [1] Home press: 0.60 to 0.70 kg of juice per kg of fruit (from memory); measured ones: fruit.csv.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.sucrose import GRAVITY_RANGE, density_from_gravity

JUICE_YIELD = 0.65  # [kg/kg] home press [1]
FRUIT_DENSITY_KG_L = 1.03  # [kg/L] whole fruit in the vessel; common practice, no source
STRAINED_SHARE = 0.5  # [-] of the pressed juice runs off unpressed; common practice, no source
JUICE_GRAVITY = 1.045  # [-] juice of about 11 °Bx; common practice, no source
HEADSPACE_FRACTION = 0.20  # room for the cap and foam; common practice, no source


def fruit_displaced_volume(fruit_kg: Numeric) -> Numeric:
    """Return the room whole or crushed fruit takes in the vessel [L]: kg / 1.03.

    Parameters
    ----------
    fruit_kg : float or array
        Fruit [kg].

    Returns
    -------
    float or array
        Volume [L], ± 5 %.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
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
    """Return the wet pulp [kg] that stays behind at straining: what is not released.

    Parameters
    ----------
    fruit_kg : float or array
        Fruit [kg].
    juice_yield_fraction : float or array
        Juice per fruit [kg/kg], 0 to 1.

    Returns
    -------
    float or array
        Wet pulp [kg].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fruit = checked(fruit_kg, "fruit_kg", 0, unit="kg")
    share = checked(juice_yield_fraction, "juice_yield_fraction", 0, 1)
    return returned(fruit * (1 - share), fruit, share)


def vessel_for(volume_l: Numeric, headspace_fraction: Numeric = HEADSPACE_FRACTION) -> Numeric:
    """Return the smallest vessel [L] for a must on the pulp: at least a fifth more.

    Parameters
    ----------
    volume_l : float or array
        Must with the fruit in it [L].
    headspace_fraction : float or array
        Room on top, as a share; 0 to 2.

    Returns
    -------
    float or array
        Vessel [L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    volume = checked(volume_l, "volume_l", 0, unit="L")
    spare = checked(headspace_fraction, "headspace_fraction", 0, 2)
    return returned(volume * (1 + spare), volume, spare)
