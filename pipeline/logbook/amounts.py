"""What an amount weighs or measures, given what it is an amount of.

Solids become kilograms, water and juice litres. A weight that would have to be guessed stays
unknown, with a warning: a spoon of a powder without a bulk density, a packet without a weight,
a quart of plums.
"""

from functools import cache

import polars as pl

from pipeline.logbook.quantity_cells import ROUGH_ERROR, SPOON_ERROR
from pipeline.reference import additive_of, additives, fruit_of, fruits

WATER_KG_L = 0.9982  # [kg/L] water at 20 °C; Tanaka et al. 2001, Metrologia 38:301, table 1
# [kg/L] single-strength juice where the fruit's Brix is unknown: 11 °Bx; common practice, no source
JUICE_KG_L = 1.044
LIQUIDS = ("water", "juice")
_YEAST = "yeast, active dry"


def with_keys(frame: pl.DataFrame) -> pl.DataFrame:
    """Add `ingredient_key`: the canonical fruit or powder, null where the name is not known."""
    pairs = frame.select("kind", "ingredient").unique().drop_nulls()
    keys = [_key(kind, name) for kind, name in pairs.iter_rows()]
    lookup = pairs.with_columns(pl.Series("ingredient_key", keys, dtype=pl.String))
    return frame.join(lookup, on=["kind", "ingredient"], how="left", maintain_order="left")


@cache
def _key(kind: str, ingredient: str) -> str | None:
    if kind == "water":
        return None
    if kind == "fruit":
        return fruit_of(ingredient)
    if kind == "juice":
        return fruit_of(ingredient) or fruit_of(ingredient.removesuffix(" juice"))
    # A yeast goes by its strain; every dry yeast weighs the same by the spoon.
    return _YEAST if kind == "yeast" else additive_of(ingredient)


def with_amounts(frame: pl.DataFrame, counts: dict[str, float]) -> pl.DataFrame:
    """Add `amount_kg`, `amount_l` and `amount_error`.

    Parameters
    ----------
    frame : polars.DataFrame
        With `kind`, `ingredient`, `ingredient_key`, and the parts of the amount: `dimension`,
        `size` [kg, L or pieces], `is_rough`, `is_spoon`, `is_cup`, `piece`.
    counts : dict of str to float
        Weight of one packet or tablet [kg].
    """
    kind, dimension, size = pl.col("kind"), pl.col("dimension"), pl.col("size")
    is_liquid = kind.is_in(LIQUIDS)
    is_volume = dimension == "volume"
    is_dry_measure = is_volume & pl.col("is_cup") & ~is_liquid & (kind != "fruit")
    known = frame.join(_densities(), on="ingredient_key", how="left", maintain_order="left")
    known = known.join(_juices(), on="ingredient_key", how="left", maintain_order="left")
    known = _with_piece_weight(known, counts)
    liquid_kg_l = (
        pl.when(kind == "water")
        .then(WATER_KG_L)
        .otherwise(pl.col("juice_kg_l").fill_null(JUICE_KG_L))
    )
    kg = (
        pl.when((dimension == "mass") & ~is_liquid)
        .then(size)
        .when(is_dry_measure | (is_volume & (kind == "honey")))
        .then(size * pl.col("kg_l"))
        .when(dimension == "count")
        .then(size * pl.col("piece_kg"))
    )
    litres = (
        pl.when(is_liquid & is_volume)
        .then(size)
        .when(is_liquid & (dimension == "mass"))
        .then(size / liquid_kg_l)
        # A volume that is no dry measure is a liquid: drops, syrup, a stock solution.
        .when(is_volume & ~pl.col("is_cup") & ~kind.is_in(["fruit", "honey"]))
        .then(size)
    )
    error = (
        (pl.col("is_rough") * ROUGH_ERROR**2)
        + ((pl.col("is_spoon") | is_dry_measure) * SPOON_ERROR**2)
    ).sqrt()
    return known.with_columns(amount_kg=kg, amount_l=litres, amount_error=error).drop(
        "kg_l", "juice_kg_l", "piece_kg"
    )


@cache
def _densities() -> pl.DataFrame:
    """Return the bulk density of each powder [kg/L]."""
    return additives().select(
        ingredient_key="additive", kg_l=pl.col("bulk_density_g_per_mL").cast(pl.Float64)
    )


@cache
def _juices() -> pl.DataFrame:
    """Return the density of each fruit's single-strength juice [kg/L] by its Brix."""
    # Density of sucrose solutions at 20 °C between 0 and 20 °Bx, linear to 0.001: ICUMSA tables,
    # 0.99823 + 0.00424 per °Bx at 12 °Bx (from memory).
    return (
        fruits()
        .select(ingredient_key="fruit", juice_kg_l=WATER_KG_L + 0.00424 * pl.col("juice_brix"))
        .drop_nulls()
    )


def _with_piece_weight(frame: pl.DataFrame, counts: dict[str, float]) -> pl.DataFrame:
    """Add the weight of one packet or tablet: by ingredient, else by kind."""
    if not counts:
        return frame.with_columns(piece_kg=pl.lit(None, dtype=pl.Float64))
    weight = [
        pl.concat_str(name, pl.lit(" "), "piece").replace_strict(
            counts, default=None, return_dtype=pl.Float64
        )
        for name in ("ingredient", "kind")
    ]
    return frame.with_columns(piece_kg=pl.coalesce(weight))
