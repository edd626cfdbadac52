"""Blending two or more wines, and diluting one.

Volumes, sugar, acid and sulphite mix by volume; alcohol and volume by mass, because alcohol and
water shrink together. pH does not mix at all: it must be measured.

References
----------
.. [1] Mass balance with OIML R 22 densities.
.. [2] Linear blending (Pearson's square).
"""

from collections.abc import Sequence

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.ethanol import (
    alcohol_from_mass_percent,
    density_from_alcohol,
    mass_percent_from_alcohol,
)


def blend(volumes_l: Sequence[float] | Array, values: Sequence[float] | Array, what: str) -> float:
    """Return the sugar, acid, sulphite or extract of a blend: the mean by volume.

    Parameters
    ----------
    volumes_l : sequence of float
        Of the wines [L].
    values : sequence of float
        Their contents, all in one unit.
    what : str
        What is blended, e.g. ``"acidity"``.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        For pH, which cannot be averaged; for unequal lengths, negative volumes or none at all.

    Examples
    --------
    >>> blend([1.0, 3.0], [15.0, 11.0], "alcohol, roughly")
    12.0
    """
    if what.strip().lower() == "ph":
        raise ValueError("what must not be pH, got 'pH': it cannot be averaged; blend and measure")
    volumes, contents = np.asarray(volumes_l, dtype=float), np.asarray(values, dtype=float)
    if volumes.shape != contents.shape:
        raise ValueError(
            f"values must be as many as volumes_l ({volumes.size}), got {contents.size}"
        )
    if (volumes < 0).any() or not volumes.sum() > 0:
        raise ValueError(f"volumes_l must be at least 0 and not all 0, got {volumes.tolist()}")
    return float(volumes @ contents / volumes.sum())


def blend_alcohol(
    volumes_l: Sequence[float] | Array, abvs: Sequence[float] | Array
) -> tuple[float, float]:
    """Return strength and volume of a blend, contraction counted.

    Parameters
    ----------
    volumes_l : sequence of float
        Of the wines [L].
    abvs : sequence of float
        Their strengths [% vol]; 0 for water.

    Returns
    -------
    tuple of float
        Strength [% vol] and volume [L]; extract is taken as none, which changes neither by 0.01.

    Raises
    ------
    ValueError
        As `blend`, and for a strength outside 0–100.

    Examples
    --------
    >>> strength, volume = blend_alcohol([9.0, 1.0], [12.0, 40.0])
    >>> round(strength, 3), round(volume, 4)
    (14.804, 9.9973)
    """
    blend(volumes_l, abvs, "alcohol")
    masses = [
        float(volume) * float(density_from_alcohol(abv))
        for volume, abv in zip(volumes_l, abvs, strict=True)
    ]
    fractions = [float(mass_percent_from_alcohol(a)) for a in abvs]
    total = sum(masses)
    percent = sum(m * f for m, f in zip(masses, fractions, strict=True)) / total
    strength = float(alcohol_from_mass_percent(percent))
    return strength, total / float(density_from_alcohol(strength))


def share_of_first(first: Numeric, second: Numeric, target: Numeric) -> Numeric:
    """Return the share of the first wine that gives a blend a target value.

    Parameters
    ----------
    first, second : float or array
        Contents of the two wines; not pH.
    target : float or array
        Wanted, between them.

    Returns
    -------
    float or array
        Fraction of the first by volume: (second - target) / (second - first) [2]_. NaN in an array
        where the target is not between the two.

    Raises
    ------
    ValueError
        If scalars leave the target outside the two wines.

    Examples
    --------
    One part of 15 % and three of 11 % make 12 %.

    >>> share_of_first(15.0, 11.0, 12.0)
    0.25
    """
    one, other, wanted = (np.asarray(v, dtype=float) for v in (first, second, target))
    is_between = (np.minimum(one, other) <= wanted) & (wanted <= np.maximum(one, other))
    is_outside = ~is_between & ~np.isnan(one + other + wanted) | (one == other)
    if not (one.ndim or other.ndim or wanted.ndim) and is_outside:
        raise ValueError(
            f"target must be between {float(one):g} and {float(other):g}, which must differ, "
            f"got {float(wanted):g}"
        )
    span = np.where(is_outside, np.nan, other - one)
    return returned((other - wanted) / span, one, other, wanted)


def water_to_dilute(value: Numeric, target: Numeric, volume_l: Numeric) -> Numeric:
    """Return the water [L] that thins strength or acidity to a target; flavour thins alike.

    Parameters
    ----------
    value, target : float or array
        Content now and wanted, in one unit.
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        Water [L]; 0 if the wine is thin enough already.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(water_to_dilute(16.0, 12.5, 3.8), 2)
    1.06
    """
    now = checked(value, "value", 0)
    wanted = checked(target, "target", 1e-9)
    volume = checked(volume_l, "volume_l", 0, unit="L")
    return returned(np.maximum(volume * (now / wanted - 1), 0.0), now, wanted, volume)
