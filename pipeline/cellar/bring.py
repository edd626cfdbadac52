"""What a kilogram or a litre of each thing brings into a must, as one long reference table."""

import polars as pl

from pipeline import reference
from pipeline.cellar.fruit_reference import AVERAGE_FRUIT, fruit_reference
from pipeline.enology.must import DISSOLVED_SUGAR_L_PER_KG, HONEY_L_PER_KG

_SCHEMA = {
    "kind": pl.String,
    "ingredient_key": pl.String,
    "quantity": pl.String,
    "per_kg": pl.Float64,
    "per_l": pl.Float64,
    "per_line": pl.Float64,
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

_PHOSPHATE = "diammonium phosphate (DAP)"

# Kind, quantity, the column of the powder table with its share [g/g], and what a powder that the
# table does not know brings of it per kg (None: unknown).
_OF_POWDER = (
    ("acid", "acid_g", "active_fraction", None),
    ("base", "acid_removed_g", "active_fraction", None),
    ("sulphite", "so2_g", "active_fraction", None),
    ("sorbate", "sorbic_g", "active_fraction", None),
    ("nutrient", "nitrogen_g", "nitrogen_fraction", None),
    ("nutrient", "ammonium_phosphate_g", "phosphate_fraction", 0.0),
)


def contributions() -> pl.DataFrame:
    """Return one row per kind, ingredient and quantity: what a kg or a litre of it brings.

    Returns
    -------
    polars.DataFrame
        ``kind``, ``ingredient_key`` (null: anything of that kind that the tables do not know),
        ``quantity``, ``per_kg``, ``per_l``, ``per_line`` (whatever the amount); all null where the
        amount of that quantity cannot be known from the amount of the thing.
    """
    parts = [_fruit(), _juice(), _sugar_and_water(), _powders(), _enzymes()]
    return pl.concat(parts, how="diagonal_relaxed").select(
        pl.col(name).cast(kind) for name, kind in _SCHEMA.items()
    )


def _rows(rows: list[tuple], per: str) -> pl.DataFrame:
    """Rows of kind, ingredient, quantity and how much of it a unit of `per` brings."""
    names = ("kind", "ingredient_key", "quantity", per)
    return pl.DataFrame(rows, schema={name: _SCHEMA[name] for name in names}, orient="row")


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
    )
    weights = known.select("kind", "ingredient_key").unique()
    return pl.concat(
        [
            known,
            weights.with_columns(quantity=pl.lit("fruit_kg"), per_kg=pl.lit(1.0)),
        ]
    )


def _juice() -> pl.DataFrame:
    fruits = fruit_reference().filter(pl.col("juice_sugar_g_l").is_not_null())
    parts = [
        fruits.select(
            kind=pl.lit("juice"),
            ingredient_key=_default_key(),
            quantity=pl.lit(quantity),
            per_l=pl.col(column),
        )
        for quantity, column in _OF_JUICE.items()
    ]
    volumes = parts[0].with_columns(quantity=pl.lit("juice_l"), per_l=pl.lit(1.0))
    return pl.concat([*parts, volumes])


def _default_key() -> pl.Expr:
    return pl.when(pl.col("fruit") != AVERAGE_FRUIT).then("fruit")


def _sugar_and_water() -> pl.DataFrame:
    by_weight = [
        ("sugar", None, "sugar_g", 1000.0),
        ("sugar", None, "sugar_l", DISSOLVED_SUGAR_L_PER_KG),
        ("tannin", None, "tannin_g", 1000.0),
        *_named_sugars(),
    ]
    by_volume = [("water", None, "poured_l", 1.0)]
    return pl.concat([_rows(by_weight, "per_kg"), _rows(by_volume, "per_l")], how="diagonal")


def _named_sugars() -> list[tuple]:
    """Sugars that are not all sucrose, such as honey and glucose, by what they are worth of it."""
    named = _powder_table().filter(
        pl.col("kind").is_in(["sugar", "honey"]), pl.col("sucrose_equivalent").is_not_null()
    )
    rows: list[tuple] = []
    for kind, name, worth in named.select("kind", "additive", "sucrose_equivalent").iter_rows():
        litres = HONEY_L_PER_KG if kind == "honey" else DISSOLVED_SUGAR_L_PER_KG * worth
        keys = [name, None] if kind == "honey" else [name]
        for key in keys:
            rows.append((kind, key, "sugar_g", 1000 * worth))
            rows.append((kind, key, "sugar_l", litres))
    return rows


def _powder_table() -> pl.DataFrame:
    kinds = reference.powder_names().select("additive", "kind").unique(maintain_order=True)
    return kinds.join(reference.additives(), on="additive")


def _powders() -> pl.DataFrame:
    """Powders by weight; of one that the table does not know only the weight is known."""
    known = _powder_table().with_columns(
        nitrogen_fraction=pl.col("nitrogen_mg_per_g") / 1000,
        phosphate_fraction=(pl.col("additive") == _PHOSPHATE).cast(pl.Float64),
    )
    rows: list[tuple] = []
    for kind, quantity, column, otherwise in _OF_POWDER:
        shares = known.filter(pl.col("kind") == kind).select("additive", column)
        rows.append((kind, None, quantity, otherwise))
        rows += [
            (kind, name, quantity, None if share is None else 1000 * share)
            for name, share in shares.iter_rows()
        ]
    return _rows(rows, "per_kg")


def _enzymes() -> pl.DataFrame:
    """Enzymes count as in or not in: their strength differs tenfold between makes."""
    names = reference.powder_names().filter(pl.col("kind") == "enzyme")["additive"].unique()
    rows = [
        ("enzyme", name, quantity, float(word in (name or "")))
        for name in [None, *names]
        for quantity, word in (("pectic_enzyme", "pectic"), ("amylase", "amylase"))
    ]
    return _rows(rows, "per_line")
