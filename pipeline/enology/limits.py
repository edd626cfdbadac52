"""Legal limits, each with the rule it comes from; check your local rules.

They bind commercial makers; for a home maker they are sensible ceilings. Fruit wine often falls
under national rules that differ.
"""

from dataclasses import dataclass
from typing import Literal

Provenance = Literal["read", "from memory"]
CHECK_LOCALLY = "check your local rules"


@dataclass(frozen=True)
class Limit:
    """A number from a rule.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
    rule : str
        Where it stands.
    provenance : {'read', 'from memory'}
        Whether the number was re-read in the source.
    note : str
        What it applies to.
    """

    value: float
    unit: str
    rule: str
    provenance: Provenance
    note: str = ""

    def sentence(self) -> str:
        """Return the limit in words, for people."""
        note = f" ({self.note})" if self.note else ""
        return f"{self.value:g} {self.unit} by {self.rule}{note}; {CHECK_LOCALLY}"


_CFR_NUTRIENT = "27 CFR 24.246"
_EU = "Regulation (EU) 2019/934 Annex I"
_OIV = "OIV Code of Oenological Practices"

LIMITS = {
    # sulphite
    "total so2 us": Limit(350, "mg/L", "27 CFR 4.22(b)(1)", "read", "total, finished wine"),
    "total so2 eu red dry": Limit(150, "mg/L", f"{_EU} B", "read", "grape wine, red, under 5 g/L"),
    "total so2 eu white dry": Limit(
        200, "mg/L", f"{_EU} B", "read", "grape wine, white or rosé, under 5 g/L"
    ),
    "total so2 eu red sweet": Limit(200, "mg/L", f"{_EU} B", "read", "grape wine, red, from 5 g/L"),
    "total so2 eu white sweet": Limit(
        250, "mg/L", f"{_EU} B", "read", "grape wine, white or rosé, from 5 g/L"
    ),
    "total so2 eu fruit": Limit(
        200, "mg/L", "Regulation (EC) 1333/2008 cat. 14.2.4", "from memory", "fruit wine"
    ),
    "sulphite declaration us": Limit(10, "mg/L", "27 CFR 4.32(e)", "from memory", "on the label"),
    # sorbate
    "sorbic acid oiv": Limit(200, "mg/L", "OIV Code II.3.4.5 and EU 2019/934", "read"),
    "sorbic acid us": Limit(300, "mg/L", _CFR_NUTRIENT, "from memory"),
    # nutrients
    "ammonium phosphate us": Limit(
        0.96, "g/L", f"{_CFR_NUTRIENT}, 8 lb/1000 gal", "from memory", "diammonium phosphate"
    ),
    "ammonium salts eu": Limit(
        1.0, "g/L", "Regulation (EC) 606/2009 Annex I A note b", "read", "all ammonium salts"
    ),
    "ammonium sulphate oiv": Limit(0.3, "g/L", f"{_OIV}, Annex", "read"),
    "thiamine us": Limit(0.6, "mg/L", f"{_CFR_NUTRIENT}, 0.005 lb/1000 gal", "from memory"),
    # acid
    "acidification oiv": Limit(54, "meq/L", f"{_OIV}, Annex", "read", "4 g/L as tartaric"),
    "fixed acid us": Limit(9.0, "g/L", "27 CFR 24.182", "from memory", "after adding acid"),
    "fixed acid floor us": Limit(5.0, "g/L", "27 CFR 24.178", "read", "not ameliorated below"),
    "amelioration step us": Limit(
        0.1, "g/L fixed acid", "27 CFR 24.178", "read", "counted for each 20 gal in 1000 gal"
    ),
    "amelioration us": Limit(
        35, "% of the volume", "27 CFR 24.178", "read", "water and sugar together, sour fruit"
    ),
    "citric acid oiv": Limit(
        1.0, "g/L", "OIV-MA-C1-01", "read", "grape wine; many berries exceed it by nature"
    ),
    "volatile acidity us": Limit(1.4, "g/L as acetic", "27 CFR 4.21", "read", "red or fruit wine"),
    "volatile acidity oiv": Limit(20, "meq/L", "OIV-MA-C1-01", "read", "1.2 g/L as acetic"),
    "calcium carbonate us": Limit(
        3.59, "g/L", f"{_CFR_NUTRIENT}, 30 lb/1000 gal", "from memory", "chalk"
    ),
    # the rest
    "tannin us red": Limit(
        3.0, "g/L as gallic acid", _CFR_NUTRIENT, "from memory", "red, after adding"
    ),
    "tannin us white": Limit(
        0.8, "g/L as gallic acid", _CFR_NUTRIENT, "from memory", "white, after adding"
    ),
    "alcohol us fruit": Limit(
        14, "% vol", "26 USC 5384(a)", "read", "natural fruit wine after sweetening"
    ),
    "solids us fruit": Limit(21, "% mass", "26 USC 5384(a)", "read", "natural fruit wine"),
    "still wine co2 us": Limit(3.92, "g/L", "27 CFR 26.222(a), 26 USC 5041", "read", "still wine"),
    "sparkling eu": Limit(
        3.0, "bar", "Regulation (EU) 1308/2013 Annex VII", "read", "least for sparkling wine"
    ),
    "methanol oiv red": Limit(400, "mg/L", "OIV-MA-C1-01", "read", "red wine"),
    "methanol oiv white": Limit(250, "mg/L", "OIV-MA-C1-01", "read", "white and rosé wine"),
    "home wine us one adult": Limit(
        100, "US gal a year", "27 CFR 24.75(b)(2)", "read", "one adult; not for sale"
    ),
    "home wine us two adults": Limit(
        200, "US gal a year", "27 CFR 24.75(b)(1)", "read", "two or more adults; not for sale"
    ),
    "cyanide efsa": Limit(
        20, "µg per kg body weight", "EFSA Journal 2016 14(4):4424", "read", "acute reference dose"
    ),
}


def limit(name: str) -> Limit:
    """Return a limit by name.

    Parameters
    ----------
    name : str
        A key of `LIMITS`.

    Returns
    -------
    Limit

    Raises
    ------
    ValueError
        If there is none of that name; the message lists them.

    Examples
    --------
    >>> limit("total so2 us").sentence()
    '350 mg/L by 27 CFR 4.22(b)(1) (total, finished wine); check your local rules'
    """
    if name not in LIMITS:
        raise ValueError(f"name must be one of {', '.join(LIMITS)}, got {name!r}")
    return LIMITS[name]


def so2_limit_eu(sugar_g_l: float, *, is_red: bool) -> Limit:
    """Return the EU ceiling for total SO2 in a grape wine of this sweetness and colour.

    Parameters
    ----------
    sugar_g_l : float
        Residual sugar [g/L]; 5 and more counts as sweet.
    is_red : bool

    Returns
    -------
    Limit
    """
    colour = "red" if is_red else "white"
    return limit(f"total so2 eu {colour} {'sweet' if sugar_g_l >= 5 else 'dry'}")
