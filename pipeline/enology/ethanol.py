"""Ethanol–water mixtures: density, strength by volume and by mass.

References
----------
.. [1] OIML R 22 (1975), International Alcoholometric Tables, general formula, 54 coefficients (read
   in several transcriptions that agree); Directive 76/766/EEC. Its points and 12 rows of an
   independent table are among the tests.
"""

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, returned
from pipeline.enology.substances import ETHANOL_DENSITY_G_L

_A = (  # [1] powers of the mass fraction at 20 °C
    998.2012300,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
)
_B = (0.0, -0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_C = (  # [1] row i: powers of the mass fraction that go with (t - 20)^i
    (
        0.0,
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ),
    (
        0.0,
        -1.193013005057010e-2,
        2.517399633803461e-1,
        -2.170575700536993,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.096355666577570e2,
        -1.422753946421155e2,
        1.080435942856230e2,
        -4.414153236817392e1,
        7.442971530188783,
    ),
    (
        0.0,
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.022992966719220,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -5.411227621436812e-1,
    ),
    (
        0.0,
        4.075376675622027e-6,
        -8.763058573471110e-6,
        6.515031360099368e-6,
        -1.515784836987210e-6,
    ),
    (0.0, -2.788074354782409e-8, 1.345612883493354e-8),
)
_AT_20 = np.array(_A[::-1])
_SLOPE_AT_20 = np.polyder(_AT_20)
_NEWTON_STEPS = 6
WATER_R22 = _A[0]  # [kg/m3] the water of this standard at 20 °C


def ethanol_density(mass_fraction: Numeric, temperature_c: Numeric = 20.0) -> Numeric:
    """Return the density of an ethanol–water mixture.

    Parameters
    ----------
    mass_fraction : float or array
        Ethanol, 0 to 1 [kg/kg].
    temperature_c : float or array
        -20 to 40 [°C].

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    ValueError
        If a scalar argument is outside its range.

    Notes
    -----
    Pure ethanol 789.24 at 20 °C; newer equations of state give 789.42, 0.02 % more.

    Examples
    --------
    >>> round(ethanol_density(1.0), 4)
    789.2391
    """
    fraction = checked(mass_fraction, "mass_fraction", 0, 1)
    celsius = checked(temperature_c, "temperature_c", -20, 40, "°C")
    warmer = celsius - 20
    density = np.polyval(_AT_20, fraction) + np.polyval(_B[::-1], warmer)
    for power, row in enumerate(_C, start=1):
        density = density + np.polyval(row[::-1], fraction) * warmer**power
    return returned(density, fraction, celsius)


def alcohol_from_mass_percent(mass_percent: Numeric) -> Numeric:
    """Return strength by volume from strength by mass.

    Parameters
    ----------
    mass_percent : float or array
        Ethanol [% mass], 0 to 100.

    Returns
    -------
    float or array
        Alcohol [% vol at 20 °C].

    Raises
    ------
    ValueError
        If a scalar is outside 0–100.

    Examples
    --------
    >>> round(alcohol_from_mass_percent(10.0), 2)
    12.44
    """
    percent = checked(mass_percent, "mass_percent", 0, 100, "% mass")
    volume_percent = percent * np.polyval(_AT_20, percent / 100) / ETHANOL_DENSITY_G_L
    # The standard's own ethanol is a ten-thousandth lighter than 789.24.
    return returned(np.minimum(volume_percent, 100.0), percent)


def _mass_fraction(abv: Array) -> Array:
    wanted = abv / 100 * ETHANOL_DENSITY_G_L
    fraction = wanted / WATER_R22
    for _ in range(_NEWTON_STEPS):
        density = np.polyval(_AT_20, fraction)
        slope = density + fraction * np.polyval(_SLOPE_AT_20, fraction)
        fraction = fraction - (fraction * density - wanted) / slope
    return np.clip(fraction, 0.0, 1.0)


def mass_percent_from_alcohol(abv: Numeric) -> Numeric:
    """Return strength by mass [% mass] from strength by volume [% vol at 20 °C], 0 to 100.

    Parameters
    ----------
    abv : float or array
        Strength [% vol at 20 °C], 0 to 100.

    Returns
    -------
    float or array
        Ethanol [% mass], by Newton's method on the density formula [1]_.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(mass_percent_from_alcohol(12.0), 3)
    9.641
    """
    volume_percent = checked(abv, "abv", 0, 100, "% vol")
    return returned(100 * _mass_fraction(volume_percent), volume_percent)


def density_from_alcohol(abv: Numeric, temperature_c: Numeric = 20.0) -> Numeric:
    """Return the density of ethanol–water of a given strength.

    Parameters
    ----------
    abv : float or array
        Strength [% vol *at 20 °C*], 0 to 100.
    temperature_c : float or array
        Temperature at which the density is wanted [°C], -20 to 40.

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    ValueError
        If a scalar argument is outside its range.

    Notes
    -----
    US strength is % vol at 60 °F: in wine 0.03–0.06 lower than at 20 °C.

    Examples
    --------
    >>> round(density_from_alcohol(12.0), 2)
    982.35
    """
    volume_percent = checked(abv, "abv", 0, 100, "% vol")
    celsius = checked(temperature_c, "temperature_c", -20, 40, "°C")
    return returned(
        np.asarray(ethanol_density(_mass_fraction(volume_percent), celsius)),
        volume_percent,
        celsius,
    )


def relative_density_from_alcohol(abv: Numeric) -> Numeric:
    """Return d20/20 of ethanol–water of this strength [% vol], as Tabarié's relation needs it.

    Parameters
    ----------
    abv : float or array
        Strength [% vol at 20 °C], 0 to 100.

    Returns
    -------
    float or array
        Density over that of the standard's own water, both at 20 °C.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    volume_percent = checked(abv, "abv", 0, 100, "% vol")
    density = np.polyval(_AT_20, _mass_fraction(volume_percent))
    return returned(density / WATER_R22, volume_percent)
