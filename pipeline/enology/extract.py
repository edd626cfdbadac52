"""Dry extract, attenuation, the lowest gravity a wine can reach, sugar left.

References
----------
.. [1] OIV-MA-AS2-03B (Oeno 387/2009, rev. 465/2012): Tabarié (read).
.. [2] Attenuation coefficient 0.8192, ASBC (from memory).
.. [3] Sugar-free extract of country wines 20 ± 6 g/L: common practice, no source.
"""

import numpy as np

from pipeline.enology.alcohol import alcohol_from_gravities
from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.ethanol import relative_density_from_alcohol
from pipeline.enology.sucrose import (
    brix_from_gravity,
    density_from_gravity,
    gravity_from_sugar,
)
from pipeline.enology.tabarie import dealcoholised_gravity, dry_extract

__all__ = [
    "DRY_BELOW_G_L",
    "SUGAR_FREE_EXTRACT_ERROR_G_L",
    "SUGAR_FREE_EXTRACT_G_L",
    "apparent_attenuation",
    "dealcoholised_gravity",
    "dry_extract",
    "lowest_gravity",
    "real_attenuation",
    "real_extract",
    "residual_sugar",
    "residual_sugar_error",
]

SUGAR_FREE_EXTRACT_G_L = 20.0  # [g/L] [3]
SUGAR_FREE_EXTRACT_ERROR_G_L = 6.0  # [g/L] [3]
DRY_BELOW_G_L = 4.0  # [g/L] residual sugar of a wine called dry; EU labelling (from memory)
_GRAVITY = (0.9, 1.3)
_LEAST_EXTRACT = 0.5  # [% mass] below this a must is water and attenuation has no meaning


def real_extract(original_extract: Numeric, apparent_extract: Numeric) -> Numeric:
    """Return real extract from original and apparent extract.

    Parameters
    ----------
    original_extract : float or array
        Before fermentation [°P or °Bx], 0 to 70.
    apparent_extract : float or array
        What the hydrometer shows now [°P or °Bx], -15 to 70.

    Returns
    -------
    float or array
        0.1808 OE + 0.8192 AE [% mass] [2]_; dry wine lies beyond the beers it was made for, where
        `dry_extract` with a strength is the better way.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(real_extract(20.0, -1.0), 3)
    2.797
    """
    original = checked(original_extract, "original_extract", 0, 70, "°P")
    apparent = checked(apparent_extract, "apparent_extract", -15, 70, "°P")
    return returned(0.1808 * original + 0.8192 * apparent, original, apparent)


def _original_extract(original_gravity: Array) -> Array:
    extract = np.asarray(brix_from_gravity(original_gravity))
    return np.where(extract < _LEAST_EXTRACT, np.nan, extract)


def apparent_attenuation(original_gravity: Numeric, gravity: Numeric) -> Numeric:
    """Return the share of the extract that seems gone.

    Parameters
    ----------
    original_gravity, gravity : float or array
        First and present gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Fraction; over 1 in a dry wine, because alcohol is lighter than water. NaN for a must below
        0.5 °Bx.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(apparent_attenuation(1.0846, 0.994), 3)
    1.077
    """
    first = checked(original_gravity, "original_gravity", *_GRAVITY)
    now = checked(gravity, "gravity", *_GRAVITY)
    original = _original_extract(first)
    return returned((original - np.asarray(brix_from_gravity(now))) / original, first, now)


def real_attenuation(original_gravity: Numeric, gravity: Numeric) -> Numeric:
    """Return the share of the extract that has truly gone; about 0.87 in a dry wine.

    Parameters
    ----------
    original_gravity, gravity : float or array
        First and present gravity, 0.9 to 1.3.

    Returns
    -------
    float or array
        Fraction, with the real extract from Tabarié's relation [1]_ at the strength of
        `alcohol_from_gravities`. NaN for a must below 0.5 °Bx.

    Raises
    ------
    ValueError
        As `alcohol_from_gravities`.

    Examples
    --------
    >>> round(real_attenuation(1.0846, 0.994), 2)
    0.87
    """
    first = checked(original_gravity, "original_gravity", *_GRAVITY)
    now = checked(gravity, "gravity", *_GRAVITY)
    strength = np.minimum(alcohol_from_gravities(first, now), 30.0)
    by_mass = np.asarray(dry_extract(now, strength)) / (10 * np.asarray(density_from_gravity(now)))
    original = _original_extract(first)
    return returned((original - by_mass) / original, first, now)


def lowest_gravity(
    abv: Numeric, sugar_free_extract_g_l: Numeric = SUGAR_FREE_EXTRACT_G_L
) -> Numeric:
    """Return the gravity of a wine of this strength with no sugar left.

    Parameters
    ----------
    abv : float or array
        Strength [% vol], 0 to 30.
    sugar_free_extract_g_l : float or array
        What is left besides sugar [g/L]: acids, glycerol, minerals, pectin; 0 to 100. About 15 in
        flower wines, 20 in most, 30 in heavy fruit wines; common practice, no source.

    Returns
    -------
    float or array
        Apparent specific gravity 20/20; 0.989 to 0.996 in practice.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Notes
    -----
    Pears hold sorbitol, which does not ferment: give a higher extract.

    Examples
    --------
    >>> round(lowest_gravity(12.0), 4)
    0.9919
    """
    strength = checked(abv, "abv", 0, 30, "% vol")
    rest = checked(sugar_free_extract_g_l, "sugar_free_extract_g_l", 0, 100, "g/L")
    ethanol = np.asarray(relative_density_from_alcohol(strength))
    return returned(np.asarray(gravity_from_sugar(rest)) + ethanol - 1, strength, rest)


def residual_sugar(
    gravity: Numeric, abv: Numeric, sugar_free_extract_g_l: Numeric = SUGAR_FREE_EXTRACT_G_L
) -> Numeric:
    """Return the sugar left, from gravity and alcohol together.

    Parameters
    ----------
    gravity, abv, sugar_free_extract_g_l : float or array
        As in `dry_extract` and `lowest_gravity`.

    Returns
    -------
    float or array
        Residual sugar [g/L], never below 0; see `residual_sugar_error` for its uncertainty. An
        estimate, not an analysis.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    1.005 is not 13 g/L once there is alcohol in it.

    >>> round(residual_sugar(1.005, 11.8))
    33
    """
    rest = checked(sugar_free_extract_g_l, "sugar_free_extract_g_l", 0, 100, "g/L")
    extract = np.asarray(dry_extract(gravity, abv))
    sugar = np.maximum(extract - rest, 0.0)
    return returned(sugar, np.asarray(gravity), np.asarray(abv), rest)


def residual_sugar_error(
    gravity_error: Numeric = 0.001,
    abv_error: Numeric = 0.35,
    extract_error_g_l: Numeric = SUGAR_FREE_EXTRACT_ERROR_G_L,
) -> Numeric:
    """Return the standard error of `residual_sugar` [g/L] from the errors of what it is made of.

    One gravity point is 2.6 g/L, one % vol is 3.3 g/L; the three errors add in quadrature.

    Parameters
    ----------
    gravity_error, abv_error, extract_error_g_l : float or array
        Standard errors of gravity, strength [% vol] and sugar-free extract [g/L].

    Returns
    -------
    float or array
        Standard error [g/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sg = checked(gravity_error, "gravity_error", 0, 0.1)
    strength = checked(abv_error, "abv_error", 0, 10, "% vol")
    rest = checked(extract_error_g_l, "extract_error_g_l", 0, 100, "g/L")
    return returned(np.sqrt((2590 * sg) ** 2 + (3.3 * strength) ** 2 + rest**2), sg, strength, rest)
