"""Doses of sulphite: by weight, by stock solution, by tablet.

References
----------
.. [1] Stoichiometry; the OIV codex prints 53.3 % for potassium bisulphite (read). A university
   table of metabisulphite per gallon is 2.5 % lower: not followed.
"""

from typing import Literal

import numpy as np

from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import MOLAR_MASS

Salt = Literal["potassium metabisulphite", "sodium metabisulphite", "potassium bisulphite"]
SINGLE_DOSE_CAUTION_MG_L = 100.0  # one addition above this is likely a slip; common practice
SO2_PER_GRAM = {  # [g/g] fresh powder; an open packet loses some
    salt: count * MOLAR_MASS["sulphur dioxide"] / MOLAR_MASS[salt]
    for salt, count in {
        "potassium metabisulphite": 2,
        "sodium metabisulphite": 2,
        "potassium bisulphite": 1,
    }.items()
}
BOUND_FRACTION = 0.4  # share of a dose that binds within days, a third to a half; common practice


def so2_dose_for_free(
    free_so2_mg_l: Numeric,
    target_free_so2_mg_l: Numeric,
    bound_fraction: Numeric = BOUND_FRACTION,
) -> Numeric:
    """Return the dose that lifts free sulphur dioxide to a target, what binds counted in.

    Parameters
    ----------
    free_so2_mg_l, target_free_so2_mg_l : float or array
        Free sulphur dioxide now and wanted [mg/L], 0 to 2000.
    bound_fraction : float or array
        Share of the dose that binds, 0 to 0.9; more in a sweet or aldehydic wine: measure again
        after a few days.

    Returns
    -------
    float or array
        Rise in *total* sulphur dioxide [mg/L], for `sulphite_to_add`; 0 if there is enough.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(so2_dose_for_free(10.0, 32.0))
    37
    """
    free = checked(free_so2_mg_l, "free_so2_mg_l", 0, 2000, "mg/L")
    wanted = checked(target_free_so2_mg_l, "target_free_so2_mg_l", 0, 2000, "mg/L")
    bound = checked(bound_fraction, "bound_fraction", 0, 0.9)
    return returned(np.maximum(wanted - free, 0.0) / (1 - bound), free, wanted, bound)


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

    Parameters
    ----------
    sulphite_g : float or array
        Powder [g].
    volume_l : float or array
        Wine [L].
    salt, strength
        As in `sulphite_to_add`.

    Returns
    -------
    float or array
        Rise in total sulphur dioxide [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(sulphite_g, "sulphite_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    left = checked(strength, "strength", 0.3, 1)
    per_gram = 1000 * chosen(SO2_PER_GRAM, salt, "salt")
    return returned(grams * per_gram * left / volume, grams, volume, left)


def solution_ml(powder_g: Numeric, grams_per_100_ml: Numeric = 10.0) -> Numeric:
    """Return the millilitres of a stock solution that hold a weight of powder [g].

    Parameters
    ----------
    powder_g : float or array
        Powder wanted [g].
    grams_per_100_ml : float or array
        Strength of the solution, 0.1 to 50.

    Returns
    -------
    float or array
        Solution [mL].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(powder_g, "powder_g", 0, unit="g")
    strength = checked(grams_per_100_ml, "grams_per_100_ml", 0.1, 50, "g per 100 mL")
    return returned(100 * grams / strength, grams, strength)


def tablets_to_add(
    so2_mg_l: Numeric,
    volume_l: Numeric,
    tablet_g: Numeric,
    salt: Salt = "potassium metabisulphite",
) -> Numeric:
    """Return the tablets that give a dose of sulphur dioxide.

    Parameters
    ----------
    so2_mg_l : float or array
        Rise in total sulphur dioxide [mg/L], 0 to 2000.
    volume_l : float or array
        Wine [L].
    tablet_g : float or array
        Salt in one tablet [g], as its label says; makes differ, there is no default.
    salt : str
        Which salt.

    Returns
    -------
    float or array
        Tablets, fractions included: crush and weigh rather than break one.

    Raises
    ------
    ValueError
        If a scalar argument is impossible or the salt is not known.

    Examples
    --------
    >>> round(tablets_to_add(50.0, 4.546, 0.44), 1)
    0.9
    """
    weight = checked(tablet_g, "tablet_g", 0.01, 20, "g")
    grams = sulphite_to_add(so2_mg_l, volume_l, salt)
    dose, volume = checked(so2_mg_l, "so2_mg_l"), checked(volume_l, "volume_l")
    return returned(grams / weight, dose, volume, weight)
