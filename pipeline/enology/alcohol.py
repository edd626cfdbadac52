"""Alcohol from sugar and from gravities: the named relations and their spread.

The best supported one here is `alcohol_from_gravities`. The others are in common use and differ by
up to 0.8 % vol: name the relation, and quote no more than ± 0.7 % vol.

References
----------
.. [1] Balling's balance, see `pipeline.enology.balling`.
.. [2] OIV-MA-AS2-03B (Oeno 387/2009): Tabarié, d_r = d_v - d_a + 1.000 (read).
.. [3] OIML R 22, see `pipeline.enology.ethanol`.
"""

import numpy as np

from pipeline.enology.alcohol_rules import (
    alcohol_balling,
    alcohol_linear,
    alcohol_points,
    alcohol_ratio,
    gravity_pair,
)
from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.balling import (
    balling_alcohol,
    balling_original_extract,
    wine_gravity,
)
from pipeline.enology.ethanol import (
    alcohol_from_mass_percent,
    density_from_alcohol,
    ethanol_density,
    mass_percent_from_alcohol,
    relative_density_from_alcohol,
)
from pipeline.enology.substances import ETHANOL_DENSITY_G_L
from pipeline.enology.sucrose import (
    brix_from_gravity,
    density_from_gravity,
    sugar_from_gravity,
)

__all__ = [
    "POTENTIAL_ALCOHOL_FACTORS",
    "RELATIONS",
    "alcohol_balling",
    "alcohol_from_gravities",
    "alcohol_from_mass_percent",
    "alcohol_linear",
    "alcohol_points",
    "alcohol_ratio",
    "alcohol_spread",
    "balling_alcohol",
    "balling_original_extract",
    "density_from_alcohol",
    "ethanol_density",
    "mass_percent_from_alcohol",
    "potential_alcohol",
    "sugar_for_alcohol",
    "wine_gravity",
]

POTENTIAL_ALCOHOL_FACTORS = {  # [g invert sugar per L for 1 % vol]
    "eu": 16.83,  # EU convention, Reg. (EEC) 2676/90 (from memory); the default
    "practical": 17.0,  # read in a wine council's glossary
    "cautious": 18.0,  # common practice, no source
}
_DAMPING = 0.81  # the plain iteration swings with factor -0.23; this cancels the swing
_STEPS = 8  # within 2e-6 % vol of convergence for any must up to 1.3


def potential_alcohol(sugar_g_l: Numeric, sugar_per_percent: Numeric = 16.83) -> Numeric:
    """Return the alcohol that fermentable sugar can give.

    Parameters
    ----------
    sugar_g_l : float or array
        Fermentable sugar *as invert sugar* [g/L]; sucrose × 1.0526.
    sugar_per_percent : float or array
        Sugar for 1 % vol [g/L], 14 to 25; see `POTENTIAL_ALCOHOL_FACTORS`. Theory says 15.43.

    Returns
    -------
    float or array
        Potential alcohol [% vol]. Sound up to about 16; few yeasts go further.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(potential_alcohol(200.0), 2)
    11.88
    """
    sugar = checked(sugar_g_l, "sugar_g_l", 0, 1100, "g/L")
    factor = checked(sugar_per_percent, "sugar_per_percent", 14, 25, "g/L")
    return returned(sugar / factor, sugar, factor)


def sugar_for_alcohol(abv: Numeric, sugar_per_percent: Numeric = 16.83) -> Numeric:
    """Return the invert sugar [g/L] for a wanted strength [% vol]; undoes `potential_alcohol`.

    Parameters
    ----------
    abv : float or array
        Wanted strength [% vol], 0 to 30.
    sugar_per_percent : float or array
        Sugar for 1 % vol [g/L], 14 to 25.

    Returns
    -------
    float or array
        Invert sugar [g/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    strength = checked(abv, "abv", 0, 30, "% vol")
    factor = checked(sugar_per_percent, "sugar_per_percent", 14, 25, "g/L")
    return returned(strength * factor, strength, factor)


def alcohol_from_gravities(original_gravity: Numeric, final_gravity: Numeric) -> Numeric:
    """Return alcohol from the first and the last gravity.

    Parameters
    ----------
    original_gravity : float or array
        Before fermentation, 0.9 to 1.3; sound from 1.030 to 1.150. If sugar or water went in later,
        take the equivalent original gravity of the ledger.
    final_gravity : float or array
        Now, 0.9 to 1.3.

    Returns
    -------
    float or array
        Alcohol [% vol at 20 °C]; 0 where the reading has risen by no more than 0.003.

    Raises
    ------
    ValueError
        If a scalar is out of range, or the final gravity is more than 0.003 above the original
        (an array gets NaN there).

    Notes
    -----
    The strength at which Balling's balance closes [1]_, with the real extract from Tabarié's
    relation [2]_ and ethanol–water by OIML R 22 [3]_. Balling's yield is 16.3 g of invert sugar for
    1 % vol; agreement with distillation was not tested here.

    Examples
    --------
    >>> round(alcohol_from_gravities(1.090, 0.995), 1)
    12.7
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    original_extract = np.asarray(brix_from_gravity(original))
    density = np.asarray(density_from_gravity(final))
    abv = np.clip(131.25 * (original - final), 0.0, None)
    for _ in range(_STEPS):
        # Values stay in range by construction, so a lone NaN or a clipped step raises nothing.
        rest = np.asarray(final - np.asarray(relative_density_from_alcohol(abv)) + 1)
        extract = np.asarray(sugar_from_gravity(rest)) / (10 * density)
        ethanol = np.asarray(balling_alcohol(original_extract.clip(0), extract.clip(-5, 70)))
        next_abv = ethanol * density * 1000 / ETHANOL_DENSITY_G_L
        abv = np.clip(abv + _DAMPING * (next_abv - abv), 0.0, 100.0)
    return returned(abv, original, final)


RELATIONS = {
    "balling, tabarie, oiml r 22": alcohol_from_gravities,
    "balling 0.8192": alcohol_balling,
    "131.25 times the drop": alcohol_linear,
    "points over 7.36": alcohol_points,
    "76.08 ratio": alcohol_ratio,
}


def alcohol_spread(original_gravity: Numeric, final_gravity: Numeric) -> tuple[Numeric, Numeric]:
    """Return the lowest and the highest strength the named relations give.

    Parameters
    ----------
    original_gravity, final_gravity : float or array
        As in `alcohol_from_gravities`; the 76.08 ratio is left out above 1.130, where it runs away.

    Returns
    -------
    tuple of float or array
        Low and high [% vol]: the part of the uncertainty that is choice of formula.

    Examples
    --------
    >>> low, high = alcohol_spread(1.090, 0.996)
    >>> round(low, 1), round(high, 1)
    (12.3, 13.1)
    """
    original, final = gravity_pair(original_gravity, final_gravity)
    answers = [np.asarray(relation(original, final)) for relation in RELATIONS.values()]
    answers[-1] = np.where(original > 1.130, answers[0], answers[-1])
    stack = np.stack(np.broadcast_arrays(*answers))
    return (
        returned(stack.min(axis=0), original, final),
        returned(stack.max(axis=0), original, final),
    )
