"""What cannot have been: slips of the hand that would bend every other batch's answers.

An amount beyond measure beside its vessel is as good as unknown, and so is whatever it belongs to.
"""

from __future__ import annotations

import polars as pl

from pipeline.enology.must import MOST_IN_A_LITRE
from pipeline.learning.must_columns import PLAIN_NUMBERS

_PARTS = ("fruit_kg", "sugar_kg", "water_l", "juice_l", "must_l")
_SHARES = ("finished_fraction", "finished_fraction_net")
_TARGETS = ("target_volume_l", "to_mark_l", "strained_expected_l")


def without_impossible(
    batches: pl.DataFrame, must_fruits: pl.DataFrame, steps: pl.DataFrame
) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """Return the mart's tables with what no vessel can hold made unknown.

    Parameters
    ----------
    batches, must_fruits, steps : polars.DataFrame
        As the mart has them; the rows stay the same.
    """
    target = pl.coalesce(_TARGETS)
    most = pl.max_horizontal(_PARTS) / target
    lost = batches.filter(most > MOST_IN_A_LITRE)["batch_id"].implode()
    amounts = [name for name in PLAIN_NUMBERS if batches.schema.get(name) == pl.Float64]
    of_batch = pl.col("batch_id").is_in(lost)
    targets = batches.select("batch_id", target=target)
    volumes = (
        steps.select("batch_id")
        .join(targets, on="batch_id", how="left", maintain_order="left")
        .select(steps["volume_after_l"] / pl.col("target") > MOST_IN_A_LITRE)
        .to_series()
        .fill_null(value=False)
    )
    return (
        batches.with_columns(
            *(pl.when(~of_batch).then(name) for name in amounts),
            *(pl.when(pl.col(name) <= MOST_IN_A_LITRE).then(name) for name in _SHARES),
        ),
        must_fruits.with_columns(pl.when(~pl.col("must_id").is_in(lost)).then("kg")),
        steps.with_columns(pl.when(~volumes).then("volume_after_l")),
    )
