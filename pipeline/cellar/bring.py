"""What a kilogram or a litre of each thing brings into a must, as one long reference table."""

import polars as pl

from pipeline import reference
from pipeline.cellar.fruit_reference import AVERAGE_FRUIT, fruit_reference
from pipeline.enology.must import DISSOLVED_SUGAR_L_PER_KG

_SCHEMA = {
    "kind": pl.String,
    "ingredient_key": pl.String,
    "quantity": pl.String,
    "per_kg": pl.Float64,
    "per_l": pl.Float64,
}

# Quantity, and the column of the fruit table that says how much of it a kg of fruit brings.
_OF_FRUIT = {
    "fruit_sugar_g": "sugar_g_kg",
    "fruit_starch_g": "starch_g_kg",
    "fruit_acid_g": "acid_g_kg",
    "fruit_liquid_l": "liquid_l_kg",
    "fruit_displaced_l": "displaced_l_kg",
    "fruit_strained_l": "strained_l_kg",
}
_OF_JUICE = {"juice_sugar_g": "juice_sugar_g_l", "juice_acid_g": "juice_acid_g_l"}

# Kind, quantity, and the column of the powder table with the active share [g/g].
_OF_POWDER = (
    ("acid", "acid_g", "active_fraction"),
    ("base", "acid_removed_g", "active_fraction"),
    ("sulphite", "so2_g", "active_fraction"),
    ("sorbate", "sorbic_g", "active_fraction"),
    ("nutrient", "nitrogen_g", "nitrogen_mg_per_g"),
)
_HONEY_SUGAR = 0.8212  # [g/g] USDA SR28, honey: sugars 82.12 g/100 g (read)


def contributions() -> pl.DataFrame:
    """Return one row per kind, ingredient and quantity: what a kg or a litre of it brings.

    Returns
    -------
    polars.DataFrame
        ``kind``, ``ingredient_key`` (null: anything of that kind that the tables do not know),
        ``quantity``, ``per_kg``, ``per_l``; both null where the amount of that quantity cannot be
        known from the amount of the thing.
    """
    return pl.concat([_fruit(), _juice(), _sugar_and_water(), _powders(), _enzymes()])


def _rows(rows: list[tuple]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=_SCHEMA, orient="row")


def _fruit() -> pl.DataFrame:
    """Fruit by weight; one that the table does not know counts as an average one."""
    long = fruit_reference().unpivot(
        list(_OF_FRUIT.values()), index="fruit", variable_name="column", value_name="per_kg"
    )
    names = {column: quantity for quantity, column in _OF_FRUIT.items()}
    known = long.select(
        kind=pl.lit("fruit"),
        ingredient_key=_default_key(),
        quantity=pl.col("column").replace_strict(names),
        per_kg="per_kg",
        per_l=pl.lit(None, pl.Float64),
    )
    weights = known.select("kind", "ingredient_key").unique()
    return pl.concat(
        [
            known,
            weights.with_columns(
                quantity=pl.lit("fruit_kg"), per_kg=pl.lit(1.0), per_l=pl.lit(None, pl.Float64)
            ),
        ]
    )


def _juice() -> pl.DataFrame:
    fruits = fruit_reference().filter(pl.col("juice_sugar_g_l").is_not_null())
    parts = [
        fruits.select(
            kind=pl.lit("juice"),
            ingredient_key=_default_key(),
            quantity=pl.lit(quantity),
            per_kg=pl.lit(None, pl.Float64),
            per_l=pl.col(column),
        )
        for quantity, column in _OF_JUICE.items()
    ]
    volumes = parts[0].with_columns(quantity=pl.lit("juice_l"), per_l=pl.lit(1.0))
    return pl.concat([*parts, volumes])


def _default_key() -> pl.Expr:
    return pl.when(pl.col("fruit") != AVERAGE_FRUIT).then("fruit")


def _sugar_and_water() -> pl.DataFrame:
    rows: list[tuple] = [("water", None, "poured_l", None, 1.0)]
    for kind, fraction in (("sugar", 1.0), ("honey", _HONEY_SUGAR)):
        rows.append((kind, None, "sugar_g", 1000 * fraction, None))
        rows.append((kind, None, "sugar_l", DISSOLVED_SUGAR_L_PER_KG, None))
    return _rows(rows)


def _powders() -> pl.DataFrame:
    """Powders by weight; of one that the table does not know only the weight is known."""
    table = reference.additives()
    kinds = reference.powder_names().select("additive", "kind").unique()
    known = kinds.join(table, on="additive")
    rows: list[tuple] = [("tannin", None, "tannin_g", 1000.0, None)]
    for kind, quantity, column in _OF_POWDER:
        per_gram = 0.001 if column == "nitrogen_mg_per_g" else 1.0
        rows.append((kind, None, quantity, None, None))
        rows += [
            (kind, additive, quantity, None if share is None else 1000 * per_gram * share, None)
            for additive, share in known.filter(pl.col("kind") == kind)
            .select("additive", column)
            .iter_rows()
        ]
    phosphate = "diammonium phosphate (DAP)"
    rows.append(("nutrient", None, "ammonium_phosphate_g", 0.0, None))
    rows += [
        (kind, additive, "ammonium_phosphate_g", 1000.0 * (additive == phosphate), None)
        for additive, kind in kinds.filter(pl.col("kind") == "nutrient").iter_rows()
    ]
    return _rows(rows)


def _enzymes() -> pl.DataFrame:
    """Enzymes count as in or not in: their strength differs tenfold between makes."""
    names = reference.powder_names().filter(pl.col("kind") == "enzyme")["additive"].unique()
    rows: list[tuple] = []
    for name in [None, *names]:
        for quantity, word in (("pectic_enzyme", "pectic"), ("amylase", "amylase")):
            rows.append(("enzyme", name, quantity, float(word in (name or "")), None))
    return _rows(rows)
