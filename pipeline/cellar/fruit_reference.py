"""What a kilogram of each fruit, as weighed into the vessel, brings, from the reference table.

Makers weigh what goes in: peeled bananas, stalked berries. Refuse is therefore not taken off;
the reference table has it for those who start from a market weight.
"""

from functools import cache

import numpy as np
import polars as pl

from pipeline import reference
from pipeline.enology.fruit import fruit_displaced_volume, juice_strained
from pipeline.enology.must import dissolved_sugar_volume
from pipeline.enology.sucrose import gravity_from_brix, sugar_from_gravity
from pipeline.enology.water import WATER_20_KG_L

AVERAGE_FRUIT = "average fruit"
# A fruit that nobody has named to us: not starchy, a little tannin, no stone.
_PLAIN_FRUIT = {
    "fruit": pl.lit(AVERAGE_FRUIT),
    "starch_g_kg": pl.lit(0.0),
    "tannin_class": pl.lit(1, pl.Int64),
    "is_starchy": pl.lit(False),
    "is_stone_fruit": pl.lit(False),
    "is_flavouring_only": pl.lit(False),
}
_COMPOSITION = ["water_g_kg", "sugar_g_kg", "acid_g_kg"]


@cache
def fruit_reference() -> pl.DataFrame:
    """Return one row per fruit, and one for the average fruit where a fruit is not in the table.

    Returns
    -------
    polars.DataFrame
        ``fruit``; per kg ``sugar_g_kg``, ``starch_g_kg``, ``acid_g_kg`` (as tartaric),
        ``liquid_l_kg`` (all its own juice), ``displaced_l_kg`` (the room it takes),
        ``strained_l_kg`` (what runs off at home); of its juice ``juice_sugar_g_l``,
        ``juice_acid_g_l``; ``tannin_class``, ``is_starchy``, ``is_stone_fruit``. What the table
        does not know of a fruit is that of the average fruit.
    """
    table = reference.fruits().with_columns(acid_g_kg="acid_tartaric_g_kg")
    average = _average(table)
    named = table.with_columns(
        pl.col(column).fill_null(average[column].item())
        for column in [*_COMPOSITION, "juice_brix", "juice_yield_fraction", "starch_g_kg"]
    )
    both = pl.concat([named, average.select(named.columns)], how="vertical_relaxed")
    return both.with_columns(
        _over(_liquid, ["water_g_kg", "sugar_g_kg"]).alias("liquid_l_kg"),
        _over(juice_strained, ["juice_yield_fraction"], 1.0).alias("strained_l_kg"),
        _over(_juice_sugar, ["juice_brix"]).alias("juice_sugar_g_l"),
        displaced_l_kg=pl.lit(float(fruit_displaced_volume(1.0))),
        # Juice carries the fruit's acid in the fruit's water.
        juice_acid_g_l=pl.col("acid_g_kg") * 1000 / pl.col("water_g_kg"),
    ).select(
        *("fruit", "sugar_g_kg", "starch_g_kg", "acid_g_kg"),
        *("liquid_l_kg", "displaced_l_kg", "strained_l_kg", "juice_sugar_g_l", "juice_acid_g_l"),
        *("tannin_class", "is_starchy", "is_stone_fruit"),
    )


def _average(table: pl.DataFrame) -> pl.DataFrame:
    """Return the row of the average fresh fruit; flowers and roots do not count towards it."""
    fresh = table.filter(pl.col("group") == "fruit", ~pl.col("is_flavouring_only"))
    return table.head(1).with_columns(
        **{
            column: pl.lit(fresh[column].mean())
            for column in fresh.columns
            if _is_number(fresh, column)
        },
        **_PLAIN_FRUIT,
    )


def _is_number(frame: pl.DataFrame, column: str) -> bool:
    return frame.schema[column] == pl.Float64 and column not in _PLAIN_FRUIT


def _over(formula, columns: list[str], *first: float) -> pl.Expr:  # type: ignore[no-untyped-def]
    """Apply an enology function to columns of the table."""
    return pl.struct(columns).map_batches(
        lambda rows: pl.Series(
            np.asarray(formula(*first, *(rows.struct[name].to_numpy() for name in columns)))
        ),
        return_dtype=pl.Float64,
    )


def _liquid(water_g_kg: np.ndarray, sugar_g_kg: np.ndarray) -> np.ndarray:
    """Return the juice in a kg of fruit [L]: its water and the sugar dissolved in it."""
    return water_g_kg / 1000 / WATER_20_KG_L + np.asarray(dissolved_sugar_volume(sugar_g_kg / 1000))


def _juice_sugar(brix: np.ndarray) -> np.ndarray:
    return np.asarray(sugar_from_gravity(gravity_from_brix(brix)))
