"""Titratable acidity: one basis to another, from a titration, acid to add and to take away.

References
----------
.. [1] Ribéreau-Gayon et al., Handbook of Enology vol. 1, acidity conversion table (read).
.. [2] Ribéreau-Gayon et al., Handbook of Enology vol. 2, deacidification (read).

Ceilings for acid are in `pipeline.enology.limits`.
"""

from typing import Literal

from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import ATOMIC_WEIGHT, MOLAR_MASS

Acid = Literal["tartaric", "malic", "citric", "sulphuric", "lactic", "acetic", "oxalic"]
Base = Literal["potassium bicarbonate", "potassium carbonate", "calcium carbonate"]

_PROTONS = {
    "tartaric": 2,
    "malic": 2,
    "citric": 3,
    "sulphuric": 2,
    "lactic": 1,
    "acetic": 1,
    "oxalic": 2,
}
GRAMS_PER_EQUIVALENT = {  # [g/eq]
    name: MOLAR_MASS[f"{name} acid"] / protons for name, protons in _PROTONS.items()
}
_TARTARIC = GRAMS_PER_EQUIVALENT["tartaric"]
_BASE_EQUIVALENTS = {"potassium bicarbonate": 1, "potassium carbonate": 2, "calcium carbonate": 2}
TARTARIC_NEUTRALISED_PER_G = {  # [g TA as tartaric per g of base]
    base: count * _TARTARIC / MOLAR_MASS[base] for base, count in _BASE_EQUIVALENTS.items()
}
POTASSIUM_PER_BICARBONATE = ATOMIC_WEIGHT["K"] / MOLAR_MASS["potassium bicarbonate"]  # [g/g]

DEACIDIFICATION_STEP_G_L = 3.0  # most TA (as tartaric) to take out at once; common practice


def convert_acidity(acid_g_l: Numeric, from_acid: Acid, to_acid: Acid = "tartaric") -> Numeric:
    """Express an acidity in another acid.

    Parameters
    ----------
    acid_g_l : float or array
        Acidity as `from_acid` [g/L].
    from_acid, to_acid : {'tartaric', 'malic', 'citric', 'sulphuric', 'lactic', 'acetic', 'oxalic'}
        The acid a figure is stated in: books differ (France: sulphuric), so always say which.

    Returns
    -------
    float or array
        The same acidity as `to_acid` [g/L].

    Raises
    ------
    ValueError
        If a scalar acidity is negative or an acid is not known.

    Examples
    --------
    >>> round(convert_acidity(1.0, "tartaric", "sulphuric"), 2)
    0.65

    References
    ----------
    Handbook of Enology vol. 1 [1]_: tartaric × 0.65 = sulphuric.
    """
    acid = checked(acid_g_l, "acid_g_l", 0, 500, "g/L")
    factor = _equivalent(to_acid, "to_acid") / _equivalent(from_acid, "from_acid")
    return returned(acid * factor, acid)


def milliequivalents(acid_g_l: Numeric, acid: Acid = "tartaric") -> Numeric:
    """Return an acidity [g/L as `acid`] in milliequivalents per litre [meq/L]."""
    grams = checked(acid_g_l, "acid_g_l", 0, 500, "g/L")
    return returned(1000 * grams / _equivalent(acid, "acid"), grams)


def acidity_from_titration(
    base_ml: Numeric, base_normality: Numeric, sample_ml: Numeric, acid: Acid = "tartaric"
) -> Numeric:
    """Return titratable acidity from a titration with sodium hydroxide.

    Parameters
    ----------
    base_ml : float or array
        Hydroxide used up [mL]. Hydroxide is caustic; old solution reads high.
    base_normality : float or array
        Its normality [eq/L]; without it there is no answer.
    sample_ml : float or array
        Wine taken [mL].
    acid : str
        The acid to state it in.

    Returns
    -------
    float or array
        Titratable acidity [g/L as `acid`].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(acidity_from_titration(12, 0.1, 15), 1)
    6.0
    """
    base = checked(base_ml, "base_ml", 0, 1000, "mL")
    normality = checked(base_normality, "base_normality", 1e-4, 20, "eq/L")
    sample = checked(sample_ml, "sample_ml", 0.01, 10000, "mL")
    return returned(_equivalent(acid, "acid") * base * normality / sample, base, normality, sample)


def acid_to_add(
    rise_g_l: Numeric, volume_l: Numeric, with_acid: Acid = "tartaric", stated_as: Acid = "tartaric"
) -> Numeric:
    """Return the weight of acid that raises titratable acidity.

    Parameters
    ----------
    rise_g_l : float or array
        Wanted rise [g/L as `stated_as`].
    volume_l : float or array
        Wine [L].
    with_acid, stated_as : str
        The (anhydrous) acid added, and the acid the rise is stated in.

    Returns
    -------
    float or array
        Acid to weigh [g]. The pH it gives cannot be foretold from the acidity: measure it.

    Raises
    ------
    ValueError
        If a scalar argument is impossible.

    Examples
    --------
    >>> round(acid_to_add(1.0, 3.785, "citric"), 2)
    3.23
    """
    rise = checked(rise_g_l, "rise_g_l", 0, 100, "g/L")
    volume = checked(volume_l, "volume_l", 0, unit="L")
    factor = _equivalent(with_acid, "with_acid") / _equivalent(stated_as, "stated_as")
    return returned(rise * volume * factor, rise, volume)


def acidity_from_addition(
    acid_g: Numeric, volume_l: Numeric, added: Acid, stated_as: Acid = "tartaric"
) -> Numeric:
    """Return the rise in titratable acidity [g/L as `stated_as`] from `acid_g` grams of acid."""
    grams = checked(acid_g, "acid_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    factor = _equivalent(stated_as, "stated_as") / _equivalent(added, "added")
    return returned(grams / volume * factor, grams, volume)


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
    """
    grams = checked(base_g, "base_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    return returned(
        grams / volume * chosen(TARTARIC_NEUTRALISED_PER_G, base, "base"), grams, volume
    )


def _equivalent(acid: str, argument: str) -> float:
    return chosen(GRAMS_PER_EQUIVALENT, acid, argument)
