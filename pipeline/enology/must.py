"""Mass balance of a must: sugar, fruit, water, starch, and the volume they make.

Sugar is sucrose here. Volumes are at 20 °C.

References
----------
.. [1] Sugar: `pipeline.enology.dissolving`. Fruit: `pipeline.enology.fruit`.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.composition import invert_from_sucrose, starch_to_sugar
from pipeline.enology.dissolving import (
    DISSOLVED_SUGAR_L_PER_KG,
    dissolved_sugar_volume,
    gravity_after_sugar,
    specific_volume_of_sugar,
    sugar_for_gravity,
    volume_after_sugar,
)
from pipeline.enology.fruit import (
    JUICE_YIELD,
    fruit_displaced_volume,
    juice_released,
    pulp_kept,
    vessel_for,
)
from pipeline.enology.sucrose import (
    GRAVITY_RANGE,
    gravity_from_sugar,
)

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

HONEY_L_PER_KG = 1 / 1.42  # [L/kg] honey of 17 % water; USDA SR28 household weights (read)
# [kg or L per litre aimed at] fruit, sugar or water that no vessel of that size holds, ten times
# over: a slip in one of the two; common practice, no source.
MOST_IN_A_LITRE = 10.0


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
    """Return the must after straining [L]: water + dissolved sugar + released juice + others.

    Parameters
    ----------
    water_l, other_l : float or array
        Water, and juice or other liquids [L].
    sugar_kg, fruit_kg : float or array
        Dry sugar and fruit [kg].
    juice_yield_fraction : float or array
        Juice per fruit [kg/kg], 0 to 1.

    Returns
    -------
    float or array
        Must [L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    water = checked(water_l, "water_l", 0, unit="L")
    other = checked(other_l, "other_l", 0, unit="L")
    sugar = np.asarray(dissolved_sugar_volume(sugar_kg))
    juice = np.asarray(juice_released(fruit_kg, juice_yield_fraction))
    return returned(water + sugar + juice + other, water, sugar, juice, other)


def gravity_of_mixture(
    gravity: Numeric, volume_l: Numeric, added_gravity: Numeric, added_l: Numeric
) -> Numeric:
    """Return the gravity after two liquids are mixed (volumes taken as additive).

    Parameters
    ----------
    gravity, added_gravity : float or array
        Of the two liquids, 0.9 to 1.4.
    volume_l, added_l : float or array
        Their volumes [L].

    Returns
    -------
    float or array
        Specific gravity.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

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
