"""What simulated makers choose from: fruits, yeasts and tasters.

Sugar, acid and starch of a fruit come from the reference table; how it behaves in the vessel is
invented for the simulator and in nobody's reference table, so models cannot know it beforehand.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

REFERENCE = Path(__file__).parents[2] / "data" / "reference" / "fruit.csv"

YEASTS = (
    "Lantern", "Millrace", "Hobnail", "Wherry", "Tollgate", "Dovecote", "Sexton", "Nightjar",
)  # fmt: skip
TASTERS = ("Ada", "Bo", "Cass", "Dov", "Ede", "Fen", "Gil", "Hana")
FORMS = ("whole", "sliced", "crushed", "pureed")
RIPENESS = ("under", "ripe", "over")
PRESSED = ("drained", "squeezed", "pressed")
EXTRACTIONS = ("cold", "hot", "steamed", "simmered")
MADE = ("to_mark", "on_top", "measured")


@dataclass(frozen=True)
class FruitKind:
    """How one fruit behaves; all invented but the composition.

    ``juice_l_kg`` [L/kg] is what its cells could release, ``hold_l_kg`` [L/kg] what its drained
    pulp keeps back, ``half_days`` [days] the time to release half when sliced, ``load_kg_l``
    [kg/L] a usual recipe.
    """

    name: str
    juice_l_kg: float
    hold_l_kg: float
    half_days: float
    tannin_class: int
    skins: float
    months: tuple[int, int]
    load_kg_l: float
    form: str
    sugar_g_kg: float = 0.0
    acid_g_kg: float = 0.0
    starch_g_kg: float = 0.0


# name, reference row, juice, hold, half days, tannin class, share with skins, months, load, form
_TABLE = """
apple apple .82 .24 2.6 1 .7 9-11 .50 sliced
apricot apricot .80 .26 2.0 1 .9 7-8 .36 sliced
banana banana .70 .74 3.4 1 .2 1-12 .40 sliced
blackberry blackberry .86 .17 1.4 2 1 8-9 .42 crushed
blackcurrant blackcurrant .80 .20 1.8 2 1 7-7 .32 crushed
bilberry blueberry .82 .20 2.0 2 1 8-8 .36 crushed
bullace plum .78 .23 2.6 2 .9 9-10 .40 whole
carrot carrot .72 .34 4.0 0 .3 1-12 .45 sliced
cherry cherry_sweet .80 .20 1.8 1 .95 6-7 .42 whole
sour+cherry cherry_sour .82 .19 1.7 1 .95 7-7 .42 whole
cranberry cranberry .80 .24 2.4 2 1 10-12 .32 crushed
damson plum .77 .25 2.6 2 .9 9-10 .40 whole
dandelion dandelion_flower .20 .45 .9 0 0 4-5 .06 whole
elderberry elderberry .78 .20 1.8 3 1 9-9 .34 crushed
elderflower elderflower .20 .45 .9 0 0 6-6 .03 whole
gooseberry gooseberry .83 .19 2.2 1 .95 6-7 .40 crushed
greengage plum .80 .22 2.2 1 .9 8-8 .42 sliced
loganberry loganberry .84 .16 1.4 1 1 7-8 .38 crushed
orange orange .78 .30 1.5 0 .1 12-3 .45 sliced
parsnip parsnip .66 .42 4.2 0 .2 11-2 .44 sliced
peach peach .82 .24 1.8 1 .7 7-8 .42 sliced
pear pear .80 .25 2.4 1 .6 9-10 .46 sliced
pineapple pineapple .80 .30 1.7 0 .05 1-12 .40 sliced
plum plum .82 .20 2.1 1 .9 8-9 .44 sliced
pumpkin pumpkin .74 .36 3.0 0 .1 10-11 .45 sliced
quince quince .74 .36 3.4 2 .6 10-11 .40 sliced
raspberry raspberry .86 .15 1.2 1 1 6-7 .36 crushed
redcurrant redcurrant .84 .16 1.5 1 1 7-7 .34 crushed
rhubarb rhubarb .90 .13 1.3 1 .9 4-6 .42 sliced
rose+hip rose_hip .50 .55 3.0 2 1 10-11 .26 crushed
sloe sloe .70 .28 3.2 3 1 10-11 .28 whole
strawberry strawberry .88 .14 1.1 1 1 6-7 .42 sliced
beetroot beetroot .76 .30 3.6 0 .1 9-12 .40 sliced
tangerine tangerine .80 .27 1.5 0 .1 12-2 .42 sliced
raisin raisin .10 .50 1.5 1 1 1-12 .10 sliced
sultana sultana .10 .48 1.5 1 1 1-12 .10 sliced
"""

SECONDARY = ("raisin", "sultana", "banana", "apple", "elderberry", "orange")


def _number(row: dict[str, str], column: str) -> float:
    return 10.0 * float(row[column] or 0.0)


def read_catalogue() -> dict[str, FruitKind]:
    """Return every fruit a simulated maker may use, by its canonical name, the commonest first."""
    with REFERENCE.open(encoding="utf-8", newline="") as stream:
        reference = {row["fruit"]: row for row in csv.DictReader(stream)}
    kinds = {}
    for line in _TABLE.split("\n"):
        if line:
            kind = _kind(line.split(), reference)
            kinds[kind.name] = kind
    return kinds


def _kind(cells: list[str], reference: dict[str, dict[str, str]]) -> FruitKind:
    row = reference[cells[1]]
    first, last = cells[7].split("-")
    acid = next(value for key, value in row.items() if key.startswith("titratable_acid"))
    return FruitKind(
        name=cells[0].replace("+", " "),
        juice_l_kg=float(cells[2]),
        hold_l_kg=float(cells[3]),
        half_days=float(cells[4]),
        tannin_class=int(cells[5]),
        skins=float(cells[6]),
        months=(int(first), int(last)),
        load_kg_l=float(cells[8]),
        form=cells[9],
        sugar_g_kg=_number(row, "sugars_g_per_100g"),
        acid_g_kg=10.0 * float(acid or 0.0),
        starch_g_kg=max(_number(row, "starch_g_per_100g"), 60.0 * (cells[0] == "parsnip")),
    )
