"""Which gallon a row is written in: its batch's, else the logbook's, else nobody's."""

import polars as pl

from pipeline.logbook.distinct import ReadColumn
from pipeline.logbook.settings import Settings
from pipeline.logbook.units import IMPERIAL_GALLON_L, US_GALLON_L

_MESSAGE = (
    f"a gallon may be the US ({US_GALLON_L:.3f} L) or the imperial ({IMPERIAL_GALLON_L:.3f} L), "
    "and nothing says which"
)


def gallon_by_key(frame: pl.DataFrame, key: str, settings: Settings) -> pl.DataFrame:
    """Return the gallon of each batch or recipe: one row per `key`, the first that says one."""
    return (
        frame.select(key, "gallon")
        .drop_nulls(key)
        .group_by(key, maintain_order=True)
        .agg(pl.col("gallon").drop_nulls().first())
        .with_columns(pl.col("gallon").fill_null(pl.lit(settings.gallon, dtype=pl.String)))
    )


def with_gallon(at: pl.Series, gallons: pl.Series | None, settings: Settings) -> pl.Series:
    """Return the gallon of every row, null where nothing says which.

    Parameters
    ----------
    at : polars.Series
        Where each row's batch or recipe stands in `gallons`; null where it has none.
    gallons : polars.Series, optional
        The gallon of each batch or recipe.
    settings : Settings
        For the logbook's gallon.
    """
    if gallons is None or gallons.n_unique() <= 1:
        same = gallons[0] if gallons is not None and len(gallons) else settings.gallon
        return pl.repeat(same, len(at), dtype=pl.String, eager=True).alias("gallon")
    own = gallons.gather(at).alias("gallon").to_frame()
    return own.select(pl.col("gallon").fill_null(pl.lit(settings.gallon, pl.String))).to_series()


def settle(read: ReadColumn, cells: pl.Series, gallon: pl.Series) -> ReadColumn:
    """Choose between the two sizes of a quantity; add a fault where neither can be chosen.

    Returns
    -------
    ReadColumn
        With `size` in place of `us` and `imperial`.
    """
    frame = read.values.with_columns(gallon.alias("gallon"), cells.alias("value"))
    is_open = pl.col("us") != pl.col("imperial")
    open_rows = (
        frame.with_row_index("row")
        .filter(is_open & pl.col("gallon").is_null())
        .select(
            "row",
            "value",
            rule=pl.lit("which-gallon"),
            message=pl.lit(_MESSAGE),
            hint=pl.lit(
                'write us or imp before the unit, such as 1 us gal; or set gallon = "us" or '
                '"imperial" in logbook.toml, or for the batch in batches.csv'
            ),
        )
    )
    size = (
        pl.when(~is_open | (pl.col("gallon") == "us"))
        .then("us")
        .when(pl.col("gallon") == "imperial")
        .then("imperial")
    )
    values = frame.with_columns(size=size).drop("us", "imperial", "gallon", "value")
    return ReadColumn(values, pl.concat([read.faults, open_rows]))
