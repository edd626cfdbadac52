"""Units that makers write, and what each is in kilograms, litres, °C or g/L.

Notes
-----
The pound is 0.45359237 kg exactly and the US gallon 231 cubic inches, 3.785411784 L exactly (NIST
Handbook 44, appendix C); the imperial gallon is 4.54609 L exactly (UK Weights and Measures Act
1985, schedule 1). A quart, pint and cup are a quarter, an eighth and a sixteenth of *that* gallon;
the fluid ounce is 1/128 of the US and 1/160 of the imperial gallon. The teaspoon is a third of a
US tablespoon, 1/768 US gallon, whatever the gallon: kitchen spoons do not follow the jar.
"""

from typing import Literal, NamedTuple

from pipeline.enology.units import KG_PER_LB, L_PER_IMPERIAL_GALLON, L_PER_US_GALLON, LITRES

Dimension = Literal[
    "mass",
    "volume",
    "celsius",
    "fahrenheit",
    "brix",
    "gravity",
    "concentration",
    "percent",
    "count",
]

US_GALLON_L = L_PER_US_GALLON
IMPERIAL_GALLON_L = L_PER_IMPERIAL_GALLON
POUND_KG = KG_PER_LB
TEASPOON_L = LITRES["us teaspoon"]


class Unit(NamedTuple):
    """One unit; `us` and `imperial` are its size, and differ only where the gallon matters."""

    name: str
    dimension: Dimension
    us: float = 1.0
    imperial: float = 1.0

    @property
    def needs_gallon(self) -> bool:
        """Whether the unit has two sizes."""
        return self.us != self.imperial


def _same(name: str, dimension: Dimension, size: float = 1.0) -> Unit:
    return Unit(name, dimension, size, size)


def _of_gallon(name: str, us_parts: int, imperial_parts: int) -> Unit:
    return Unit(name, "volume", US_GALLON_L / us_parts, IMPERIAL_GALLON_L / imperial_parts)


UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        _same("kg", "mass"),
        _same("g", "mass", 1e-3),
        _same("mg", "mass", 1e-6),
        _same("lb", "mass", POUND_KG),
        _same("oz", "mass", POUND_KG / 16),
        _same("L", "volume"),
        _same("mL", "volume", 1e-3),
        _same("cL", "volume", 1e-2),
        _same("hL", "volume", 1e2),
        _of_gallon("gal", 1, 1),
        _of_gallon("qt", 4, 4),
        _of_gallon("pt", 8, 8),
        _of_gallon("cup", 16, 16),
        _of_gallon("floz", 128, 160),
        _same("tsp", "volume", TEASPOON_L),
        _same("tbsp", "volume", 3 * TEASPOON_L),
        _same("C", "celsius"),
        _same("F", "fahrenheit"),
        _same("Bx", "brix"),
        _same("SG", "gravity"),
        _same("g/L", "concentration"),
        _same("mg/L", "concentration", 1e-3),
        # One part per million of a liquid as light as wine is one milligram per litre.
        _same("ppm", "concentration", 1e-3),
        # Acidity and sugar in per cent are grams per 100 mL.
        _same("%", "percent", 10.0),
        _same("packet", "count"),
        _same("tablet", "count"),
    )
}
SPOONS = frozenset({"tsp", "tbsp"})

_SPELLINGS: dict[str, str] = {
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes",
    "g": "g gm gms gram grams gramme grammes",
    "mg": "mg mgs milligram milligrams milligramme milligrammes",
    "lb": "lb lbs pound pounds",
    "oz": "oz ozs ounce ounces",
    "L": "l ls litre litres liter liters ltr ltrs",
    "mL": "ml mls millilitre millilitres milliliter milliliters",
    "cL": "cl cls centilitre centilitres centiliter centiliters",
    "hL": "hl hls hectolitre hectolitres hectoliter hectoliters",
    "gal": "gal gals gallon gallons",
    "qt": "qt qts quart quarts",
    "pt": "pt pts pint pints",
    "cup": "cup cups",
    "floz": "floz flozs fl_oz fl_ozs fluid_oz fluid_ounce fluid_ounces fl_ounce fl_ounces",
    "tsp": "tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls tea_spoon tea_spoons",
    "tbsp": "tbsp tbsps tbs tablespoon tablespoons tablespoonful tablespoonfuls table_spoon",
    "C": "c °c º_c °_c deg_c degree_c degrees_c degc celsius centigrade °celsius degrees_celsius ℃",
    "F": "f °f º_f °_f deg_f degree_f degrees_f degf fahrenheit °fahrenheit degrees_fahrenheit ℉",
    "Bx": "bx brix °bx °_bx °brix °_brix deg_brix degrees_brix deg_bx degrees_bx",
    "SG": "sg",
    "g/L": "g/l g_/_l g_per_l g_per_litre g_per_liter gram/litre grams/litre grams/liter "
    "grams_per_litre grams_per_liter grams_per_l gram_per_litre",
    "mg/L": "mg/l mg_/_l mg_per_l mg_per_litre mg_per_liter milligrams_per_litre "
    "milligrams_per_liter milligrams/litre",
    "ppm": "ppm ppms parts_per_million",
    "%": "% percent per_cent",
    "packet": "packet packets pkt pkts pack packs sachet sachets",
    "tablet": "tablet tablets tab tabs",
}
UNIT_NAMES: dict[str, str] = {
    spelling.replace("_", " "): name
    for name, spellings in _SPELLINGS.items()
    for spelling in spellings.split()
}
_COUNTRIES = {
    "us": "us",
    "usa": "us",
    "american": "us",
    "imp": "imperial",
    "imperial": "imperial",
    "uk": "imperial",
    "british": "imperial",
}


def find_unit(text: str) -> Unit | None:
    """Return the unit that a text names, or None.

    Parameters
    ----------
    text : str
        As written: any case, with or without full stops, singular or plural, spelled out or
        short, with a country for the gallon family ("us gal", "gallon (Imp)").
    """
    plain = text.lower().replace(".", "").replace("º", "°").replace("(", " ").replace(")", " ")
    words = plain.split()
    if (name := UNIT_NAMES.get(" ".join(words))) is not None:
        return UNITS[name]
    countries = {_COUNTRIES[word] for word in words if word in _COUNTRIES}
    name = UNIT_NAMES.get(" ".join(word for word in words if word not in _COUNTRIES))
    if name is None or len(countries) != 1 or not UNITS[name].needs_gallon:
        return None
    unit = UNITS[name]
    size = unit.us if "us" in countries else unit.imperial
    return unit._replace(us=size, imperial=size)
