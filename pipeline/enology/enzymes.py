"""Enzymes: the temperatures they work at and the ones they do not survive.

References
----------
.. [1] The windows stand in data/reference/additives.csv, each with its source; a test keeps the two
   together. Inactivation temperatures are partly from memory.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned

Enzyme = Literal["pectic enzyme", "amylase", "glucoamylase"]


@dataclass(frozen=True)
class EnzymeWindow:
    """What an enzyme stands.

    Parameters
    ----------
    best_low_c, best_high_c : float
        Where it is fastest [°C].
    denatured_from_c : float
        Where it is destroyed [°C].
    ph_low, ph_high : float
        Where it works.
    note : str
    """

    best_low_c: float
    best_high_c: float
    denatured_from_c: float
    ph_low: float
    ph_high: float
    note: str


WINDOWS: dict[str, EnzymeWindow] = {
    "pectic enzyme": EnzymeWindow(
        45, 50, 60, 2.5, 5.5, "works at 15–20 °C in 12–24 h; weaker in alcohol, bound by bentonite"
    ),
    "amylase": EnzymeWindow(
        45, 55, 65, 4.0, 6.6, "before acid goes in; the starch must have been boiled"
    ),
    "glucoamylase": EnzymeWindow(
        55, 62, 70, 3.5, 5.0, "keeps making sugar: added late it ferments in the bottle"
    ),
}


def enzyme_window(enzyme: Enzyme) -> EnzymeWindow:
    """Return the window of an enzyme.

    Parameters
    ----------
    enzyme : {'pectic enzyme', 'amylase', 'glucoamylase'}

    Returns
    -------
    EnzymeWindow

    Raises
    ------
    ValueError
        If it is not known; the message lists the names.
    """
    if enzyme not in WINDOWS:
        raise ValueError(f"enzyme must be one of {', '.join(WINDOWS)}, got {enzyme!r}")
    return WINDOWS[enzyme]


def degrees_too_hot(temperature_c: Numeric, enzyme: Enzyme) -> Numeric:
    """Return by how many °C a must is above what the enzyme stands; 0 if it is not.

    Parameters
    ----------
    temperature_c : float or array
        Of the must [°C], 0 to 120.
    enzyme : {'pectic enzyme', 'amylase', 'glucoamylase'}

    Returns
    -------
    float or array
        [°C]; anything above 0 means the enzyme was destroyed as it went in.

    Raises
    ------
    ValueError
        If a scalar temperature or the enzyme is impossible.

    Examples
    --------
    >>> degrees_too_hot(80.0, "pectic enzyme")
    20.0
    """
    celsius = checked(temperature_c, "temperature_c", 0, 120, "°C")
    return returned(np.maximum(celsius - enzyme_window(enzyme).denatured_from_c, 0.0), celsius)
