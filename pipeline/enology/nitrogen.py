"""Nitrogen yeast needs, and what nutrients give.

References
----------
.. [1] Bisson & Butzke 2000, Am. J. Enol. Vitic. 51:168 (from memory; grape must, ± 25 mg/L): 200,
   250, 300, 350 mg N/L at 21, 23, 25, 27 °Bx.
.. [2] Least for a fermentation that finishes, 140 mg N/L: Bely, Sablayrolles & Barre 1990,
   J. Ferment. Bioeng. 70:246 (from memory).
.. [3] Yeasts of low and high demand, -25 % and +25 %: common practice, no source.

Ceilings for nutrients are in `pipeline.enology.limits`. Never urea: it makes ethyl carbamate.
"""

from typing import Literal

import numpy as np

from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import ATOMIC_WEIGHT, MOLAR_MASS
from pipeline.enology.sucrose import GRAVITY_RANGE, brix_from_gravity

NITROGEN_FLOOR_MG_L = 140.0  # [2]
DEMAND = {"low": 0.75, "medium": 1.0, "high": 1.25}  # [3]
NITROGEN_MG_PER_G = {  # [mg yeast-assimilable N per g], stoichiometry
    salt: 2000 * ATOMIC_WEIGHT["N"] / MOLAR_MASS[salt]
    for salt in ("diammonium phosphate", "ammonium sulphate", "urea")
}
DAP_NITROGEN_MG_PER_G = NITROGEN_MG_PER_G["diammonium phosphate"]
MIXED_NUTRIENT_MG_PER_G = 100.0  # label 80–130; from memory: read the label


def nitrogen_needed_at_brix(
    brix: Numeric, demand: Literal["low", "medium", "high"] = "medium"
) -> Numeric:
    """Return the yeast-assimilable nitrogen a must needs.

    Parameters
    ----------
    brix : float or array
        Of the must [°Bx], 0 to 78; the table behind it spans 21 to 27 [1]_.
    demand : {'low', 'medium', 'high'}
        Of the yeast strain [3]_.

    Returns
    -------
    float or array
        200 + 25 (B - 21) [mg N/L], times the demand, at least 140 [2]_; ± 25 at best.

    Raises
    ------
    ValueError
        If a scalar Brix or the demand is impossible.

    Examples
    --------
    >>> nitrogen_needed_at_brix(23.0)
    250.0
    """
    percent = checked(brix, "brix", 0, 78, "°Bx")
    needed = (200 + 25 * (percent - 21)) * chosen(DEMAND, demand, "demand")
    return returned(np.maximum(needed, NITROGEN_FLOOR_MG_L), percent)


def nitrogen_needed(
    original_gravity: Numeric, demand: Literal["low", "medium", "high"] = "medium"
) -> Numeric:
    """Return the nitrogen needed [mg N/L] by original gravity; see `nitrogen_needed_at_brix`.

    Parameters
    ----------
    original_gravity : float or array
        Of the must, 0.9 to 1.4.
    demand : {'low', 'medium', 'high'}
        Of the yeast strain.

    Returns
    -------
    float or array
        [mg N/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    gravity = checked(original_gravity, "original_gravity", *GRAVITY_RANGE)
    brix = np.maximum(brix_from_gravity(gravity), 0.0)
    return returned(np.asarray(nitrogen_needed_at_brix(brix, demand)), gravity)


def nitrogen_added(
    nutrient_g: Numeric, volume_l: Numeric, mg_per_g: Numeric = DAP_NITROGEN_MG_PER_G
) -> Numeric:
    """Return the nitrogen a nutrient gives.

    Parameters
    ----------
    nutrient_g : float or array
        Weight [g].
    volume_l : float or array
        Must [L].
    mg_per_g : float or array
        Its assimilable nitrogen [mg/g]: 212 for diammonium phosphate (commercial 180–212); mixed
        nutrients vary, take the label.

    Returns
    -------
    float or array
        Nitrogen [mg/L].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(nitrogen_added(3.0, 4.25))
    150
    """
    grams = checked(nutrient_g, "nutrient_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    content = checked(mg_per_g, "mg_per_g", 0, 500, "mg/g")
    return returned(grams * content / volume, grams, volume, content)


def nutrient_to_add(
    deficit_mg_l: Numeric, volume_l: Numeric, mg_per_g: Numeric = DAP_NITROGEN_MG_PER_G
) -> Numeric:
    """Return the nutrient [g] that makes up a nitrogen deficit [mg/L]; undoes `nitrogen_added`.

    The ceiling for diammonium phosphate (0.96 g/L, about 203 mg N/L) is `limit("ammonium phosphate
    us")`; add the last of it before a third of the sugar is gone.

    Parameters
    ----------
    deficit_mg_l : float or array
        Nitrogen wanting [mg N/L], 0 to 2000.
    volume_l : float or array
        Must [L].
    mg_per_g : float or array
        Nitrogen of the nutrient [mg/g].

    Returns
    -------
    float or array
        Nutrient [g].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(nutrient_to_add(100.0, 3.785411784), 2)
    1.78
    """
    deficit = checked(deficit_mg_l, "deficit_mg_l", 0, 2000, "mg/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    content = checked(mg_per_g, "mg_per_g", 1, 500, "mg/g")
    return returned(deficit * volume / content, deficit, volume, content)
