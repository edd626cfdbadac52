"""Amounts that no vessel of the batch's size can hold: a slip in the amount or in the target."""

import polars as pl

from pipeline.enology.must import MOST_IN_A_LITRE
from pipeline.logbook.loaded import Loaded


def more_than_the_vessel(loaded: Loaded) -> pl.DataFrame:
    """Find additions and volumes beyond measure beside the volume aimed at."""
    return pl.concat([_added(loaded), _measured(loaded)])


def _warned(loaded: Loaded, rows: pl.DataFrame, name: str, column: str) -> pl.DataFrame:
    return loaded.warn(
        rows,
        name,
        column,
        "out-of-range",
        f"this is more than {MOST_IN_A_LITRE:g} times the volume aimed at, so nothing is learnt "
        "from the amounts of this batch",
        "the amount, or the target volume in batches.csv, as it was",
    )


def _with_target(loaded: Loaded, name: str) -> pl.DataFrame:
    targets = loaded["batches"].select("batch_id", "target_volume_l").drop_nulls()
    return loaded[name].join(targets, on="batch_id", how="inner")


def _added(loaded: Loaded) -> pl.DataFrame:
    most = pl.max_horizontal("amount_kg", "amount_l") / pl.col("target_volume_l")
    rows = _with_target(loaded, "additions").filter(most > MOST_IN_A_LITRE)
    return _warned(loaded, rows, "additions", "amount")


def _measured(loaded: Loaded) -> pl.DataFrame:
    most = pl.col("volume_after_l") / pl.col("target_volume_l")
    rows = _with_target(loaded, "transfers").filter(most > MOST_IN_A_LITRE)
    return _warned(loaded, rows, "transfers", "volume_after")
