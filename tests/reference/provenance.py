"""Writes data/reference/PROVENANCE.md: for every value, where it comes from.

Run it after a change of a table: ``python tests/reference/provenance.py``.
"""

import csv
from collections import Counter
from pathlib import Path

from pipeline.enology.limits import CHECK_LOCALLY, LIMITS

REPOSITORY = Path(__file__).parents[2]
TABLES = REPOSITORY / "data" / "reference"
PAGE = TABLES / "PROVENANCE.md"

KINDS = {
    "read": "published (read)",
    "memory": "published (from memory)",
    "from memory": "published (from memory)",
    "computed": "computed independently",
    "common practice, no source": "common practice",
    "as in fruit.csv": "published (read)",
}
MARKS = {
    "published (read)": "r",
    "published (from memory)": "m",
    "computed independently": "c",
    "common practice": "p",
}
# Heading, value column, source and provenance column.
FRUIT_COLUMNS = (
    ("refuse", "refuse_fraction", "refuse_fraction"),
    ("water g/100 g", "water_g_per_100g", "water_g_per_100g"),
    ("sugar g/100 g", "sugars_g_per_100g", "sugars_g_per_100g"),
    ("starch g/100 g", "starch_g_per_100g", "starch_g_per_100g"),
    ("least °Bx", "min_brix_21cfr101_30", "min_brix_21cfr101_30"),
    ("usual °Bx", "avg_brix_19cfr151_91", "avg_brix_19cfr151_91"),
    ("acid g/100 g", "titratable_acid_g_per_100g", "titratable_acid_g_per_100g"),
    ("as", "main_acid", "main_acid"),
    ("pH low", "pH_low", "pH"),
    ("pH high", "pH_high", "pH"),
    ("juice kg/kg", "juice_yield_fraction", "juice_yield_fraction"),
)
POWDER_COLUMNS = (
    ("g/tsp", "grams_per_level_tsp", "tsp"),
    ("g/mL", "bulk_density_g_per_mL", "tsp"),
    ("dose from g/L", "dose_low_g_per_L", "dose"),
    ("dose to g/L", "dose_high_g_per_L", "dose"),
    ("ceiling g/L", "legal_limit_g_per_L", "legal"),
    ("active g/g", "active_fraction", "active"),
    ("N mg/g", "nitrogen_mg_per_g", "nitrogen"),
    ("best from °C", "T_opt_low_C", "enzyme"),
    ("destroyed °C", "T_denature_C", "enzyme"),
    ("as sucrose g/g", "sucrose_equivalent", "sucrose_equivalent"),
)
GROUPS = {
    "a": "sucrose solutions",
    "b": "water and hydrometers",
    "c": "alcohol and extract",
    "d": "nitrogen",
    "e": "sulphite",
    "f": "sorbate",
    "g": "acidity",
    "h": "sugar and blending",
    "i": "units",
    "j": "starch and banana",
    "k": "tasting",
    "l": "bottles and limits",
}
DISAGREEMENTS = """\
1. *Molecular sulphur dioxide.* pKa 1.81 is for water; OIV's constant gives 1.4 to 1.66 times the
   share at 12 % vol. Default: 1.81, customary; `constant="oiv"` and `"oiv thermodynamic"`.
2. *Bottle pressure.* "4 g/L sugar a bar" holds near 10 °C; at 20 °C it is 2.96. Default: the EU
   method at the bottle's own temperature.
3. *Taking acid out.* 1.334 g potassium bicarbonate per g of acid in fruit acids, half where
   tartrate falls out. Default: the whole; `is_tartrate_precipitating=True` for grape wine.
4. *Banana sugar.* 12.2 (USDA SR28, with 5.4 starch), 15.8, 20 and 23 g/100 g. Default: the first;
   measure.
5. *A pound to the gallon.* Made up to it 1.0462, added to it 1.0430: `must_gravity` and
   `gravity_after_sugar`.
6. *Brix is not all sugar.* Juice Brix counts acids, pectin and sorbitol: 22 °Bx is 15.0 % vol as
   sucrose, 12 to 13 in real juice.
7. *Strength.* % vol at 20 °C here; the US states it at 60 °F, 0.03–0.06 lower in wine. A 60 °F
   hydrometer reads 0.9993 in water of 20 °C.
8. *A university table of metabisulphite* is 2.5 % under stoichiometry. Default: stoichiometry.
9. *Water* is 998.2012 kg/m³ in OIML R 22 and 998.2072 by IAPWS-95; pure ethanol 789.24 and
   789.42. Each is used inside its own standard.
10. *Juice Brix* differs between 21 CFR (minimum) and 19 CFR (average). Default: the average; for
    lemon and lime the first is an acid content and is left out.
11. *pH of mango and fig*: the list read has mango's ripe and green probably swapped. The range
    covers both.
12. *Raisin, cherry, plum sugar* differ by up to a fifth between USDA releases. Default: SR28.
13. *Rhubarb's main acid*: malic by one paper, citric and oxalic by another. Default: malic.
14. *Legal ceilings* differ: sorbic acid 200 (OIV, EU) and 300 (US) mg/L, sulphur dioxide 350 (US)
    and 150–250 (EU), ammonium phosphate 0.96 and 1.0 g/L. Default: the lower; all are in
    `pipeline.enology.limits`.
"""


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def kind(provenance: str, source: str = "") -> str:
    """Say what a value rests on; a dose "common practice" from memory is common practice."""
    is_practice = source.lower().startswith(("common", "label dose"))
    return "common practice" if is_practice else KINDS[provenance]


def marked(row: dict[str, str], value: str, about: str) -> str:
    if not row[value]:
        return ""
    source = row.get(f"{about}_source") or row.get(f"{about}_basis") or ""
    return f"{row[value]} {MARKS[kind(row[f'{about}_provenance'], source)]}"


def table(headings: list[str], lines: list[list[str]]) -> str:
    cells = [headings, ["---"] * len(headings), *lines]
    return "\n".join("| " + " | ".join(line) + " |" for line in cells) + "\n"


def value_table(name: str, key: str, columns: tuple) -> str:
    lines = [
        [row[key], *(marked(row, value, about) for _, value, about in columns)]
        for row in rows_of(TABLES / name)
    ]
    return table([key, *(heading for heading, _, _ in columns)], lines)


def traits_table() -> str:
    lines = [
        [
            row["fruit"],
            row["composition_of"] or "–",
            f"{row['tannin_class']} p",
            f"{row['dried_water_g_per_100g']} {MARKS[kind(row['dried_water_provenance'])]}"
            if row["dried_water_g_per_100g"]
            else "",
        ]
        for row in rows_of(TABLES / "fruit_traits.csv")
    ]
    return table(["fruit", "composition of", "tannin class", "dried: water g/100 g"], lines)


def constants_table() -> str:
    lines = [
        [
            f"`{row['module']}.{row['name']}`",
            *(row[column] for column in ("value", "unit", "source")),
            kind(row["provenance"]),
        ]
        for row in rows_of(TABLES / "constants.csv")
    ]
    return table(["constant", "value", "unit", "source", "kind"], lines)


def limits_table() -> str:
    lines = [
        [name, f"{limit.value:g} {limit.unit}", limit.rule, limit.note, KINDS[limit.provenance]]
        for name, limit in LIMITS.items()
    ]
    return table(["limit", "value", "rule", "applies to", "kind"], lines)


def checks_table() -> str:
    counts = Counter(
        (row["check_id"][0], row["quantity"], KINDS[row["provenance"]])
        for row in rows_of(Path(__file__).parent / "checks.csv")
    )
    lines = [
        [GROUPS[group], quantity.replace("|", "∣"), str(number), what]
        for (group, quantity, what), number in counts.items()
    ]
    return table(["subject", "quantity", "values", "kind"], lines)


def totals() -> str:
    counts = Counter(
        KINDS[row["provenance"]] for row in rows_of(Path(__file__).parent / "checks.csv")
    )
    return ", ".join(f"{number} {what}" for what, number in counts.most_common())


def page() -> str:
    legend = ", ".join(f"**{mark}** {what}" for what, mark in MARKS.items())
    return f"""# Where every reference value comes from

Written from the tables by `python tests/reference/provenance.py`; a test keeps it in step. The
full source of each value stands beside it in the tables.

{legend}.
*Read*: the number was read in a copy of the source. *From memory*: from the published source, not
read again. *Computed*: by stoichiometry or an independent library. *Common practice*: no source.

| file | holds |
| --- | --- |
| fruit.csv | composition of 55 fruits, flowers and roots, a source beside each value |
| fruit_traits.csv | what makers call fruits, whose composition each has, tannin class, cautions |
| fruit_names.csv | spellings of fruits |
| additives.csv | powders: weight of a level teaspoon, doses, ceilings, enzyme temperatures |
| powder_names.csv | spellings of powders; `may_be` where one may mean two powders |
| constants.csv | constants of the formulas in `pipeline/enology` |

## Where sources disagree

{DISAGREEMENTS}
## Fruit

{value_table("fruit.csv", "fruit", FRUIT_COLUMNS)}
## Names and traits

A fruit that is not in fruit.csv borrows the composition of its closest relative there (common
practice). Without one its composition is not known, unless it is a flavouring, which brings none.

{traits_table()}
## Powders

Grams per teaspoon are ± 20 % wherever they are not USDA's: weigh instead.

{value_table("additives.csv", "additive", POWDER_COLUMNS)}
## Constants of the formulas

Coefficients of published polynomials stand in their modules, each with its source.

{constants_table()}
## Legal limits

They bind commercial makers; {CHECK_LOCALLY}.

{limits_table()}
## Check values

`tests/reference/checks.csv`: {totals()}.

{checks_table()}"""


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
