"""What an amount weighs or measures, given what it is an amount of.

Solids become kilograms, water and juice litres. A weight that would have to be guessed stays
unknown, with a warning: a spoon of a powder without a bulk density, a packet without a weight,
a quart of plums.
"""

from functools import cache

import polars as pl

from pipeline.enology.sucrose import density_from_gravity, gravity_from_brix
from pipeline.logbook.quantity_cells import ROUGH_ERROR, SPOON_ERROR
from pipeline.reference import additive_of, additives, fruit_of, fruits

USUAL_JUICE_BRIX = 11.0  # [°Bx] where the fruit's own is unknown; common practice, no source
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
    usual_kg_l = _juice_density(USUAL_JUICE_BRIX)
    liquid_kg_l = (
        pl.when(kind == "water")
        .then(_juice_density(0.0))
        .otherwise(pl.col("juice_kg_l").fill_null(usual_kg_l))
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
    known = fruits().select(ingredient_key="fruit", brix="juice_brix").drop_nulls()
    density = [_juice_density(brix) for brix in known["brix"]]
    return known.select("ingredient_key", pl.Series("juice_kg_l", density))


def _juice_density(brix: float) -> float:
    """Return the density of juice [kg/L] at 20 °C, as of sugar in water; 0 °Bx is water."""
    return float(density_from_gravity(gravity_from_brix(brix)))


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
