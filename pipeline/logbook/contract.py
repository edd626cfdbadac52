"""The logbook contract as data: which files there are, their columns, and what a cell may hold.

Everything that must agree with it is made from it: how cells are read, the pandera schemas, the
empty logbook and the data package for other programs.
"""

from typing import Literal, NamedTuple

CellKind = Literal[
    "text",
    "id",
    "name",
    "day",
    "moment",
    "choice",
    "form",
    "yes_no",
    "faults",
    "number",
    "score",
    "volume",
    "amount",
    "gravity",
    "temperature",
    "acidity",
    "sulphite",
    "sugar",
]


class Column(NamedTuple):
    """One column of a file.

    `low` and `high` bound a bare number; `is_above` says that `low` itself is out.
    """

    name: str
    kind: CellKind
    meaning: str
    is_required: bool = False
    choices: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    is_above: bool = False


KINDS = (
    "fruit",
    "juice",
    "water",
    "sugar",
    "honey",
    "acid",
    "tannin",
    "nutrient",
    "enzyme",
    "yeast",
    "sulphite",
    "sorbate",
    "fining",
    "base",
    "other",
)
FORMS = ("whole", "sliced", "crushed", "pureed", "pressed", "dried")
EXTRACTIONS = ("cold", "hot", "steamed", "simmered", "juice")
STATUSES = ("fermenting", "ageing", "bottled", "lost")
STEPS = ("strain", "rack", "chill", "bottle")
FAULTS = (
    "oxidised",
    "sulphury",
    "yeasty",
    "vinegary",
    "mousy",
    "cooked",
    "green",
    "hazy",
    "refermenting",
    "other",
)
INTENSITIES = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")
GALLONS = ("us", "imperial")


def _text(name: str, meaning: str) -> Column:
    return Column(name, "text", meaning)


def _choice(
    name: str, meaning: str, choices: tuple[str, ...], *, is_required: bool = False
) -> Column:
    return Column(name, "choice", meaning, is_required, choices)


_BATCH_ID = Column("batch_id", "id", "the batch it belongs to", is_required=True)
_NOTES = _text("notes", "free text")
_KIND = _choice("kind", "what sort of thing went in", KINDS, is_required=True)
_INGREDIENT = Column(
    "ingredient", "name", "what it is, e.g. damson, white sugar, citric acid", is_required=True
)
_AMOUNT = Column(
    "amount",
    "amount",
    "how much: number and unit, e.g. 4.5 lb, 1 lb 14 oz, 1/2 tsp; for water also 'to 1 gal'",
    is_required=True,
)
_FRUIT_ONLY = (
    Column(
        "form", "form", "fruit only: how it was prepared; add 'frozen' after a space", choices=FORMS
    ),
    _choice("skins", "fruit only: skins on or off", ("on", "off")),
    _choice("ripeness", "fruit only: how ripe it was", ("under", "ripe", "over")),
)
_COST = Column("cost", "number", "money paid for this amount, a bare number", low=0)
_GALLON = _choice("gallon", "which gallon this batch is written in", GALLONS)
_TARGET = Column("target_volume", "volume", "finished wine aimed at, e.g. 1 gal or 4.5 L")

FILES: dict[str, tuple[Column, ...]] = {
    "batches": (
        Column("batch_id", "id", "a name no other batch has, e.g. 2026-07", is_required=True),
        _text("name", "free text"),
        Column("started_on", "day", "the day the must was put together", is_required=True),
        Column("recipe", "name", "the recipe it follows; batches that share it are repeats"),
        Column("yeast", "name", "strain as the maker calls it"),
        _TARGET,
        _GALLON,
        _choice("extraction", "how the fruit was drawn out", EXTRACTIONS),
        _choice("status", "where the batch stands; worked out if left empty", STATUSES),
        _NOTES,
    ),
    "additions": (
        _BATCH_ID,
        Column("added_on", "moment", "day, or day and time", is_required=True),
        _KIND,
        _INGREDIENT,
        _AMOUNT,
        *_FRUIT_ONLY,
        Column("removed_on", "day", "fruit only: the day the solids came out"),
        _COST,
        _NOTES,
    ),
    "readings": (
        _BATCH_ID,
        Column("taken_on", "moment", "day, or day and time", is_required=True),
        Column("gravity", "gravity", "specific gravity 20/20, e.g. 1.082, or Brix, e.g. 22.5 Bx"),
        _choice("instrument", "what gravity was read with", ("hydrometer", "refractometer")),
        Column("temperature", "temperature", "of the sample, e.g. 68 F or 20 C", low=-10, high=100),
        Column("must_temperature", "temperature", "of the fermenting must", low=-10, high=100),
        Column("ph", "number", "a bare number", low=2, high=5),
        Column("ta", "acidity", "titratable acidity; a bare number is g/L", low=0, high=40),
        _choice(
            "ta_as",
            "the acid it is expressed as; tartaric if empty",
            ("tartaric", "malic", "citric", "sulphuric"),
        ),
        Column(
            "free_so2", "sulphite", "free sulphur dioxide; a bare number is mg/L", low=0, high=2000
        ),
        Column("volume", "volume", "how much is in the vessel now"),
        _NOTES,
    ),
    "transfers": (
        _BATCH_ID,
        Column("moved_on", "moment", "day, or day and time", is_required=True),
        _choice("step", "what was done", STEPS, is_required=True),
        _choice("pressed", "with strain: how hard", ("drained", "squeezed", "pressed")),
        Column("volume_after", "volume", "wine after the step, before any topping up"),
        Column("topped_up", "volume", "volume added after the step"),
        _choice("topped_up_with", "what it was topped up with", ("water", "wine", "juice")),
        Column("bottles", "number", "with bottle: number of bottles filled", low=0, is_above=True),
        _NOTES,
    ),
    "tastings": (
        _BATCH_ID,
        Column("tasted_on", "day", "the day it was tasted", is_required=True),
        Column("taster", "name", "a name or initials", is_required=True),
        Column(
            "sweetened_to",
            "sugar",
            "sugar of the glass if some was stirred in, g/L; empty = as it is",
            low=0,
            high=400,
        ),
        Column("blind", "yes_no", "whether the taster did not know which wine it was"),
        *(
            Column(name, "number", "0 none to 10 very strong", low=0, high=10)
            for name in INTENSITIES
        ),
        Column("score", "score", "overall quality, on the logbook's one scale", low=0),
        Column("faults", "faults", "list separated by ;", choices=FAULTS),
        _NOTES,
    ),
    "recipes": (
        Column("recipe", "name", "the recipe this line belongs to", is_required=True),
        Column("day", "number", "day after the start; 0 = at the start", True, (), 0, 3650),
        _KIND,
        _INGREDIENT,
        _AMOUNT,
        *_FRUIT_ONLY,
        Column(
            "removed_day", "number", "fruit only: the day the solids come out", low=0, high=3650
        ),
        _COST,
        _NOTES,
        Column("yeast", "name", "strain as the maker calls it"),
        _TARGET,
        Column("ferment_temperature", "temperature", "of the fermenting must", low=-10, high=100),
        Column("sweeten_to", "sugar", "sugar it is to be sweetened to, g/L", low=0, high=400),
        _GALLON,
        Column("rackings", "number", "how often it is racked", low=0, high=20),
        Column("taste_day", "number", "age at tasting in days", low=0, high=36500),
    ),
}
REQUIRED_FILES = ("batches", "additions")
# On any one line of a recipe; they hold for all its lines.
RECIPE_WIDE = (
    "yeast",
    "target_volume",
    "ferment_temperature",
    "sweeten_to",
    "gallon",
    "rackings",
    "taste_day",
)


def column_names(name: str) -> tuple[str, ...]:
    """Return the column names of a file, in the order the contract lists them."""
    return tuple(column.name for column in FILES[name])
