"""What the batches on the shelf are waiting for: which is due, when, and why.

The days are those that most makers keep to (common practice, no source); the wine decides, not
the calendar. The plan of a recipe (`sheet_steps`) keeps to the same days.
"""

from datetime import date, timedelta

import polars as pl

from pipeline.advice.sheet.steps import (
    FIRST_RACK_AFTER,
    FRUIT_OUT_DAY,
    RACK_EVERY,
    RACKINGS,
    TASTE_MONTHS,
)
from pipeline.cellar import Cellar

AHEAD_DAYS = 7  # what falls due within a week is shown
_READ_EVERY = 7.0  # [days] between gravities while it ferments; common practice, no source
# [days] after its day a bottle's tasting is no longer asked for: the next age comes instead.
_TASTE_WITHIN = 45.0
_CODES = ("stuck", "fruit_out", "read", "rack", "bottle", "taste")


def due(cellar: Cellar, today: date) -> pl.DataFrame:
    """Return what is due by a week from now, the longest overdue first.

    Parameters
    ----------
    cellar : Cellar
    today : datetime.date

    Returns
    -------
    polars.DataFrame
        ``batch_id``, ``name``, ``code`` (stuck, fruit_out, read, rack, bottle or taste), ``due_on``
        (date), ``overdue_days`` (negative: days to go), ``since`` (date of what it is reckoned
        from), ``age`` (of a tasting, in months). One row a batch: what comes first.
    """
    batches = _with_last_steps(cellar)
    glasses = cellar.table("glasses").select("batch_id", "tasted_on")
    asked = [_still(batches), _fruit_in(batches), _unread(batches), _unracked(batches)]
    asked += [_unbottled(batches), *_untasted(batches, glasses)]
    order = pl.col("code").cast(pl.Enum(_CODES))
    return (
        pl.concat(asked)
        .filter(pl.col("due_on") <= today + timedelta(days=AHEAD_DAYS))
        .filter((pl.col("code") != "taste") | (pl.col("due_on") >= today - _days(_TASTE_WITHIN)))
        .with_columns(overdue_days=(pl.lit(today) - pl.col("due_on")).dt.total_days())
        .sort(order, "due_on")
        .unique("batch_id", keep="first", maintain_order=True)
        .sort("due_on", order, "batch_id")
    )


def _with_last_steps(cellar: Cellar) -> pl.DataFrame:
    """Return the batches with the day of their last step of each kind."""
    steps = (
        cellar.table("steps")
        .group_by("batch_id")
        .agg(
            *(
                pl.col("moved_on").filter(pl.col("step") == step).max().alias(step)
                for step in ("strain", "rack", "bottle")
            ),
        )
    )
    fruit_left_in = (
        cellar.table("must_lines")
        .filter(~pl.col("is_planned") & (pl.col("kind") == "fruit"))
        .group_by(batch_id=pl.col("must_id"))
        .agg(is_fruit_in=pl.col("removed_day").is_null().any())
    )
    read_on = pl.col("started_on") + pl.duration(days=pl.col("last_day"))
    return (
        cellar.table("batches")
        .select("batch_id", "name", "state", "started_on", "last_day", "times_racked")
        .join(steps, on="batch_id", how="left")
        .join(fruit_left_in, on="batch_id", how="left")
        .with_columns(read_on=read_on, moved_on=pl.max_horizontal("strain", "rack"))
    )


def _asked(batches: pl.DataFrame, code: str, since: str, days: float, age: int = 0) -> pl.DataFrame:
    """Return one thing to do for each of these batches, some days after a date of theirs."""
    return batches.select(
        "batch_id",
        "name",
        pl.lit(code).alias("code"),
        due_on=pl.col(since) + _days(days),
        since=pl.col(since),
        age=pl.lit(age),
    ).drop_nulls("due_on")


def _days(days: float) -> timedelta:
    return timedelta(days=days)


def _still(batches: pl.DataFrame) -> pl.DataFrame:
    stuck = batches.filter(pl.col("state") == "stuck")
    return _asked(stuck, "stuck", "read_on", 0.0)


def _fruit_in(batches: pl.DataFrame) -> pl.DataFrame:
    with_fruit = batches.filter(
        pl.col("is_fruit_in")
        & pl.col("strain").is_null()
        & pl.col("rack").is_null()
        & pl.col("state").is_in(["fermenting", "stuck"])
    )
    return _asked(with_fruit, "fruit_out", "started_on", FRUIT_OUT_DAY)


def _unread(batches: pl.DataFrame) -> pl.DataFrame:
    fermenting = batches.filter(pl.col("state") == "fermenting").with_columns(
        since=pl.max_horizontal("read_on", "started_on")
    )
    return _asked(fermenting, "read", "since", _READ_EVERY)


def _unracked(batches: pl.DataFrame) -> pl.DataFrame:
    ageing = batches.filter(pl.col("state") == "ageing")
    first = ageing.filter(pl.col("rack").is_null() & pl.col("strain").is_not_null())
    again = ageing.filter(pl.col("rack").is_not_null() & (pl.col("times_racked") < RACKINGS))
    return pl.concat(
        [
            _asked(first, "rack", "strain", FIRST_RACK_AFTER),
            _asked(again, "rack", "rack", RACK_EVERY),
        ]
    )


def _unbottled(batches: pl.DataFrame) -> pl.DataFrame:
    ready = batches.filter((pl.col("state") == "ageing") & (pl.col("times_racked") >= RACKINGS))
    return _asked(ready, "bottle", "rack", RACK_EVERY)


def _untasted(batches: pl.DataFrame, glasses: pl.DataFrame) -> list[pl.DataFrame]:
    """Ask for a glass at each age, unless one was tasted since shortly before it."""
    last = glasses.group_by("batch_id").agg(tasted_on=pl.col("tasted_on").max())
    bottled = batches.filter(pl.col("bottle").is_not_null()).join(last, on="batch_id", how="left")
    asked = []
    for months, days in TASTE_MONTHS.items():
        early = pl.col("bottle") + _days(days - _TASTE_WITHIN)
        waiting = bottled.filter(pl.col("tasted_on").is_null() | (pl.col("tasted_on") < early))
        asked.append(_asked(waiting, "taste", "bottle", days, months))
    return asked
