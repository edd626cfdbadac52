"""What hydrometers and refractometers read, and what it means.

The conversions between scales live in `pipeline.enology.sucrose` and are offered here too.

References
----------
.. [1] Mass balance of a glass float in a liquid that expands like water, water from [2]_; the usual
   correction tables agree within 0.0006 in sweet must.
.. [2] `pipeline.enology.water`.
.. [3] Refractive index of ethanol–water and sucrose–water at 20 °C, CRC Handbook of Chemistry and
   Physics, concentrative properties (from memory): 10 % mass of ethanol reads like 4.5 °Bx.
.. [4] Balling's fermentation balance, see `pipeline.enology.balling`.
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.balling import BALLING_EXTRACT, BALLING_LOSS, wine_gravity
from pipeline.enology.sucrose import (
    GRAVITY_RANGE,
    brix_from_gravity,
    density_from_gravity,
    gravity_from_brix,
    gravity_from_density,
    gravity_from_sugar,
    plato_from_gravity,
    sugar_from_gravity,
)
from pipeline.enology.water import water_density

__all__ = [
    "alcohol_from_fermented_refractometer",
    "brix_from_gravity",
    "corrected_gravity",
    "density_from_gravity",
    "gravity_from_brix",
    "gravity_from_density",
    "gravity_from_fermented_refractometer",
    "gravity_from_refractometer",
    "gravity_from_sugar",
    "hydrometer_reading",
    "plato_from_gravity",
    "sugar_from_gravity",
    "water_density",
]

GLASS_EXPANSION = 25e-6  # [1/K] cubic expansion of hydrometer glass, customary

_BRIX_PER_ETHANOL = 0.40  # [°Bx per % mass] [3]
_BRIX_PER_ETHANOL_SQUARED = 0.0045  # [°Bx per (% mass)^2] [3]


def _float_factor(temperature_c: Numeric, calibrated_at_c: Numeric) -> tuple[Array, Array, Array]:
    sample = checked(temperature_c, "temperature_c", 0, 100, "°C")
    calibrated = checked(calibrated_at_c, "calibrated_at_c", 0, 40, "°C")
    water = np.asarray(water_density(calibrated)) / np.asarray(water_density(sample))
    return water / (1 + GLASS_EXPANSION * (sample - calibrated)), sample, calibrated


def corrected_gravity(
    reading_sg: Numeric,
    temperature_c: Numeric,
    calibrated_at_c: Numeric = 20.0,
    offset: Numeric = 0.0,
) -> Numeric:
    """Return the gravity a hydrometer would have shown at its calibration temperature.

    Parameters
    ----------
    reading_sg : float or array
        What was read, 0.9 to 1.4.
    temperature_c : float or array
        Temperature of the sample [°C], 0 to 100; trustworthy from 5 to 38, above that cool the
        sample and read again.
    calibrated_at_c : float or array
        Temperature the instrument is made for [°C], 0 to 40; 15.56 for a 60 °F hydrometer.
    offset : float or array
        What it reads in water at that temperature, minus 1; -0.02 to 0.02.

    Returns
    -------
    float or array
        Apparent specific gravity. NaN where the temperature is NaN: assume nothing silently.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(corrected_gravity(1.0835, 25.0), 4)
    1.0846
    """
    reading = checked(reading_sg, "reading_sg", *GRAVITY_RANGE)
    shift = checked(offset, "offset", -0.02, 0.02)
    factor, sample, calibrated = _float_factor(temperature_c, calibrated_at_c)
    return returned((reading - shift) * factor, reading, sample, calibrated, shift)


def hydrometer_reading(
    gravity: Numeric, temperature_c: Numeric, calibrated_at_c: Numeric = 20.0
) -> Numeric:
    """Return what a hydrometer shows in a liquid of known gravity; undoes `corrected_gravity`.

    Parameters
    ----------
    gravity : float or array
        True gravity, 0.9 to 1.4.
    temperature_c : float or array
        Of the sample [°C], 0 to 100.
    calibrated_at_c : float or array
        Of the instrument [°C], 0 to 40.

    Returns
    -------
    float or array
        Reading.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    A 60 °F hydrometer in pure water of 20 °C.

    >>> round(hydrometer_reading(1.0, 20.0, 15.5556), 4)
    0.9993
    """
    sg = checked(gravity, "gravity", *GRAVITY_RANGE)
    factor, sample, calibrated = _float_factor(temperature_c, calibrated_at_c)
    return returned(sg / factor, sg, sample, calibrated)


def gravity_from_refractometer(brix: Numeric) -> Numeric:
    """Return the gravity of *unfermented* must from a refractometer reading [°Bx] at 20 °C.

    Once yeast has worked, alcohol bends light too and this is wrong by up to 30 points: use
    `gravity_from_fermented_refractometer`.

    Parameters
    ----------
    brix : float or array
        Reading at 20 °C or corrected to it [°Bx], -28 to 78.

    Returns
    -------
    float or array
        Specific gravity 20/20.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    return gravity_from_brix(brix)


def _ethanol_mass_percent(brix: Array, original_extract: Array) -> Array:
    """Ethanol [% mass] that closes Balling's balance with what the refractometer shows.

    Reading = real extract + 0.40 w + 0.0045 w²; in Balling's balance this is a quadratic in w.
    """
    curve = 100 * _BRIX_PER_ETHANOL_SQUARED
    linear = 100 * (BALLING_EXTRACT - _BRIX_PER_ETHANOL) - BALLING_LOSS * original_extract
    gap = 100 * (original_extract - brix)
    return 2 * gap / (linear + np.sqrt(linear**2 - 4 * curve * gap))


def gravity_from_fermented_refractometer(brix: Numeric, original_gravity: Numeric) -> Numeric:
    """Return the gravity of fermenting or finished wine from a refractometer reading.

    Parameters
    ----------
    brix : float or array
        What the refractometer shows now, at 20 °C [°Bx], 0 to 50.
    original_gravity : float or array
        Gravity before fermentation, 1.0 to 1.3, with all sugar counted that went in since.

    Returns
    -------
    float or array
        An *estimate* of the gravity a hydrometer would show, good to about 0.004; NaN without the
        original gravity.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Notes
    -----
    The reading is taken as real extract plus what alcohol adds [3]_, and the two are tied together
    by Balling's balance [4]_: no empirical fit to beer, which does not hold for dry wine.

    Examples
    --------
    >>> round(gravity_from_fermented_refractometer(9.2, 1.082), 2)
    1.01
    """
    reading = checked(brix, "brix", 0, 50, "°Bx")
    original = checked(original_gravity, "original_gravity", 1.0, 1.3)
    ethanol = _ethanol_mass_percent(reading, np.asarray(brix_from_gravity(original)))
    alcohol_reads = _BRIX_PER_ETHANOL * ethanol + _BRIX_PER_ETHANOL_SQUARED * ethanol**2
    return returned(wine_gravity(reading - alcohol_reads, ethanol), reading, original)


def alcohol_from_fermented_refractometer(brix: Numeric, original_gravity: Numeric) -> Numeric:
    """Return alcohol by mass [% mass] from the same estimate; good to about 0.7 % vol.

    Parameters
    ----------
    brix : float or array
        Reading now, at 20 °C [°Bx], 0 to 50.
    original_gravity : float or array
        Before fermentation, 1.0 to 1.3.

    Returns
    -------
    float or array
        Ethanol [% mass].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    reading = checked(brix, "brix", 0, 50, "°Bx")
    original = checked(original_gravity, "original_gravity", 1.0, 1.3)
    ethanol = _ethanol_mass_percent(reading, np.asarray(brix_from_gravity(original)))
    return returned(ethanol, reading, original)
