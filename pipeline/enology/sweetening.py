"""Sweetening a finished wine: by gravity, by grams per litre, from a glass to the batch.

Stabilise first, or keep it cold and drink it soon: live yeast turns sugar into pressure
(see `pipeline.enology.carbonation`).

References
----------
.. [1] Mass balance; dissolved sugar takes 0.618 L/kg (27 CFR 24.181, read).
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.must import DISSOLVED_SUGAR_L_PER_KG
from pipeline.enology.sucrose import GRAVITY_RANGE, density_from_gravity


def sugar_to_gravity(gravity: Numeric, target_gravity: Numeric, volume_l: Numeric) -> Numeric:
    """Return the sugar that brings a finished wine to a gravity.

    Parameters
    ----------
    gravity, target_gravity : float or array
        Now and wanted, 0.9 to 1.4.
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        Dry sugar [kg], its own volume counted; 0 if the wine is there already.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Notes
    -----
    Works on densities, so alcohol in the wine does not disturb it, as it would on the Brix scale.

    Examples
    --------
    Five US gallons from 1.000 to 1.010, in pounds.

    >>> round(sugar_to_gravity(1.000, 1.010, 18.93) / 0.45359237, 1)
    1.1
    """
    now = checked(gravity, "gravity", *GRAVITY_RANGE)
    wanted = checked(target_gravity, "target_gravity", *GRAVITY_RANGE)
    volume = checked(volume_l, "volume_l", 0, unit="L")
    before, after = np.asarray(density_from_gravity(now)), np.asarray(density_from_gravity(wanted))
    sugar = volume * (after - before) / (1 - DISSOLVED_SUGAR_L_PER_KG * after)
    return returned(np.maximum(sugar, 0.0), now, wanted, volume)


def sugar_to_sweeten(sugar_g_l: Numeric, target_sugar_g_l: Numeric, volume_l: Numeric) -> Numeric:
    """Return the sugar that brings a wine to a residual sugar.

    Parameters
    ----------
    sugar_g_l, target_sugar_g_l : float or array
        Now and wanted [g/L], 0 to 500.
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        Dry sugar [kg], its own volume counted; 0 if the wine is there already.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    now = checked(sugar_g_l, "sugar_g_l", 0, 500, "g/L")
    wanted = checked(target_sugar_g_l, "target_sugar_g_l", 0, 500, "g/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    sugar = volume * (wanted - now) / (1000 - DISSOLVED_SUGAR_L_PER_KG * wanted)
    return returned(np.maximum(sugar, 0.0), now, wanted, volume)


def sugar_after_sweetening(sugar_g_l: Numeric, volume_l: Numeric, sugar_kg: Numeric) -> Numeric:
    """Return residual sugar [g/L] after dry sugar [kg] is stirred in; undoes `sugar_to_sweeten`.

    Parameters
    ----------
    sugar_g_l : float or array
        Before [g/L], 0 to 500.
    volume_l : float or array
        Wine [L].
    sugar_kg : float or array
        Dry sugar [kg].

    Returns
    -------
    float or array
        Sugar after [g/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    now = checked(sugar_g_l, "sugar_g_l", 0, 500, "g/L")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    total = volume + DISSOLVED_SUGAR_L_PER_KG * sugar
    return returned((now * volume + 1000 * sugar) / total, now, volume, sugar)


def diluted_by_sweetening(value: Numeric, volume_l: Numeric, sugar_kg: Numeric) -> Numeric:
    """Return strength, acidity or sulphite after sweetening: the sugar's volume dilutes them.

    Parameters
    ----------
    value : float or array
        Content before, in any unit per litre or % vol.
    volume_l : float or array
        Wine [L].
    sugar_kg : float or array
        Dry sugar [kg].

    Returns
    -------
    float or array
        Content after, in the same unit.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    content = checked(value, "value", 0)
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    sugar = checked(sugar_kg, "sugar_kg", 0, unit="kg")
    total = volume + DISSOLVED_SUGAR_L_PER_KG * sugar
    return returned(content * volume / total, content, volume, sugar)


def bench_to_batch(bench_dose: Numeric, bench_volume_l: Numeric, volume_l: Numeric) -> Numeric:
    """Return the dose for a batch from one that pleased in a glass, in the glass dose's own unit.

    Parameters
    ----------
    bench_dose : float or array
        What went into the glass.
    bench_volume_l : float or array
        Wine in the glass [L].
    volume_l : float or array
        Wine in the batch [L].

    Returns
    -------
    float or array
        Dose for the batch.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    A level teaspoon (4.2 g) in 195 mL, for one US gallon.

    >>> round(bench_to_batch(4.2, 0.195, 3.785))
    82
    """
    dose = checked(bench_dose, "bench_dose", 0)
    glass = checked(bench_volume_l, "bench_volume_l", 1e-6, unit="L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    return returned(dose / glass * volume, dose, glass, volume)
