"""Alcohol when sugar, juice or water went in on the way: the ledger.

First minus last gravity forgets sugar that was fed later and mistakes water for fermentation. The
ledger keeps the *equivalent original gravity*: that of the must which holds, in the present volume,
all sugar the wine has ever had. Alcohol is then `alcohol_from_gravities(equivalent, final)`.

References
----------
.. [1] Mass balance on sucrose, densities of NBS C440; see `pipeline.enology.must`. The wine's
   volume stands for that of its must: fermentation shrinks it by under 1 %.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.enology.alcohol import alcohol_from_gravities
from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.must import gravity_after_sugar, gravity_of_mixture


@dataclass(frozen=True)
class LedgerEntry:
    """Something that went into a fermenting must.

    Parameters
    ----------
    volume_l : float
        In the vessel just before [L].
    sugar_kg : float
        Dry sugar, sucrose equivalents [kg].
    added_l : float
        Water, juice or wine [L].
    added_equivalent_gravity : float
        Gravity that liquid had before any fermentation: 1.000 for water.
    """

    volume_l: float
    sugar_kg: float = 0.0
    added_l: float = 0.0
    added_equivalent_gravity: float = 1.0


def equivalent_gravity_after_sugar(
    equivalent_gravity: Numeric, volume_l: Numeric, sugar_kg: Numeric
) -> Numeric:
    """Return the equivalent original gravity after sugar was fed to a fermenting must.

    Parameters
    ----------
    equivalent_gravity : float or array
        Before: the original gravity, or what an earlier entry made of it.
    volume_l : float or array
        In the vessel at that moment [L].
    sugar_kg : float or array
        Dry sugar fed [kg].

    Returns
    -------
    float or array
        Gravity of the must that would have held all this sugar from the start.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(equivalent_gravity_after_sugar(1.072, 3.6, 0.227), 3)
    1.092
    """
    return gravity_after_sugar(equivalent_gravity, volume_l, sugar_kg)


def equivalent_gravity_after_liquid(
    equivalent_gravity: Numeric,
    volume_l: Numeric,
    added_l: Numeric,
    added_equivalent_gravity: Numeric = 1.0,
) -> Numeric:
    """Return the equivalent original gravity after water (1.000), juice or wine went in.

    Parameters
    ----------
    equivalent_gravity : float or array
        Before.
    volume_l, added_l : float or array
        In the vessel, and what went in [L].
    added_equivalent_gravity : float or array
        Gravity that liquid had before any fermentation.

    Returns
    -------
    float or array
        Equivalent original gravity after.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    return gravity_of_mixture(equivalent_gravity, volume_l, added_equivalent_gravity, added_l)


def alcohol_after_topping_up(
    abv: Numeric, volume_l: Numeric, added_l: Numeric, added_abv: Numeric = 0.0
) -> Numeric:
    """Return the strength after topping up.

    Parameters
    ----------
    abv : float or array
        Before [% vol].
    volume_l, added_l : float or array
        Wine and what went in [L].
    added_abv : float or array
        Strength of that: 0 for water and juice.

    Returns
    -------
    float or array
        Strength [% vol]; contraction (under 0.05 % vol in wine) is left out.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(alcohol_after_topping_up(12.0, 4.0, 1.0), 1)
    9.6
    """
    strength = checked(abv, "abv", 0, 100, "% vol")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    more = checked(added_l, "added_l", 0, unit="L")
    other = checked(added_abv, "added_abv", 0, 100, "% vol")
    mean = (strength * volume + other * more) / (volume + more)
    return returned(mean, strength, volume, more, other)


def equivalent_original_gravity(original_gravity: float, entries: Sequence[LedgerEntry]) -> float:
    """Return the equivalent original gravity after all entries, in their order.

    Parameters
    ----------
    original_gravity : float
        Measured at the start.
    entries : sequence of LedgerEntry
        In order of time.

    Returns
    -------
    float
        Equivalent original gravity.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> entries = [LedgerEntry(volume_l=3.6, sugar_kg=0.227)]
    >>> round(equivalent_original_gravity(1.072, entries), 3)
    1.092
    """
    gravity = original_gravity
    for entry in entries:
        gravity = float(equivalent_gravity_after_sugar(gravity, entry.volume_l, entry.sugar_kg))
        gravity = float(
            equivalent_gravity_after_liquid(
                gravity, entry.volume_l, entry.added_l, entry.added_equivalent_gravity
            )
        )
    return gravity


def alcohol_ledger(
    original_gravity: float, final_gravity: float, entries: Sequence[LedgerEntry]
) -> float:
    """Return alcohol from first and last gravity with everything that went in between.

    Parameters
    ----------
    original_gravity : float
        Measured at the start.
    final_gravity : float
        Measured after the last entry.
    entries : sequence of LedgerEntry
        Sugar and liquids, in order of time.

    Returns
    -------
    float
        Alcohol [% vol].

    Raises
    ------
    ValueError
        If an argument is impossible, or the final gravity is above the equivalent original one.

    Examples
    --------
    >>> entries = [LedgerEntry(volume_l=3.6, sugar_kg=0.227)]
    >>> round(alcohol_ledger(1.072, 0.996, entries), 1)
    12.9
    """
    equivalent = equivalent_original_gravity(original_gravity, entries)
    return float(alcohol_from_gravities(equivalent, final_gravity))


def volume_yield(start_l: Numeric, finished_l: Numeric, water_added_l: Numeric = 0.0) -> Numeric:
    """Return the share of the starting volume that became wine, water added later not counted.

    Parameters
    ----------
    start_l, finished_l : float or array
        Must at the start, wine at the end [L].
    water_added_l : float or array
        Water that went in on the way [L].

    Returns
    -------
    float or array
        Fraction.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    start = checked(start_l, "start_l", 1e-6, unit="L")
    finished = checked(finished_l, "finished_l", 0, unit="L")
    water = checked(water_added_l, "water_added_l", 0, unit="L")
    return returned((finished - water) / start, start, finished, water)
