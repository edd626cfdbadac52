"""Sulphur dioxide: what a powder gives, and how much of it protects at a pH.

Asthmatics and people sensitive to sulphite must be told: label the wine. Powder and fumes irritate.

References
----------
.. [1] pKa 1.81 in water, customary in wine making; too low for wine, so it calls for *more*
   sulphite than OIV's constant does.
.. [2] OIV-MA-AS323-04C, Table 1: thermodynamic pkT by % vol and temperature (read; the row
   for 20 % vol from memory).
.. [3] Ionic strength 0.038 lowers pkT by about 0.08 (Debye–Hückel, same method).
.. [4] Waterhouse, Sacks & Jeffery, Understanding Wine Chemistry, Table 17.1: 0.6–0.8 mg/L molecular
   (read); 2 mg/L stings.

Ceilings for total sulphur dioxide are in `pipeline.enology.limits`.
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pipeline.enology.arguments import Array, Numeric, checked, chosen, returned
from pipeline.enology.substances import MOLAR_MASS

PKA_CUSTOMARY = 1.81  # [1]
IONIC_TERM = 0.08  # [3]
MOLECULAR_TARGET_MG_L = 0.8  # [4]
SINGLE_DOSE_CAUTION_MG_L = 100.0  # one addition above this is likely a slip; common practice
SO2_PER_GRAM = {  # [g/g] fresh powder; an open packet loses some
    salt: count * MOLAR_MASS["sulphur dioxide"] / MOLAR_MASS[salt]
    for salt, count in {
        "potassium metabisulphite": 2,
        "sodium metabisulphite": 2,
        "potassium bisulphite": 1,
    }.items()
}
_ABV = np.array([0.0, 5.0, 10.0, 15.0, 20.0])  # [2] % vol
_CELSIUS = np.array([20.0, 25.0, 30.0, 35.0, 40.0])
_PKT = np.array(
    [
        [1.798, 2.000, 2.219, 2.334, 2.493],
        [1.897, 2.098, 2.299, 2.397, 2.527],
        [1.997, 2.198, 2.394, 2.488, 2.606],
        [2.099, 2.301, 2.503, 2.607, 2.728],
        [2.203, 2.406, 2.628, 2.754, 2.895],
    ]
)
Constant = Literal["customary", "oiv", "oiv thermodynamic"]
Salt = Literal["potassium metabisulphite", "sodium metabisulphite", "potassium bisulphite"]
_CONSTANTS = {"customary": 0.0, "oiv": IONIC_TERM, "oiv thermodynamic": 0.0}


def _place(value: Array, grid: Array) -> tuple[NDArray[np.intp], Array]:
    """Return the cell of the grid and the position in it; beyond the ends the edge cell runs on."""
    cell = np.clip(np.searchsorted(grid, np.nan_to_num(value), side="right") - 1, 0, len(grid) - 2)
    return cell, (value - grid[cell]) / (grid[cell + 1] - grid[cell])


def sulphite_pk(abv: Numeric, temperature_c: Numeric = 20.0) -> Numeric:
    """Return OIV's thermodynamic constant pkT of sulphurous acid.

    Parameters
    ----------
    abv : float or array
        Strength [% vol], 0 to 20.
    temperature_c : float or array
        0 to 40 [°C]; the table starts at 20, below it the first step is carried on.

    Returns
    -------
    float or array
        pkT, interpolated in the table [2]_; about 1.798 + 0.02 × abv at 20 °C.

    Raises
    ------
    ValueError
        If a scalar argument is outside its range.

    Examples
    --------
    >>> round(sulphite_pk(10.0), 3)
    1.997
    """
    strength = checked(abv, "abv", 0, 20, "% vol")
    celsius = checked(temperature_c, "temperature_c", 0, 40, "°C")
    row, down = _place(strength, _ABV)
    column, right = _place(celsius, _CELSIUS)
    upper = _PKT[row, column] * (1 - right) + _PKT[row, column + 1] * right
    lower = _PKT[row + 1, column] * (1 - right) + _PKT[row + 1, column + 1] * right
    return returned(upper * (1 - down) + lower * down, strength, celsius)


def _pk(constant: str, abv: Numeric | None, temperature_c: Numeric) -> Array:
    ionic = chosen(_CONSTANTS, constant, "constant")
    if constant == "customary":
        return np.asarray(PKA_CUSTOMARY)
    if abv is None:
        raise ValueError(f"abv must be given for the {constant} constant, got None")
    return np.asarray(sulphite_pk(abv, temperature_c)) - ionic


def molecular_fraction(
    ph: Numeric,
    constant: Constant = "customary",
    abv: Numeric | None = None,
    temperature_c: Numeric = 20.0,
) -> Numeric:
    """Return the share of free sulphur dioxide that is molecular, the form that protects.

    Parameters
    ----------
    ph : float or array
        1 to 7; wine 2.8 to 4.2.
    constant : {'customary', 'oiv', 'oiv thermodynamic'}
        pKa 1.81 (default, for water); OIV's pkT less the ionic term; pkT alone.
    abv, temperature_c : float or array
        Used by OIV's constants [% vol], [°C].

    Returns
    -------
    float or array
        Fraction.

    Raises
    ------
    ValueError
        If a scalar argument is impossible, or OIV's constant is asked without strength.

    Notes
    -----
    At 12 % vol and 20 °C OIV's constants give 1.4 times (with the ionic term) to 1.66 times
    (without) the customary share: by the customary one a wine gets 40 to 66 % more free sulphur
    dioxide than OIV's constant calls for.

    Examples
    --------
    >>> round(100 * molecular_fraction(3.4), 2)
    2.51
    """
    acidity = checked(ph, "ph", 1, 7)
    pk = _pk(constant, abv, temperature_c)
    return returned(1 / (1 + 10 ** (acidity - pk)), acidity, pk)


def molecular_so2(
    free_so2_mg_l: Numeric,
    ph: Numeric,
    constant: Constant = "customary",
    abv: Numeric | None = None,
    temperature_c: Numeric = 20.0,
) -> Numeric:
    """Return molecular sulphur dioxide [mg/L] from free [mg/L] and pH; see `molecular_fraction`.

    Examples
    --------
    >>> round(molecular_so2(28.0, 3.40), 2)
    0.7
    """
    free = checked(free_so2_mg_l, "free_so2_mg_l", 0, 2000, "mg/L")
    share = np.asarray(molecular_fraction(ph, constant, abv, temperature_c))
    return returned(free * share, free, share)


def free_so2_needed(
    ph: Numeric,
    molecular_mg_l: Numeric = MOLECULAR_TARGET_MG_L,
    constant: Constant = "customary",
    abv: Numeric | None = None,
    temperature_c: Numeric = 20.0,
) -> Numeric:
    """Return the free sulphur dioxide [mg/L] for a molecular target [mg/L] at a pH.

    Without a pH there is no answer: 35 mg/L free is 1.37 molecular at pH 3.2, 0.45 at pH 3.7.

    Examples
    --------
    >>> round(free_so2_needed(3.4, 0.8), 1)
    31.9
    """
    target = checked(molecular_mg_l, "molecular_mg_l", 0, 10, "mg/L")
    share = np.asarray(molecular_fraction(ph, constant, abv, temperature_c))
    return returned(target / share, target, share)


def sulphite_to_add(
    so2_mg_l: Numeric,
    volume_l: Numeric,
    salt: Salt = "potassium metabisulphite",
    strength: Numeric = 1.0,
) -> Numeric:
    """Return the powder that gives a dose of sulphur dioxide.

    Parameters
    ----------
    so2_mg_l : float or array
        Rise in *total* sulphur dioxide [mg/L], 0 to 2000; part of it soon binds.
    volume_l : float or array
        Wine [L].
    salt : str
        Potassium metabisulphite gives 0.576 g/g, the sodium salt 0.674.
    strength : float or array
        What is left of it: 1 fresh, less in an old packet; 0.3 to 1.

    Returns
    -------
    float or array
        Powder to weigh [g]. Under half a gram use a 10 % solution: `solution_ml`.

    Raises
    ------
    ValueError
        If a scalar argument is impossible or the salt is not known.

    Examples
    --------
    >>> round(sulphite_to_add(50.0, 3.785411784), 3)
    0.328
    """
    dose = checked(so2_mg_l, "so2_mg_l", 0, 2000, "mg/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    left = checked(strength, "strength", 0.3, 1)
    per_gram = 1000 * chosen(SO2_PER_GRAM, salt, "salt")
    return returned(dose * volume / (per_gram * left), dose, volume, left)


def so2_added(
    sulphite_g: Numeric,
    volume_l: Numeric,
    salt: Salt = "potassium metabisulphite",
    strength: Numeric = 1.0,
) -> Numeric:
    """Return the rise in total SO2 [mg/L] from a weight of powder; undoes `sulphite_to_add`.

    For tablets give count × weight of one; more than `SINGLE_DOSE_CAUTION_MG_L` at once is likely
    a dose meant for a larger vessel.
    """
    grams = checked(sulphite_g, "sulphite_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    left = checked(strength, "strength", 0.3, 1)
    per_gram = 1000 * chosen(SO2_PER_GRAM, salt, "salt")
    return returned(grams * per_gram * left / volume, grams, volume, left)


def solution_ml(powder_g: Numeric, grams_per_100_ml: Numeric = 10.0) -> Numeric:
    """Return the millilitres of a stock solution that hold a weight of powder [g]."""
    grams = checked(powder_g, "powder_g", 0, unit="g")
    strength = checked(grams_per_100_ml, "grams_per_100_ml", 0.1, 50, "g per 100 mL")
    return returned(100 * grams / strength, grams, strength)
