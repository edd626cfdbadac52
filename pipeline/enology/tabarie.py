"""Tabarié's relation: a wine is its alcohol in water plus what would be left without it.

References
----------
.. [1] OIV-MA-AS2-03B (Oeno 387/2009, rev. 465/2012): d_r = d_v - d_a + 1.000 (read).
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.ethanol import relative_density_from_alcohol
from pipeline.enology.sucrose import sugar_from_gravity

_GRAVITY = (0.9, 1.3)


def dealcoholised_gravity(gravity: Numeric, abv: Numeric) -> Numeric:
    """Return the gravity of a wine with its alcohol taken out and water put back.

    Parameters
    ----------
    gravity : float or array
        Of the wine, 20/20, 0.9 to 1.3.
    abv : float or array
        Its strength [% vol at 20 °C], 0 to 30.

    Returns
    -------
    float or array
        Tabarié's d_r = d_v - d_a + 1 [1]_.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(dealcoholised_gravity(0.9923, 12.0), 5)
    1.00817
    """
    wine = checked(gravity, "gravity", *_GRAVITY)
    strength = checked(abv, "abv", 0, 30, "% vol")
    ethanol = np.asarray(relative_density_from_alcohol(strength))
    return returned(wine - ethanol + 1, wine, strength)


def dry_extract(gravity: Numeric, abv: Numeric) -> Numeric:
    """Return total dry extract, residual sugar included.

    Parameters
    ----------
    gravity, abv : float or array
        As in `dealcoholised_gravity`. For a wine high in volatile acid or sulphite correct those
        first.

    Returns
    -------
    float or array
        Total dry extract as sucrose [g/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(dry_extract(0.9923, 12.0), 1)
    21.1
    """
    wine, strength = np.asarray(gravity, dtype=float), np.asarray(abv, dtype=float)
    rest = dealcoholised_gravity(gravity, abv)
    return returned(np.asarray(sugar_from_gravity(rest)), wine, strength)
