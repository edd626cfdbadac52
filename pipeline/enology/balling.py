"""Balling's balance: what extract becomes in a fermentation.

References
----------
.. [1] Balling: 2.0665 g extract give 1 g ethanol, 0.9565 g carbon dioxide and 0.11 g yeast (from
   memory; the tests recompute it).
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.ethanol import relative_density_from_alcohol
from pipeline.enology.substances import ETHANOL_DENSITY_G_L
from pipeline.enology.sucrose import density_from_gravity, gravity_from_sugar

BALLING_EXTRACT = 2.0665  # [g/g] extract used per ethanol formed [1]
BALLING_LOSS = 1.0665  # [g/g] extract that leaves as carbon dioxide and yeast [1]


def balling_original_extract(mass_percent: Numeric, real_extract: Numeric) -> Numeric:
    """Return the extract a must had [% mass] from ethanol and real extract now [% mass] [1]_.

    Parameters
    ----------
    mass_percent : float or array
        Ethanol [% mass], 0 to 30.
    real_extract : float or array
        Extract left [% mass], -5 to 70.

    Returns
    -------
    float or array
        Original extract [% mass].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    ethanol = checked(mass_percent, "mass_percent", 0, 30, "% mass")
    extract = checked(real_extract, "real_extract", -5, 70, "% mass")
    original = 100 * (BALLING_EXTRACT * ethanol + extract) / (100 + BALLING_LOSS * ethanol)
    return returned(original, ethanol, extract)


def balling_alcohol(original_extract: Numeric, real_extract: Numeric) -> Numeric:
    """Return ethanol [% mass] from original and real extract [% mass] [1]_.

    Parameters
    ----------
    original_extract : float or array
        Before fermentation [% mass], 0 to 70.
    real_extract : float or array
        Extract left [% mass], -5 to 70.

    Returns
    -------
    float or array
        Ethanol [% mass].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    original = checked(original_extract, "original_extract", 0, 70, "% mass")
    extract = checked(real_extract, "real_extract", -5, 70, "% mass")
    ethanol = 100 * (original - extract) / (100 * BALLING_EXTRACT - BALLING_LOSS * original)
    return returned(ethanol, original, extract)


def wine_gravity(real_extract: Array, mass_percent: Array) -> Array:
    """Return the gravity of a wine from its real extract and ethanol [both % mass].

    Parameters
    ----------
    real_extract, mass_percent : array
        Extract and ethanol [% mass], finite or NaN.

    Returns
    -------
    float or array
        Apparent specific gravity 20/20, by Tabarié's relation.
    """
    density = np.ones(np.broadcast(real_extract, mass_percent).shape)
    gravity = density
    for _ in range(4):
        abv = np.clip(mass_percent * density * 1000 / ETHANOL_DENSITY_G_L, 0.0, 100.0)
        extract = np.asarray(gravity_from_sugar(10 * np.atleast_1d(real_extract * density)))
        gravity = np.reshape(extract, density.shape) + relative_density_from_alcohol(abv) - 1
        density = np.asarray(density_from_gravity(gravity))
    return np.asarray(gravity)
