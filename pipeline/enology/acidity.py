"""Titratable acidity: one basis to another, from a titration, acid to add.

References
----------
.. [1] Ribéreau-Gayon et al., Handbook of Enology vol. 1, acidity conversion table (read).

Taking acid out is in `pipeline.enology.deacidification`, ceilings in `pipeline.enology.limits`.
"""

from typing import Literal

from pipeline.enology.arguments import Numeric, checked, chosen, returned
from pipeline.enology.substances import MOLAR_MASS

Acid = Literal["tartaric", "malic", "citric", "sulphuric", "lactic", "acetic", "oxalic"]

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
    """Return an acidity [g/L as `acid`] in milliequivalents per litre [meq/L].

    Parameters
    ----------
    acid_g_l : float or array
        Acidity as `acid` [g/L], 0 to 500.
    acid : str
        The acid it is stated in.

    Returns
    -------
    float or array
        [meq/L]

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
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
    """Return the rise in titratable acidity [g/L as `stated_as`] from `acid_g` grams of acid.

    Parameters
    ----------
    acid_g : float or array
        Anhydrous acid added [g].
    volume_l : float or array
        Wine [L].
    added, stated_as : str
        The acid added, and the one the rise is stated in.

    Returns
    -------
    float or array
        Rise [g/L as `stated_as`].

    Raises
    ------
    ValueError
        If a scalar argument is impossible.
    """
    grams = checked(acid_g, "acid_g", 0, unit="g")
    volume = checked(volume_l, "volume_l", 1e-6, unit="L")
    factor = _equivalent(stated_as, "stated_as") / _equivalent(added, "added")
    return returned(grams / volume * factor, grams, volume)


def _equivalent(acid: str, argument: str) -> float:
    return chosen(GRAMS_PER_EQUIVALENT, acid, argument)
