"""Sulphur dioxide: how much of it protects at a pH, and what doses give (`sulphite_doses`).

Asthmatics and people sensitive to sulphite must be told: label the wine. Powder and fumes irritate.

References
----------
.. [1] pKa 1.81 in water, customary in wine making; too low for wine, so it calls for *more*
   sulphite than OIV's constant does.
.. [2] OIV-MA-AS323-04C, see `pipeline.enology.sulphite_constant`.
.. [3] Ionic strength 0.038 lowers pkT by about 0.08 (Debye–Hückel, same method).
.. [4] Waterhouse, Sacks & Jeffery, Understanding Wine Chemistry, Table 17.1: 0.6–0.8 mg/L molecular
   (read); 2 mg/L stings.

Ceilings for total sulphur dioxide are in `pipeline.enology.limits`.
"""

from typing import Literal

import numpy as np

from pipeline.enology.arguments import Array, Numeric, checked, chosen, returned
from pipeline.enology.sulphite_constant import sulphite_pk
from pipeline.enology.sulphite_doses import (
    SINGLE_DOSE_CAUTION_MG_L,
    SO2_PER_GRAM,
    so2_added,
    so2_dose_for_free,
    solution_ml,
    sulphite_to_add,
    tablets_to_add,
)

__all__ = [
    "IONIC_TERM",
    "MOLECULAR_TARGET_MG_L",
    "PKA_CUSTOMARY",
    "SINGLE_DOSE_CAUTION_MG_L",
    "SO2_PER_GRAM",
    "free_so2_needed",
    "molecular_fraction",
    "molecular_so2",
    "so2_added",
    "so2_dose_for_free",
    "solution_ml",
    "sulphite_pk",
    "sulphite_to_add",
    "tablets_to_add",
]

PKA_CUSTOMARY = 1.81  # [1]
IONIC_TERM = 0.08  # [3]
MOLECULAR_TARGET_MG_L = 0.8  # [4]
Constant = Literal["customary", "oiv", "oiv thermodynamic"]
_CONSTANTS = {"customary": 0.0, "oiv": IONIC_TERM, "oiv thermodynamic": 0.0}


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

    Parameters
    ----------
    free_so2_mg_l : float or array
        Free sulphur dioxide [mg/L], 0 to 2000.
    ph, constant, abv, temperature_c
        As in `molecular_fraction`.

    Returns
    -------
    float or array
        Molecular sulphur dioxide [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

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

    Parameters
    ----------
    ph, constant, abv, temperature_c
        As in `molecular_fraction`.
    molecular_mg_l : float or array
        Wanted molecular sulphur dioxide [mg/L], 0 to 10.

    Returns
    -------
    float or array
        Free sulphur dioxide [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(free_so2_needed(3.4, 0.8), 1)
    31.9
    """
    target = checked(molecular_mg_l, "molecular_mg_l", 0, 10, "mg/L")
    share = np.asarray(molecular_fraction(ph, constant, abv, temperature_c))
    return returned(target / share, target, share)
