"""Specific gravity, Brix, Plato, density and dissolved sugar: one scale to another.

Gravity is the apparent specific gravity 20/20 °C throughout: what a hydrometer shows. Below 1.000
(finished wine) Brix and sugar are only an apparent scale: alcohol is lighter than water.

References
----------
.. [1] NBS Circular C440 (1942), Brix against apparent specific gravity; cubic fit, rms 0.0009 °Bx
   up to S = 1.17874, as published in the encyclopedia article on Brix (read).
.. [2] NBS Circular C440, Table 109: 50 % 1.22957, 60 % 1.28646 (20/4; from memory). They set the
   term added above 40 °Bx, where the cubic alone drifts to 0.14 °Bx at 60 °Bx.
.. [3] ASBC extract tables, cubic fit (read).
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.water import AIR_KG_L, WATER_20_KG_L

_BRIX = (182.4601, -775.6821, 1262.7794, -669.5622)  # [1] S^3 … S^0
_BRIX_FIT_ENDS = 1.17874  # [1] 40 °Bx
_BRIX_BEYOND = 11.2  # [°Bx] times (S - 1.17874)^2, from [2]
_PLATO = (135.997, -630.272, 1111.14, -616.868)  # [3]
_NEWTON_STEPS = 5  # quadratic convergence from a start within 5 % of the answer

GRAVITY_RANGE = (0.9, 1.4)
BRIX_RANGE = (-28.0, 78.0)


def _gravity(value: Numeric, name: str = "gravity") -> Array:
    return checked(value, name, *GRAVITY_RANGE)


def _brix(gravity: Array) -> Array:
    beyond = np.maximum(gravity - _BRIX_FIT_ENDS, 0.0)
    return np.polyval(_BRIX, gravity) - _BRIX_BEYOND * beyond**2


def _brix_slope(gravity: Array) -> Array:
    beyond = np.maximum(gravity - _BRIX_FIT_ENDS, 0.0)
    return np.polyval(np.polyder(_BRIX), gravity) - 2 * _BRIX_BEYOND * beyond


def _density(gravity: Array) -> Array:
    return gravity * (WATER_20_KG_L - AIR_KG_L) + AIR_KG_L


def brix_from_gravity(gravity: Numeric) -> Numeric:
    """Return degrees Brix from specific gravity.

    Parameters
    ----------
    gravity : float or array
        Apparent specific gravity 20/20, 0.9 to 1.4; sound from 1.000 to 1.290 (0–60 °Bx).

    Returns
    -------
    float or array
        °Bx = g sucrose per 100 g of solution.

    Raises
    ------
    ValueError
        If a scalar gravity is outside 0.9–1.4.

    Notes
    -----
    Juice Brix counts acids, pectin and sorbitol as sugar: 22 °Bx as pure sucrose is 15.0 % vol of
    potential alcohol, real juice of 22 °Bx gives 12 to 13.

    Examples
    --------
    >>> round(brix_from_gravity(1.040), 3)
    9.993
    """
    sg = _gravity(gravity)
    return returned(_brix(sg), sg)


def gravity_from_brix(brix: Numeric) -> Numeric:
    """Return specific gravity 20/20 from degrees Brix; the inverse of `brix_from_gravity`.

    Parameters
    ----------
    brix : float or array
        °Bx, -28 to 78; sound from 0 to 60.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a scalar Brix is outside -28–78.

    Examples
    --------
    >>> round(gravity_from_brix(22.0), 4)
    1.0919
    """
    target = checked(brix, "brix", *BRIX_RANGE, "°Bx")
    # A chord through the tables as start, then Newton steps: exact to rounding, no root finder.
    gravity = 1 + target / (258.6 - 0.88 * target)
    for _ in range(_NEWTON_STEPS):
        gravity = gravity - (_brix(gravity) - target) / _brix_slope(gravity)
    return returned(gravity, target)


def plato_from_gravity(gravity: Numeric) -> Numeric:
    """Return degrees Plato (ASBC [3]_) from specific gravity; within 0.003 of Brix up to 20 °P.

    Parameters
    ----------
    gravity : float or array
        Apparent specific gravity 20/20, 0.9 to 1.4; sound to 1.083.

    Returns
    -------
    float or array
        °P = g extract per 100 g.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sg = _gravity(gravity)
    return returned(np.asarray(np.polyval(_PLATO, sg), dtype=np.float64), sg)


def density_from_gravity(gravity: Numeric) -> Numeric:
    """Return true density at 20 °C [kg/L] from apparent specific gravity (air buoyancy removed).

    Parameters
    ----------
    gravity : float or array
        Apparent specific gravity 20/20, 0.9 to 1.4.

    Returns
    -------
    float or array
        Density [kg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sg = _gravity(gravity)
    return returned(_density(sg), sg)


def gravity_from_density(density_kg_l: Numeric) -> Numeric:
    """Return apparent specific gravity 20/20 from true density at 20 °C [kg/L].

    Parameters
    ----------
    density_kg_l : float or array
        Density [kg/L], 0.89 to 1.4.

    Returns
    -------
    float or array
        Apparent specific gravity 20/20.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    density = checked(density_kg_l, "density_kg_l", 0.89, 1.4, "kg/L")
    return returned((density - AIR_KG_L) / (WATER_20_KG_L - AIR_KG_L), density)


def sugar_from_gravity(gravity: Numeric) -> Numeric:
    """Return the sucrose that would give this gravity in water.

    Parameters
    ----------
    gravity : float or array
        Apparent specific gravity 20/20, 0.9 to 1.4.

    Returns
    -------
    float or array
        Dissolved sugar [g/L] = 10 × Brix × density; not ten times Brix.

    Raises
    ------
    ValueError
        If a scalar gravity is outside 0.9–1.4.

    Examples
    --------
    >>> round(sugar_from_gravity(gravity_from_brix(22.0)), 1)
    239.8
    """
    sg = _gravity(gravity)
    return returned(10 * _brix(sg) * _density(sg), sg)


def gravity_from_sugar(sugar_g_l: Numeric) -> Numeric:
    """Return the specific gravity of sucrose in water; the inverse of `sugar_from_gravity`.

    Parameters
    ----------
    sugar_g_l : float or array
        Dissolved sugar [g/L], made up to the litre; -240 to 1100.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a scalar concentration is outside -240–1100 g/L.

    Examples
    --------
    One pound made up to one US gallon (the "46 points").

    >>> round(gravity_from_sugar(453.59237 / 3.785411784), 4)
    1.0462
    """
    target = checked(sugar_g_l, "sugar_g_l", -240, 1100, "g/L")
    gravity = 1 + target * 0.000386
    slope = WATER_20_KG_L - AIR_KG_L
    for _ in range(_NEWTON_STEPS):
        brix, density = _brix(gravity), _density(gravity)
        error = 10 * brix * density - target
        gravity = gravity - error / (10 * (_brix_slope(gravity) * density + brix * slope))
    return returned(gravity, target)
