"""Tannin: what powder adds, and an index of what skins and seeds give up.

References
----------
.. [1] Common practice, no source: skins and seeds give tannin faster once there is alcohol; a
   fruit's tannin class (0 none … 3 very tannic) is how makers speak of it. The index orders musts,
   it is not grams per litre; how much it matters in a logbook is fitted there.

Ceilings for tannin are in `pipeline.enology.limits`.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned

HALF_DAYS_BEFORE_YEAST = 6.0  # [days] to give half, in water; [1]
HALF_DAYS_AFTER_YEAST = 3.0  # [days] to give half, with alcohol forming; [1]
PULP_SHARE = 0.25  # share of a fruit's tannin that gets out with the skins off; [1]


def tannin_added(tannin_g: Numeric, volume_l: Numeric) -> Numeric:
    """Return tannin powder [g] as g/L of wine; an eighth of a teaspoon is about 0.3 g.

    Parameters
    ----------
    tannin_g : float or array
        Powder [g].
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        [g/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(tannin_g, "tannin_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    return returned(grams / volume, grams, volume)


def tannin_exposure(
    fruit_load: Numeric,
    tannin_class: Numeric,
    skins_share: Numeric,
    days_before_yeast: Numeric,
    days_after_yeast: Numeric,
) -> Numeric:
    """Return an index of the tannin that fruit gives up.

    Parameters
    ----------
    fruit_load : float or array
        Fruit [kg, or kg per litre]; the index has its unit.
    tannin_class : float or array
        0 none … 3 very tannic.
    skins_share : float or array
        Share of the fruit with its skins on, 0 to 1.
    days_before_yeast, days_after_yeast : float or array
        Contact with the must [days].

    Returns
    -------
    float or array
        Load × class / 3 × skins × the share given up so far; levels off with time [1]_.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    Half is out after three days in the fermenting must.

    >>> tannin_exposure(1.0, 3, 1.0, 0.0, 3.0)
    0.5
    """
    load = checked(fruit_load, "fruit_load", 0)
    tannic = checked(tannin_class, "tannin_class", 0, 3)
    skins = checked(skins_share, "skins_share", 0, 1)
    before = checked(days_before_yeast, "days_before_yeast", 0, 1000, "days")
    after = checked(days_after_yeast, "days_after_yeast", 0, 1000, "days")
    halvings = before / HALF_DAYS_BEFORE_YEAST + after / HALF_DAYS_AFTER_YEAST
    reachable = PULP_SHARE + (1 - PULP_SHARE) * skins
    index = load * tannic / 3 * reachable * (1 - np.exp2(-halvings))
    return returned(index, load, tannic, skins, before, after)
