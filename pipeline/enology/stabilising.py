"""Sorbate: how much keeps yeast from starting again in a sweetened wine.

Sorbate needs free sulphite beside it (lactic bacteria turn it into a geranium smell), does not stop
an active fermentation and does nothing against bacteria.

References
----------
.. [1] COEI-1-POTSOR: potassium sorbate is 74.64 % sorbic acid (read); stoichiometry agrees.
.. [2] Sorbic acid by strength, 150 mg/L at 10 % vol and 25 less for each further per cent: Peynaud,
   Knowing and Making Wine (from memory). Amateur tables ask for 101 at 12 % and pH 3.4 and for 201
   at 10 % and pH 3.5: judgement, not chemistry.
.. [3] Only the undissociated acid works, pKa 4.76 (from memory).
.. [4] OIV and EU 200 mg/L sorbic acid; US 300; see `pipeline.enology.limits`.
"""

import numpy as np

from pipeline.enology.arguments import Numeric, checked, returned
from pipeline.enology.limits import limit
from pipeline.enology.substances import MOLAR_MASS

SORBIC_PER_SORBATE = MOLAR_MASS["sorbic acid"] / MOLAR_MASS["potassium sorbate"]  # [g/g] [1]
_PKA = 4.76  # [3]
_PH_OF_TABLE = 3.3  # [2] is for wines of about this pH; common practice
_LEAST_MG_L = 50.0


def sorbate_to_add(sorbic_mg_l: Numeric, volume_l: Numeric) -> Numeric:
    """Return the potassium sorbate for a dose of sorbic acid.

    Parameters
    ----------
    sorbic_mg_l : float or array
        Sorbic acid wanted [mg/L], 0 to 1000; the ceiling is 200 [4]_.
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        Potassium sorbate [g]. A teaspoon measure is 20 % uncertain: weigh.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(sorbate_to_add(200.0, 3.785411784), 3)
    1.014
    """
    dose = checked(sorbic_mg_l, "sorbic_mg_l", 0, 1000, "mg/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    return returned(dose * volume / (1000 * SORBIC_PER_SORBATE), dose, volume)


def sorbic_added(sorbate_g: Numeric, volume_l: Numeric) -> Numeric:
    """Return sorbic acid [mg/L] from a weight of potassium sorbate [g]; undoes `sorbate_to_add`.

    Parameters
    ----------
    sorbate_g : float or array
        Potassium sorbate [g].
    volume_l : float or array
        Wine [L].

    Returns
    -------
    float or array
        Sorbic acid [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(sorbate_g, "sorbate_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    return returned(1000 * SORBIC_PER_SORBATE * grams / volume, grams, volume)


def sorbic_needed(abv: Numeric, ph: Numeric = _PH_OF_TABLE) -> Numeric:
    """Return the sorbic acid that holds yeast back at a strength and pH.

    Parameters
    ----------
    abv : float or array
        Strength [% vol], 0 to 25.
    ph : float or array
        2 to 5.

    Returns
    -------
    float or array
        Sorbic acid [mg/L], 50 up to the ceiling of 200: a starting point for judgement, good to
        about a third. Where the ceiling is reached sorbate alone will not hold: keep it dry, or
        sweeten at the table.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(sorbic_needed(12.0))
    100
    """
    strength = checked(abv, "abv", 0, 25, "% vol")
    acidity = checked(ph, "ph", 2, 5)
    weaker = (1 + 10 ** (acidity - _PKA)) / (1 + 10 ** (_PH_OF_TABLE - _PKA))
    needed = (150 - 25 * (strength - 10)) * weaker
    return returned(np.clip(needed, _LEAST_MG_L, limit("sorbic acid oiv").value), strength, acidity)
