"""Density of water.

References
----------
.. [1] Tanaka et al. 2001, Recommended table for the density of water between 0 °C and 40 °C,
   Metrologia 38:301, doi:10.1088/0026-1394/38/4/3, eq. 1 (from memory; the tests compare it with
   IAPWS-95 by two libraries).
"""

from pipeline.enology.arguments import Numeric, checked, returned

_A1, _A2, _A3, _A4, _A5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950  # [1] eq. 1


def water_density(temperature_c: Numeric) -> Numeric:
    """Return the density of pure water at normal pressure.

    Parameters
    ----------
    temperature_c : float or array
        Water temperature [°C], 0 to 100.

    Returns
    -------
    float or array
        Density [kg/m3]; NaN for NaN.

    Raises
    ------
    ValueError
        If a scalar temperature is outside 0–100 °C.

    Notes
    -----
    The formula is made for 0–40 °C, where it agrees with IAPWS-95 to 0.001 kg/m3; it is 0.02 low at
    60 °C and 0.25 low at 100 °C. OIML R 22 uses older water (998.2012 at 20 °C), 0.006 kg/m3 less.

    Examples
    --------
    >>> round(water_density(20.0), 3)
    998.207
    """
    celsius = checked(temperature_c, "temperature_c", 0, 100, "°C")
    density = _A5 * (1 - (celsius + _A1) ** 2 * (celsius + _A2) / (_A3 * (celsius + _A4)))
    return returned(density, celsius)


WATER_20_KG_L = float(water_density(20.0)) / 1000  # [kg/L]
AIR_KG_L = 0.0012  # [kg/L] air displaced when a hydrometer or a balance weighs; customary value
