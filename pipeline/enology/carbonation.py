"""Carbon dioxide when sugar ferments again in a closed bottle: grams, volumes, pressure.

Bursting glass is the one injury home winemakers report. Still-wine bottles and jars are not
pressure vessels, screw caps and swing-tops are worst.

References
----------
.. [1] EU/OIV sparkling wine method, Reg. (EEC) 2676/90 Annex: CO2 [g/L] = 1.951e-5 p × (0.86 - 0.01
   A)(1 - 0.00144 S), absolute pressure p [Pa] at 20 °C (read in parallel texts).
.. [2] Carroll, Slupsky & Mather 1991, J. Phys. Chem. Ref. Data 20:1201: Henry's constant of carbon
   dioxide in water, ln(H/MPa) = -6.8346 + 1.2817e4/T - 3.7668e6/T² + 2.997e8/T³ (read).
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.substances import CO2_PER_HEXOSE, MOLAR_MASS
from pipeline.enology.units import BAR_PER_ATMOSPHERE

CO2_G_PER_VOLUME = (
    1.9767  # [g/L] carbon dioxide at 0 °C and 1 atm, as the pair of units in [1] has it
)
PRESSURE_CAUTION_BAR = 1.0  # warn from here for still-wine glass; judgement
SAFE_SUGAR_G_L = 2.0  # [g/L] of fermentable sugar that a still bottle may hold; judgement
_PASCAL_PER_BAR = 1e5


def henry_constant(temperature_c: Numeric) -> Numeric:
    """Return Henry's constant of carbon dioxide in water [MPa per mole fraction] [2]_, 0–80 °C.

    Parameters
    ----------
    temperature_c : float or array
        0 to 80 [°C].

    Returns
    -------
    float or array
        [MPa per mole fraction]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    celsius = checked(temperature_c, "temperature_c", 0, 80, "°C")
    kelvin = celsius + 273.15
    log_h = -6.8346 + 1.2817e4 / kelvin - 3.7668e6 / kelvin**2 + 2.997e8 / kelvin**3
    return returned(np.exp(log_h), celsius)


def co2_solubility_water(
    temperature_c: Numeric, pressure_bar: Numeric = BAR_PER_ATMOSPHERE
) -> Numeric:
    """Return carbon dioxide in water [g/L] at its partial pressure [bar], by Henry's constant.

    Parameters
    ----------
    temperature_c : float or array
        0 to 80 [°C].
    pressure_bar : float or array
        Partial pressure of the gas [bar], 0 to 20.

    Returns
    -------
    float or array
        [g/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    celsius = checked(temperature_c, "temperature_c", 0, 80, "°C")
    pressure = checked(pressure_bar, "pressure_bar", 0, 20, "bar")
    share = pressure / 10 / np.asarray(henry_constant(celsius))
    moles_water = 998.2 / MOLAR_MASS["water"]
    return returned(share * moles_water * MOLAR_MASS["carbon dioxide"], celsius, pressure)


def _grams_per_bar(abv: Array, sugar_g_l: Array, temperature_c: Array) -> Array:
    at_20 = 1.951e-5 * _PASCAL_PER_BAR * (0.86 - 0.01 * abv) * (1 - 0.00144 * sugar_g_l)
    return at_20 * float(henry_constant(20.0)) / np.asarray(henry_constant(temperature_c))


def co2_from_sugar(fermentable_sugar_g_l: Numeric) -> Numeric:
    """Return the carbon dioxide [g/L] that single sugar [g/L] gives: 0.489; sucrose 5 % more.

    Parameters
    ----------
    fermentable_sugar_g_l : float or array
        Glucose and fructose [g/L], 0 to 300.

    Returns
    -------
    float or array
        Carbon dioxide [g/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    sugar = checked(fermentable_sugar_g_l, "fermentable_sugar_g_l", 0, 300, "g/L")
    return returned(CO2_PER_HEXOSE * sugar, sugar)


def co2_volumes(co2_g_l: Numeric) -> Numeric:
    """Return grams per litre of carbon dioxide as volumes of gas at 0 °C and 1 atm.

    Parameters
    ----------
    co2_g_l : float or array
        Carbon dioxide [g/L], 0 to 150.

    Returns
    -------
    float or array
        Litres of gas per litre of wine.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(co2_g_l, "co2_g_l", 0, 150, "g/L")
    return returned(grams / CO2_G_PER_VOLUME, grams)


def co2_dissolved(
    pressure_bar: Numeric, abv: Numeric, sugar_g_l: Numeric = 0.0, temperature_c: Numeric = 20.0
) -> Numeric:
    """Return dissolved carbon dioxide [g/L] at an *absolute* pressure [bar] [1]_, [2]_.

    Parameters
    ----------
    pressure_bar : float or array
        Absolute pressure [bar], 0 to 30.
    abv : float or array
        Strength [% vol], 0 to 30.
    sugar_g_l : float or array
        Sugar in the wine [g/L], 0 to 300.
    temperature_c : float or array
        0 to 60 [°C].

    Returns
    -------
    float or array
        [g/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    pressure = checked(pressure_bar, "pressure_bar", 0, 30, "bar")
    strength = checked(abv, "abv", 0, 30, "% vol")
    sugar = checked(sugar_g_l, "sugar_g_l", 0, 300, "g/L")
    celsius = checked(temperature_c, "temperature_c", 0, 60, "°C")
    grams = pressure * _grams_per_bar(strength, sugar, celsius)
    return returned(grams, pressure, strength, sugar, celsius)


def bottle_overpressure(
    fermentable_sugar_g_l: Numeric,
    abv: Numeric,
    temperature_c: Numeric = 20.0,
    other_sugar_g_l: Numeric = 0.0,
) -> Numeric:
    """Return the pressure in a closed bottle once the sugar has fermented.

    Parameters
    ----------
    fermentable_sugar_g_l : float or array
        Single sugar that ferments [g/L], 0 to 300.
    abv : float or array
        Strength of the wine [% vol].
    temperature_c : float or array
        Of the bottle [°C]; 30 °C raises the pressure by another 30 %.
    other_sugar_g_l : float or array
        Sugar that stays [g/L].

    Returns
    -------
    float or array
        Pressure above the air outside [bar], for wine full of carbon dioxide at bottling and no
        headspace: the worst case, good to about 3 % where gas and wine are at rest.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Notes
    -----
    "4 g/L sugar a bar" is true near 10 °C. At 20 °C and 12 % vol it is 2.96.

    Examples
    --------
    >>> round(bottle_overpressure(10.0, 12.0), 1)
    3.4
    """
    sugar = checked(fermentable_sugar_g_l, "fermentable_sugar_g_l", 0, 300, "g/L")
    strength = checked(abv, "abv", 0, 30, "% vol")
    celsius = checked(temperature_c, "temperature_c", 0, 60, "°C")
    other = checked(other_sugar_g_l, "other_sugar_g_l", 0, 300, "g/L")
    at_bottling = BAR_PER_ATMOSPHERE * _grams_per_bar(strength, other, np.asarray(20.0))
    grams = at_bottling + CO2_PER_HEXOSE * sugar
    pressure = grams / _grams_per_bar(strength, other, celsius) - BAR_PER_ATMOSPHERE
    return returned(pressure, sugar, strength, celsius, other)


def sugar_per_bar(abv: Numeric, temperature_c: Numeric = 20.0) -> Numeric:
    """Return the single sugar [g/L] that makes one bar in a closed bottle; sucrose × 0.95.

    Parameters
    ----------
    abv : float or array
        Strength [% vol], 0 to 30.
    temperature_c : float or array
        Of the bottle, 0 to 60 [°C].

    Returns
    -------
    float or array
        [g/L for 1 bar]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    strength = checked(abv, "abv", 0, 30, "% vol")
    celsius = checked(temperature_c, "temperature_c", 0, 60, "°C")
    grams = _grams_per_bar(strength, np.asarray(0.0), celsius)
    return returned(grams / CO2_PER_HEXOSE, strength, celsius)
