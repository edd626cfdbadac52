"""Exact sizes of the units makers write; the tests check each with a units library.

References
----------
.. [1] NIST Handbook 44, Appendix C (US customary units); UK Units of Measurement Regulations 1995
   (imperial gallon). All exact by definition.
"""

from pipeline.enology.arguments import Numeric, checked, returned

L_PER_US_GALLON = 3.785411784
L_PER_IMPERIAL_GALLON = 4.54609
KG_PER_LB = 0.45359237
KG_PER_OZ = KG_PER_LB / 16
BAR_PER_ATMOSPHERE = 1.01325
BAR_PER_PSI = 0.0689475729316836
KG_PER_TROY_OZ = 0.0311034768
KG_PER_GRAIN = 6.479891e-5
L_PER_BUSHEL = 35.23907016688

LITRES = {  # [L]; a US cup, spoon and fluid ounce are parts of the US gallon
    "litre": 1.0,
    "millilitre": 1e-3,
    "centilitre": 1e-2,
    "hectolitre": 100.0,
    "us gallon": L_PER_US_GALLON,
    "us quart": L_PER_US_GALLON / 4,
    "us pint": L_PER_US_GALLON / 8,
    "us cup": L_PER_US_GALLON / 16,
    "us fluid ounce": L_PER_US_GALLON / 128,
    "us tablespoon": L_PER_US_GALLON / 256,
    "us teaspoon": L_PER_US_GALLON / 768,
    "imperial gallon": L_PER_IMPERIAL_GALLON,
    "imperial quart": L_PER_IMPERIAL_GALLON / 4,
    "imperial pint": L_PER_IMPERIAL_GALLON / 8,
    "imperial cup": L_PER_IMPERIAL_GALLON / 16,
    "imperial fluid ounce": L_PER_IMPERIAL_GALLON / 160,
}
KILOGRAMS = {
    "kilogram": 1.0,
    "gram": 1e-3,
    "milligram": 1e-6,
    "pound": KG_PER_LB,
    "ounce": KG_PER_OZ,
    "troy ounce": KG_PER_TROY_OZ,
    "grain": KG_PER_GRAIN,
}


def celsius_from_fahrenheit(temperature_f: Numeric) -> Numeric:
    """Return °C from °F; not below absolute zero.

    Parameters
    ----------
    temperature_f : float or array
        [°F]

    Returns
    -------
    float or array
        [°C]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    fahrenheit = checked(temperature_f, "temperature_f", -459.67, unit="°F")
    return returned((fahrenheit - 32) / 1.8, fahrenheit)


def fahrenheit_from_celsius(temperature_c: Numeric) -> Numeric:
    """Return °F from °C; not below absolute zero.

    Parameters
    ----------
    temperature_c : float or array
        [°C]

    Returns
    -------
    float or array
        [°F]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    celsius = checked(temperature_c, "temperature_c", -273.15, unit="°C")
    return returned(celsius * 1.8 + 32, celsius)


def grams_per_litre_from_pounds_per_gallon(
    pounds_per_gallon: Numeric, litre_per_gallon: float = L_PER_US_GALLON
) -> Numeric:
    """Return g/L from lb per gallon, US unless the other gallon is given.

    Parameters
    ----------
    pounds_per_gallon : float or array
        [lb/gal]
    litre_per_gallon : float
        Which gallon [L].

    Returns
    -------
    float or array
        [g/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    value = checked(pounds_per_gallon, "pounds_per_gallon", 0, unit="lb/gal")
    return returned(value * KG_PER_LB * 1000 / litre_per_gallon, value)
