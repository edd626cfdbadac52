"""Rules of thumb for alcohol from two gravities, each by its own name.

They differ by up to 0.8 % vol; prefer `pipeline.enology.alcohol.alcohol_from_gravities`.

References
----------
.. [1] Home-winemaking and home-brewing rules: common practice, no source.
.. [2] Attenuation coefficient 0.1808 / 0.8192, ASBC (from memory).
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.balling import balling_alcohol
from pipeline.enology.substances import ETHANOL_DENSITY_G_L
from pipeline.enology.sucrose import brix_from_gravity, density_from_gravity

_GRAVITY = (0.9, 1.3)
_RISE_ALLOWED = 0.003  # a rise of the reading up to this is noise, not sugar


def gravity_pair(original_gravity: Numeric, final_gravity: Numeric) -> tuple[Array, Array]:
    """Check both gravities; a final one well above the original means sugar went in between."""
    original = checked(original_gravity, "original_gravity", *_GRAVITY)
    final = checked(final_gravity, "final_gravity", *_GRAVITY)
    is_risen = final - original > _RISE_ALLOWED
    if original.ndim == 0 and final.ndim == 0:
        if is_risen:
            raise ValueError(
                f"final_gravity must be at most original_gravity ({float(original):g}), "
                f"got {float(final):g}: use the ledger if sugar went in between"
            )
        return original, final
    return np.where(is_risen, np.nan, original), final


def alcohol_linear(original_gravity: Numeric, final_gravity: Numeric) -> Numeric:
    """Return 131.25 × the drop in gravity [% vol]; rule of thumb [1]_, low above 12 %.

    Parameters
    ----------
    original_gravity, final_gravity : float or array
        First and last gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Alcohol [% vol].

    Raises
    ------
    ValueError
        If a scalar is out of range or the gravity rose by more than 0.003.
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    return returned(131.25 * (original - final), original, final)


def alcohol_points(original_gravity: Numeric, final_gravity: Numeric) -> Numeric:
    """Return points dropped / 7.36 [% vol]; rule of thumb of British home winemaking [1]_.

    Parameters
    ----------
    original_gravity, final_gravity : float or array
        First and last gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Alcohol [% vol].

    Raises
    ------
    ValueError
        If a scalar is out of range or the gravity rose by more than 0.003.
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    return returned(1000 * (original - final) / 7.36, original, final)


def alcohol_ratio(original_gravity: Numeric, final_gravity: Numeric) -> Numeric:
    """Return 76.08 (OG-FG)/(1.775-OG) × FG/0.794 [% vol]; brewers' rule [1]_, not above OG 1.13.

    Parameters
    ----------
    original_gravity, final_gravity : float or array
        First and last gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Alcohol [% vol].

    Raises
    ------
    ValueError
        If a scalar is out of range or the gravity rose by more than 0.003.
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    by_mass = 76.08 * (original - final) / (1.775 - original)
    return returned(by_mass * final / 0.794, original, final)


def alcohol_balling(original_gravity: Numeric, final_gravity: Numeric) -> Numeric:
    """Return alcohol [% vol] with real extract = 0.1808 OE + 0.8192 AE [2]_; made for beer.

    Parameters
    ----------
    original_gravity, final_gravity : float or array
        First and last gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Alcohol [% vol].

    Raises
    ------
    ValueError
        If a scalar is out of range or the gravity rose by more than 0.003.
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    original_extract = np.asarray(brix_from_gravity(original)).clip(0)
    apparent = np.asarray(brix_from_gravity(final))
    extract = 0.1808 * original_extract + 0.8192 * apparent
    ethanol = np.asarray(balling_alcohol(original_extract, extract.clip(-5, 70))).clip(0)
    by_volume = ethanol * np.asarray(density_from_gravity(final)) * 1000 / ETHANOL_DENSITY_G_L
    return returned(by_volume, original, final)
