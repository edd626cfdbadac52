"""Which batch each row of a logbook belongs to: looked up once, and asked for by its place."""

import polars as pl

from pipeline.logbook.gallons import gallon_by_key
from pipeline.logbook.settings import Settings


def known_batches(batches: pl.DataFrame, lost: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """Return what the rows of other files are held against: one row per batch_id.

    Parameters
    ----------
    batches : polars.DataFrame
        All rows of batches.csv as understood, faulty ones among them.
    lost : polars.DataFrame
        Batches that are nowhere loaded: `batch_id`, `batch_line`.
    settings : Settings
        For the logbook's gallon.

    Returns
    -------
    polars.DataFrame
        ``batch_id``, ``gallon``; ``started_on``, the first that its rows say; ``batch_line``, null
        where the batch is loaded.
    """
    started = batches.select("batch_id", "started_on").drop_nulls().unique("batch_id", keep="first")
    known = gallon_by_key(batches, "batch_id", settings)
    for more in (started, lost):
        known = known.join(more, on="batch_id", how="left", maintain_order="left")
    return known


def places(names: pl.Series, known: pl.Series) -> pl.Series:
    """Return where each name stands in `known`, null where it does not."""
    keys = pl.DataFrame(
        [known.alias("name"), pl.int_range(len(known), dtype=pl.UInt32, eager=True).alias("at")]
    )
    rows = names.alias("name").to_frame()
    return rows.join(keys, on="name", how="left", maintain_order="left")["at"]
