"""Taking acid out of a wine with carbonates.

References
----------
.. [1] Stoichiometry.
.. [2] Ribéreau-Gayon et al., Handbook of Enology vol. 2, deacidification (read).
"""

from typing import Literal

from pipeline.enology.acidity import GRAMS_PER_EQUIVALENT
from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import ATOMIC_WEIGHT, MOLAR_MASS

Base = Literal["potassium bicarbonate", "potassium carbonate", "calcium carbonate"]

_TARTARIC = GRAMS_PER_EQUIVALENT["tartaric"]
_BASE_EQUIVALENTS = {"potassium bicarbonate": 1, "potassium carbonate": 2, "calcium carbonate": 2}
TARTARIC_NEUTRALISED_PER_G = {  # [g TA as tartaric per g of base]
    base: count * _TARTARIC / MOLAR_MASS[base] for base, count in _BASE_EQUIVALENTS.items()
}
POTASSIUM_PER_BICARBONATE = ATOMIC_WEIGHT["K"] / MOLAR_MASS["potassium bicarbonate"]  # [g/g]

DEACIDIFICATION_STEP_G_L = 3.0  # most TA (as tartaric) to take out at once; common practice


def base_to_remove(
    drop_g_l: Numeric,
    volume_l: Numeric,
    base: Base = "potassium bicarbonate",
    *,
    is_tartrate_precipitating: bool = False,
) -> Numeric:
    """Return the weight of a carbonate that lowers titratable acidity.

    Parameters
    ----------
    drop_g_l : float or array
        Wanted drop [g/L as tartaric]; more than about 3 g/L at once spoils the taste
        (`DEACIDIFICATION_STEP_G_L`).
    volume_l : float or array
        Wine [L].
    base : {'potassium bicarbonate', 'potassium carbonate', 'calcium carbonate'}
    is_tartrate_precipitating : bool
        Only with potassium bicarbonate in a grape wine rich in tartaric acid: cream of tartar then
        falls out and takes as much acid again, so half the powder does. Off by default: in country
        wine the acids are citric and malic, nothing falls out, and the potassium (about 390 mg for
        each gram) stays in the wine.

    Returns
    -------
    float or array
        Carbonate to weigh [g].

    Raises
    ------
    ValueError
        If a scalar argument is impossible, the base is not known, or precipitation is asked of
        another base.

    Notes
    -----
    1.334 g/L potassium bicarbonate for 1 g/L of acid (as tartaric), 0.667 if tartrate falls out;
    trade advice of 0.67–0.9 means the latter. Calcium carbonate works to about 85 % of what the
    equation says on pH [2]_.

    Examples
    --------
    >>> round(base_to_remove(1.0, 1.0), 3)
    1.334
    """
    drop = checked(drop_g_l, "drop_g_l", 0, 50, "g/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    per_gram = chosen(TARTARIC_NEUTRALISED_PER_G, base, "base")
    if is_tartrate_precipitating:
        if base != "potassium bicarbonate":
            raise ValueError(
                f"is_tartrate_precipitating must be False for {base}, got True: "
                "only potassium bicarbonate counts twice"
            )
        per_gram *= 2
    return returned(drop * volume / per_gram, drop, volume)


def acidity_removed(base_g: Numeric, volume_l: Numeric, base: Base) -> Numeric:
    """Return the drop in titratable acidity [g/L as tartaric] from `base_g` grams of a carbonate.

    Counts neutralisation only; see `base_to_remove` for tartrate that falls out.

    Parameters
    ----------
    base_g : float or array
        Carbonate added [g].
    volume_l : float or array
        Wine [L].
    base : str
        Which carbonate.

    Returns
    -------
    float or array
        Drop [g/L as tartaric].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(base_g, "base_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    return returned(
        grams / volume * chosen(TARTARIC_NEUTRALISED_PER_G, base, "base"), grams, volume
    )
