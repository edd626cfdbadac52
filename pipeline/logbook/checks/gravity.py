"""What is odd about the gravities of a batch."""

import polars as pl

from pipeline.logbook.loaded import FERMENTABLE, Loaded, additions_of

RISE = 0.003  # [specific gravity] the contract: a rise beyond this needs an explanation
STILL = 0.001  # [specific gravity] one division of a usual hydrometer; common practice, no source
WEEK = 7  # [days] the contract: above 1.000 and still for a week of readings is stuck
DRY = 1.000
_FERMENTING_FOR = 1  # [days] after the yeast, a refractometer sees alcohol
_NO_YEAST_LOGGED = 2  # [days] after the start, where the yeast is not logged


def gravity_rises(loaded: Loaded) -> pl.DataFrame:
    """Find gravities that rise though nothing sweet went in: yeast only ever lowers them."""
    # They stand in the order of batch and time, so that the row before is the reading before.
    is_same = pl.col("batch_id") == pl.col("batch_id").shift()
    rises = loaded.gravities.with_columns(
        before=pl.when(is_same).then(pl.col("gravity").shift()),
        before_on=pl.col("taken_on").shift(),
    ).filter(pl.col("gravity") - pl.col("before") > RISE)
    unexplained = rises.join(_sweetened_between(loaded, rises), on="line", how="anti")
    return loaded.warn(
        unexplained,
        "readings",
        "gravity",
        "gravity-rises",
        pl.format(
            "the gravity rose from {} to {} though no sugar, juice, honey or fruit was added",
            pl.col("before").round(4),
            pl.col("gravity").round(4),
        ),
        "log what was added, or check the reading: fruit that still gives up sugar, sugar "
        "stirred up "
        "from the bottom, or a sample full of gas also raise it",
    )


def _sweetened_between(loaded: Loaded, rises: pl.DataFrame) -> pl.DataFrame:
    """Return the lines of rises that an addition explains, one set aside among them."""
    added = additions_of(loaded, FERMENTABLE).select("batch_id", on="added_on")
    juice = loaded["transfers"].filter(topped_up_with="juice").select("batch_id", on="moved_on")
    explained = (
        rises.join(pl.concat([added, juice]), on="batch_id", how="inner")
        .filter(pl.col("on").is_between("before_on", "taken_on"))
        .select("line")
    )
    unread = loaded.set_aside.filter(
        (pl.col("table") == "additions")
        & (pl.col("kind").is_in(FERMENTABLE) | pl.col("kind").is_null())
    )
    doubtful = rises.join(unread.select("batch_id"), on="batch_id", how="semi").select("line")
    return pl.concat([explained, doubtful])


def stuck(loaded: Loaded) -> pl.DataFrame:
    """Find batches whose gravity fell and then stood above 1.000 for a week of readings."""
    stood = _stood_above_dry(loaded).filter(pl.col("first") - pl.col("last") > RISE)
    return loaded.warn(
        stood,
        "readings",
        "gravity",
        "stuck",
        pl.format(
            "stuck: the gravity has stood at {} for {} days, above 1.000",
            pl.col("last").round(4),
            "days",
        ),
        "warmth, nutrient or an acclimatised starter may wake it; a stuck batch is not averaged "
        "into what its yeast usually reaches",
    )


def no_start(loaded: Loaded) -> pl.DataFrame:
    """Find batches whose gravity has not moved at all in a week of readings."""
    stood = _stood_above_dry(loaded).filter(pl.col("first") - pl.col("last") <= RISE)
    return loaded.warn(
        stood,
        "readings",
        "gravity",
        "no-start",
        pl.format(
            "the gravity has not moved from {} in {} days of readings: fermentation did not start",
            pl.col("last").round(4),
            "days",
        ),
        "check the yeast, the temperature, and the label for preservatives such as sorbate or "
        "benzoate",
    )


def _stood_above_dry(loaded: Loaded) -> pl.DataFrame:
    """Return batches whose last readings stood still above 1.000 for a week or more.

    One row per batch: `line` of its last reading, `first` and `last` gravity, `days` it has stood.
    """
    above = (
        loaded.gravities.group_by("batch_id")
        .agg(
            pl.col("line").last(),
            last_on=pl.col("taken_on").last(),
            last=pl.col("gravity").last(),
            first=pl.col("gravity").first(),
        )
        .filter(pl.col("last") > DRY)
    )
    is_still = (pl.col("gravity") - pl.col("last")).abs() <= STILL
    moved_on = pl.col("taken_on").filter(~pl.col("is_still")).max().over("batch_id")
    since = (
        loaded.gravities.join(above.select("batch_id", "last"), on="batch_id")
        .with_columns(is_still=is_still)
        .with_columns(moved_on=moved_on)
        .filter(pl.col("moved_on").is_null() | (pl.col("taken_on") > pl.col("moved_on")))
        .group_by("batch_id")
        .agg(since=pl.col("taken_on").min())
    )
    # Sugar added to a wine that sorbate keeps from fermenting is meant to stay.
    kept_sweet = additions_of(loaded, ("sorbate",)).select("batch_id")
    return (
        above.join(since, on="batch_id")
        .join(kept_sweet, on="batch_id", how="anti")
        .with_columns(days=(pl.col("last_on") - pl.col("since")).dt.total_days())
        .filter(pl.col("days") >= WEEK)
    )


def refractometer_after_start(loaded: Loaded) -> pl.DataFrame:
    """Find refractometer readings taken when there was alcohol, which bends light too."""
    rows = loaded["readings"].filter(
        (pl.col("instrument") == "refractometer")
        & pl.any_horizontal(pl.col("gravity_sg", "gravity_brix").is_not_null())
    )
    yeast = (
        additions_of(loaded, ("yeast",)).group_by("batch_id").agg(yeast_on=pl.col("added_on").min())
    )
    started = loaded["batches"].select("batch_id", "started_on")
    began = pl.coalesce(
        pl.col("yeast_on") + pl.duration(days=_FERMENTING_FOR),
        pl.col("started_on") + pl.duration(days=_NO_YEAST_LOGGED),
    )
    late = (
        rows.join(yeast, on="batch_id", how="left")
        .join(started, on="batch_id", how="left")
        .filter(pl.col("taken_on") >= began)
    )
    return loaded.warn(
        late,
        "readings",
        "gravity",
        "refractometer-after-start",
        "a refractometer reading after fermentation began is not a gravity: alcohol bends light "
        "too",
        "it is turned into a gravity only where the original gravity is known; a hydrometer says "
        "it "
        "directly",
    )
