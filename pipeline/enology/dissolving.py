"""Dry sugar in must: the volume it adds, the gravity it gives, how much is wanted.

References
----------
.. [1] 27 CFR 24.181: 13.5 lb of dry sugar make one US gallon, 0.618 L/kg (read). From the
   densities of NBS C440 it is 0.616 at 5 °Bx to 0.622 at 40 °Bx.
.. [2] Mass balance on sucrose with the densities of `pipeline.enology.sucrose`.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.sucrose import (
    GRAVITY_RANGE,
    brix_from_gravity,
    density_from_gravity,
    gravity_from_brix,
)
from pipeline.enology.water import WATER_20_KG_L

DISSOLVED_SUGAR_L_PER_KG = 0.618  # [L/kg] [1]


def dissolved_sugar_volume(sugar_kg: Numeric) -> Numeric:
    """Return the volume dry sugar adds to a must [L]: 0.618 L per kg [1]_.

    Parameters
    ----------
    sugar_kg : float or array
        Dry sugar [kg].

    Returns
    -------
    float or array
        Volume [L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    return returned(DISSOLVED_SUGAR_L_PER_KG * sugar, sugar)


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
    """Return the volume [L] after dry sugar is stirred in: total mass over the new density.

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
        Volume after [L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
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


def specific_volume_of_sugar(brix: Numeric) -> Numeric:
    """Return the apparent volume of a kg of dissolved sucrose [L/kg] at a Brix, from densities.

    Parameters
    ----------
    brix : float or array
        Of the solution [°Bx], 0.1 to 78.

    Returns
    -------
    float or array
        [L/kg]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    percent = checked(brix, "brix", 0.1, 78, "°Bx")
    density = np.asarray(density_from_gravity(gravity_from_brix(percent)))
    water = (100 - percent) / WATER_20_KG_L
    return returned((100 / density - water) / percent, percent)
