"""Mass balance of a must: sugar, fruit, water, starch, and the volume they make.

Sugar is sucrose here. Volumes are at 20 °C. What the fruit does is in `pipeline.enology.fruit`.

References
----------
.. [1] 27 CFR 24.181: 13.5 lb of dry sugar make one US gallon, 0.618 L/kg (read). From the
   densities of NBS C440 it is 0.616 at 5 °Bx to 0.622 at 40 °Bx.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.fruit import (
    JUICE_YIELD,
    fruit_displaced_volume,
    invert_from_sucrose,
    juice_released,
    pulp_kept,
    starch_to_sugar,
    vessel_for,
)
from pipeline.enology.sucrose import (
    GRAVITY_RANGE,
    brix_from_gravity,
    density_from_gravity,
    gravity_from_brix,
    gravity_from_sugar,
)
from pipeline.enology.water import WATER_20_KG_L

__all__ = [
    "DISSOLVED_SUGAR_L_PER_KG",
    "HONEY_L_PER_KG",
    "dissolved_sugar_volume",
    "fruit_displaced_volume",
    "gravity_after_sugar",
    "gravity_of_mixture",
    "invert_from_sucrose",
    "juice_released",
    "must_gravity",
    "pulp_kept",
    "specific_volume_of_sugar",
    "starch_to_sugar",
    "strained_volume",
    "sugar_for_gravity",
    "vessel_for",
    "volume_after_sugar",
    "water_to_mark",
]

DISSOLVED_SUGAR_L_PER_KG = 0.618  # [L/kg] [1]
HONEY_L_PER_KG = (
    1 / 1.42
)  # [L/kg] honey of 17 % water, 1.42 kg/L; USDA SR28 household weights (read)


def dissolved_sugar_volume(sugar_kg: Numeric) -> Numeric:
    """Return the volume dry sugar adds to a must [L]: 0.618 L per kg [1]_."""
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    return returned(DISSOLVED_SUGAR_L_PER_KG * sugar, sugar)


def must_gravity(sugar_kg: Numeric, volume_l: Numeric) -> Numeric:
    """Return the gravity of sugar *made up to* a volume.

    Parameters
    ----------
    sugar_kg : float or array
        All dissolved sugar, the fruit's own included, as sucrose [kg].
    volume_l : float or array
        The must they are dissolved in, everything counted [L].

    Returns
    -------
    float or array
        Specific gravity 20/20.

    Raises
    ------
    ValueError
        If a scalar argument is impossible, or there is more sugar than the volume can hold.

    Notes
    -----
    1 lb made up to 1 US gallon is 1.0462; 1 lb added to a gallon of water is 1.0430 (see
    `gravity_after_sugar`).

    Examples
    --------
    >>> round(must_gravity(0.45359237, 3.785411784), 4)
    1.0462
    """
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    return returned(np.asarray(gravity_from_sugar(1000 * sugar / volume)), sugar, volume)


def gravity_after_sugar(gravity: Numeric, volume_l: Numeric, sugar_kg: Numeric) -> Numeric:
    """Return the gravity after dry sugar is stirred in.

    Parameters
    ----------
    gravity : float or array
        Before, 0.9 to 1.4.
    volume_l : float or array
        Must before [L].
    sugar_kg : float or array
        Dry sugar [kg].

    Returns
    -------
    float or array
        Gravity after; exact in must, in wine good to 0.0005 (Brix is an apparent scale there).

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(gravity_after_sugar(1.030, 3.6, 0.227), 3)
    1.052
    """
    before = checked(gravity, "gravity", *GRAVITY_RANGE)
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    mass = volume * np.asarray(density_from_gravity(before))
    brix = (np.asarray(brix_from_gravity(before)) * mass + 100 * sugar) / (mass + sugar)
    return returned(np.asarray(gravity_from_brix(brix)), before, volume, sugar)


def volume_after_sugar(gravity: Numeric, volume_l: Numeric, sugar_kg: Numeric) -> Numeric:
    """Return the volume [L] after dry sugar is stirred in: total mass over the new density."""
    before = checked(gravity, "gravity", *GRAVITY_RANGE)
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    after = gravity_after_sugar(before, volume, sugar)
    mass = volume * np.asarray(density_from_gravity(before)) + sugar
    return returned(mass / np.asarray(density_from_gravity(after)), before, volume, sugar)


def sugar_for_gravity(gravity: Numeric, target_gravity: Numeric, volume_l: Numeric) -> Numeric:
    """Return the dry sugar that brings a must to a gravity; undoes `gravity_after_sugar`.

    Parameters
    ----------
    gravity, target_gravity : float or array
        Now and wanted, 0.9 to 1.4.
    volume_l : float or array
        Must now [L].

    Returns
    -------
    float or array
        Sugar [kg] = mass × (B2 - B1)/(100 - B2); 0 if it is there already.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    now = checked(gravity, "gravity", *GRAVITY_RANGE)
    wanted = checked(target_gravity, "target_gravity", *GRAVITY_RANGE)
    volume = checked(volume_l, "volume_l", 0, unit="L")
    b1, b2 = np.asarray(brix_from_gravity(now)), np.asarray(brix_from_gravity(wanted))
    mass = volume * np.asarray(density_from_gravity(now))
    return returned(np.maximum(mass * (b2 - b1) / (100 - b2), 0.0), now, wanted, volume)


def water_to_mark(
    mark_l: Numeric, sugar_kg: Numeric = 0.0, fruit_kg: Numeric = 0.0, other_l: Numeric = 0.0
) -> Numeric:
    """Return the water that fills a vessel to a mark with everything in it.

    Parameters
    ----------
    mark_l : float or array
        The mark [L].
    sugar_kg, fruit_kg : float or array
        Dry sugar and fruit in the vessel [kg].
    other_l : float or array
        Juice, honey and other liquids [L].

    Returns
    -------
    float or array
        Water [L], uncertain by about 5 % of the fruit; 0 if the rest already reaches the mark.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    mark = checked(mark_l, "mark_l", 0, unit="L")
    other = checked(other_l, "other_l", 0, unit="L")
    taken = (
        np.asarray(dissolved_sugar_volume(sugar_kg))
        + np.asarray(fruit_displaced_volume(fruit_kg))
        + other
    )
    return returned(np.maximum(mark - taken, 0.0), mark, taken, other)


def strained_volume(
    water_l: Numeric,
    sugar_kg: Numeric = 0.0,
    fruit_kg: Numeric = 0.0,
    juice_yield_fraction: Numeric = JUICE_YIELD,
    other_l: Numeric = 0.0,
) -> Numeric:
    """Return the must after straining [L]: water + dissolved sugar + released juice + others."""
    water = checked(water_l, "water_l", 0, unit="L")
    other = checked(other_l, "other_l", 0, unit="L")
    sugar = np.asarray(dissolved_sugar_volume(sugar_kg))
    juice = np.asarray(juice_released(fruit_kg, juice_yield_fraction))
    return returned(water + sugar + juice + other, water, sugar, juice, other)


def gravity_of_mixture(
    gravity: Numeric, volume_l: Numeric, added_gravity: Numeric, added_l: Numeric
) -> Numeric:
    """Return the gravity after two liquids are mixed (volumes taken as additive).

    Examples
    --------
    >>> round(gravity_of_mixture(1.010, 4.0, 1.000, 1.0), 3)
    1.008
    """
    first = checked(gravity, "gravity", *GRAVITY_RANGE)
    second = checked(added_gravity, "added_gravity", *GRAVITY_RANGE)
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    more = checked(added_l, "added_l", 0, unit="L")
    mean = (first * volume + second * more) / (volume + more)
    return returned(mean, first, volume, second, more)


def specific_volume_of_sugar(brix: Numeric) -> Numeric:
    """Return the apparent volume of a kg of dissolved sucrose [L/kg] at a Brix, from densities."""
    percent = checked(brix, "brix", 0.1, 78, "°Bx")
    density = np.asarray(density_from_gravity(gravity_from_brix(percent)))
    water = (100 - percent) / WATER_20_KG_L
    return returned((100 / density - water) / percent, percent)
