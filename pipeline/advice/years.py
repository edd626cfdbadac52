"""How much wine each year gave, to set beside the rules for home production."""

import polars as pl

from pipeline.enology.limits import limit
from pipeline.enology.units import L_PER_US_GALLON

# The volume a batch is counted with, the latest known first: what is in the bottles, what was
# racked, what was strained, what it aims at.
_COUNTED = ("bottled_l", "racked_l", "strained_l", "target_volume_l")


def year_totals(batches: pl.DataFrame) -> pl.DataFrame:
    """Add up the batches started in each calendar year, lost ones left out, newest year first.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's batches.

    Returns
    -------
    polars.DataFrame
        ``year``, ``batches``, ``made_l`` (bottled, or as far as it has come), ``unknown`` (batches
        without any volume), ``bottles``, ``cost`` (null if none is known).
    """
    return (
        batches.filter(pl.col("state") != "lost")
        .with_columns(counted_l=pl.coalesce(_COUNTED))
        .group_by(year=pl.col("started_on").dt.year())
        .agg(
            batches=pl.len(),
            made_l=pl.col("counted_l").sum(),
            unknown=pl.col("counted_l").null_count(),
            bottles=pl.col("bottles").sum(),
            cost=pl.when(pl.col("cost").is_not_null().any()).then(pl.col("cost").sum()),
        )
        .sort("year", descending=True)
    )


def home_limits_l() -> dict[str, float]:
    """Return the yearly volume a household in the United States may make, in litres.

    The one written rule in the reference table; other countries have others, or none. Source:
    27 CFR 24.75(b).
    """
    names = {"one adult": "home wine us one adult", "two or more": "home wine us two adults"}
    return {who: limit(name).value * L_PER_US_GALLON for who, name in names.items()}
