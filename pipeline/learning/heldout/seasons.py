"""The logbook as it stood on an earlier day, to learn from the past and predict what came after.

A season is a calendar year: in most climates the fruit of one year is picked, brewed and judged
before the next comes in, and every maker can say which year a batch belongs to.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import polars as pl

from pipeline.learning.models import Frames

MOST_SEASONS = 3  # the latest ones; older ones tell of a logbook half as long
# What is known only once a batch has stood still, and once it is in the bottle.
AFTER_LAST_READING = (
    *("final_gravity", "stuck_gravity", "apparent_attenuation", "real_attenuation"),
    *("alcohol_before_topping", "alcohol", "dry_extract_g_l", "residual_sugar_g_l"),
    "ta_tartaric_g_l",
)
AFTER_BOTTLING = ("finished_fraction", "finished_fraction_net")


def next_seasons(batches: pl.DataFrame) -> list[tuple[date, np.ndarray]]:
    """Return the first day of each of the latest seasons and the places of its batches.

    The logbook's first season has nothing before it and is never among them.
    """
    years = batches["started_on"].dt.year().to_numpy()
    return [
        (date(int(year), 1, 1), np.flatnonzero(years == year))
        for year in np.unique(years)[1:][-MOST_SEASONS:]
    ]


def known_by(frames: Frames, day: date) -> Frames:
    """Return the logbook as it stood before a day.

    Batches started later are gone, and so are the steps and glasses of later days; what a batch
    was not yet seen to come to is unknown.
    """
    started = frames.batches.filter(pl.col("started_on") < day)
    still_moving = _ends_from(day, "last_day")
    not_bottled = _ends_from(day, "bottle_day") | pl.col("bottle_day").is_null()
    ids = started["batch_id"].to_list()
    then = frames.of(ids)
    return replace(
        then,
        batches=started.with_columns(
            *(_unless(still_moving, name) for name in AFTER_LAST_READING),
            *(_unless(not_bottled, name) for name in AFTER_BOTTLING),
        ),
        steps=then.steps.filter(pl.col("moved_on") < day),
        glasses=then.glasses.filter(pl.col("tasted_on") < day),
    )


def _ends_from(day: date, name: str) -> pl.Expr:
    """Tell whether something, dated in days from the start, happened on that day or later."""
    return pl.col("started_on") + pl.duration(days=pl.col(name).floor()) >= day


def _unless(later: pl.Expr, name: str) -> pl.Expr:
    return pl.when(later.fill_null(value=False)).then(None).otherwise(pl.col(name)).alias(name)
