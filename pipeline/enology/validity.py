"""Where each relation is sound: results outside are flagged here, never silently.

A function refuses what is *impossible*. What is possible but outside the range a relation was made
for it computes all the same; `is_valid` says so row by row, `doubts` in words.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pipeline.enology.arguments import Numeric


class Range(NamedTuple):
    """The sound range of one argument and where it comes from."""

    low: float
    high: float
    why: str


_SUCROSE_TABLE = "NBS C440 sucrose table"
_MUST = Range(1.030, 1.150, "Balling's balance was made for beer and wine musts")

VALID_RANGES: dict[str, dict[str, Range]] = {
    "brix_from_gravity": {"gravity": Range(1.0, 1.290, f"{_SUCROSE_TABLE}, 0–60 °Bx")},
    "gravity_from_brix": {"brix": Range(0, 60, _SUCROSE_TABLE)},
    "plato_from_gravity": {"gravity": Range(1.0, 1.083, "ASBC tables, 0–20 °P")},
    "sugar_from_gravity": {"gravity": Range(1.0, 1.290, _SUCROSE_TABLE)},
    "gravity_from_sugar": {"sugar_g_l": Range(0, 773, f"{_SUCROSE_TABLE}, 0–60 °Bx")},
    "water_density": {"temperature_c": Range(0, 40, "Tanaka et al. 2001")},
    "corrected_gravity": {
        "temperature_c": Range(5, 38, "above it the correction passes 6 points: cool and reread")
    },
    "gravity_from_refractometer": {"brix": Range(0, 60, "unfermented must only")},
    "gravity_from_fermented_refractometer": {
        "brix": Range(3, 25, "estimate checked between dry wine and fresh must"),
        "original_gravity": _MUST,
    },
    "alcohol_from_gravities": {"original_gravity": _MUST},
    "alcohol_linear": {"original_gravity": Range(1.030, 1.100, "low above 12 % vol")},
    "alcohol_points": {"original_gravity": Range(1.030, 1.120, "rule of thumb")},
    "alcohol_ratio": {"original_gravity": Range(1.030, 1.130, "runs away above 1.130")},
    "alcohol_balling": {"original_gravity": Range(1.030, 1.090, "coefficient made for beer")},
    "potential_alcohol": {"sugar_g_l": Range(0, 270, "few yeasts pass 16 % vol")},
    "dry_extract": {"abv": Range(0, 20, "OIV method for wine")},
    "real_attenuation": {"original_gravity": _MUST},
    "lowest_gravity": {"abv": Range(0, 18, "fermented, not fortified")},
    "residual_sugar": {"abv": Range(0, 18, "fermented, not fortified")},
    "nitrogen_needed_at_brix": {"brix": Range(21, 27, "Bisson & Butzke 2000, grape must")},
    "nitrogen_needed": {
        "original_gravity": Range(1.087, 1.115, "Bisson & Butzke 2000, 21–27 °Bx grape must")
    },
    "sulphite_pk": {"temperature_c": Range(20, 40, "OIV table starts at 20 °C")},
    "molecular_so2": {"ph": Range(2.8, 4.2, "wine")},
    "molecular_fraction": {"ph": Range(2.8, 4.2, "wine")},
    "free_so2_needed": {"ph": Range(2.8, 4.2, "wine")},
    "base_to_remove": {"drop_g_l": Range(0, 3, "more at once spoils the taste; common practice")},
    "sorbic_needed": {
        "abv": Range(8, 15, "table of strengths"),
        "ph": Range(2.9, 3.8, "wine"),
    },
    "bottle_overpressure": {
        "fermentable_sugar_g_l": Range(0, 30, "EU method, sparkling wine"),
        "temperature_c": Range(0, 35, "scaled with water"),
    },
}


def is_valid(relation: str, **arguments: Numeric) -> bool | NDArray[np.bool_]:
    """Return whether arguments lie where a relation is sound.

    Parameters
    ----------
    relation : str
        Name of the function.
    **arguments : float or array
        Its arguments by name; those without a limit may be left out.

    Returns
    -------
    bool or array of bool
        Unknown (NaN) counts as not sound.

    Raises
    ------
    ValueError
        If no ranges are known for the relation.

    Examples
    --------
    >>> is_valid("alcohol_ratio", original_gravity=1.09)
    True
    """
    sound = np.asarray(True)
    for name, allowed in _ranges(relation).items():
        if name in arguments:
            value = np.asarray(arguments[name], dtype=float)
            sound = sound & (value >= allowed.low) & (value <= allowed.high)
    return sound if sound.ndim else bool(sound)


def doubts(relation: str, **arguments: float) -> list[str]:
    """Return a sentence for each argument outside the range a relation is sound in.

    Parameters
    ----------
    relation : str
        Name of the function.
    **arguments : float
        Its arguments by name.

    Returns
    -------
    list of str
        Empty if all is well.

    Raises
    ------
    ValueError
        If no ranges are known for the relation.

    Examples
    --------
    >>> doubts("alcohol_ratio", original_gravity=1.14, final_gravity=1.0)
    ['original_gravity 1.14 is outside 1.03–1.13 (runs away above 1.130)']
    """
    return [
        f"{name} {arguments[name]:g} is outside {allowed.low:g}–{allowed.high:g} ({allowed.why})"
        for name, allowed in _ranges(relation).items()
        if name in arguments and not allowed.low <= arguments[name] <= allowed.high
    ]


def _ranges(relation: str) -> dict[str, Range]:
    if relation not in VALID_RANGES:
        raise ValueError(f"relation must be one of {', '.join(VALID_RANGES)}, got {relation!r}")
    return VALID_RANGES[relation]
