"""What is odd about the volumes of a batch."""

import polars as pl

from pipeline.logbook.loaded import Loaded

_SLACK = 0.02  # [L/L] how well a jar is read by eye; common practice, no source


def _measured(loaded: Loaded) -> pl.DataFrame:
    """Return every measured volume in order, with what was in the vessel after it."""
    bottled = pl.col("bottles") * loaded.settings.bottle_l
    steps = loaded["transfers"].select(
        "line",
        "batch_id",
        at="moved_at",
        on="moved_on",
        table=pl.lit("transfers"),
        column=pl.lit("volume_after"),
        volume_l=pl.coalesce("volume_after_l", bottled),
        error=pl.col("volume_after_error").fill_null(0.0),
        added_l=pl.col("topped_up_l").fill_null(0.0),
    )
    read = (
        loaded["readings"]
        .select("line", "batch_id", "taken_at", "taken_on", "volume_l", "volume_error")
        .drop_nulls("volume_l")
        .select(
            "line",
            "batch_id",
            at="taken_at",
            on="taken_on",
            table=pl.lit("readings"),
            column=pl.lit("volume"),
            volume_l="volume_l",
            error=pl.col("volume_error").fill_null(0.0),
            added_l=pl.lit(0.0),
        )
    )
    known = [read, steps.drop_nulls("volume_l")]
    return pl.concat(known).sort("batch_id", "at", maintain_order=True)


def volume_grows(loaded: Loaded) -> pl.DataFrame:
    """Find volumes that grow at a step that adds nothing: wine is only ever lost."""
    # They stand in the order of batch and time, so that the row before is the volume before.
    is_same = pl.col("batch_id") == pl.col("batch_id").shift()
    grown = (
        _measured(loaded)
        .with_columns(
            before_l=pl.when(is_same).then((pl.col("volume_l") + pl.col("added_l")).shift()),
            before_on=pl.col("on").shift(),
            slack=_SLACK + pl.col("error") + pl.col("error").shift(),
        )
        .filter(pl.col("volume_l") > pl.col("before_l") * (1 + pl.col("slack")))
    )
    added = loaded["additions"].select("batch_id", added_on="added_on")
    explained = (
        grown.join(added, on="batch_id", how="inner")
        .filter(pl.col("added_on").is_between("before_on", "on"))
        .select("table", "line")
    )
    unread = loaded.set_aside.filter(pl.col("table") == "additions").select("batch_id")
    odd = grown.join(explained, on=["table", "line"], how="anti").join(
        unread, on="batch_id", how="anti"
    )
    message = pl.format(
        "the volume grew from {} L to {} L though nothing was added",
        pl.col("before_l").round(2),
        pl.col("volume_l").round(2),
    )
    hint = "log what was added (topped_up, or a row in additions.csv), or check the two volumes"
    return pl.concat(
        loaded.warn(odd.filter(table=table), table, column, "volume-grows", message, hint)
        for table, column in (("readings", "volume"), ("transfers", "volume_after"))
    )


def topped_up_with_water(loaded: Loaded) -> pl.DataFrame:
    """Find wine topped up with water: alcohol, acid and flavour are thinned alike."""
    wet = (
        loaded["transfers"]
        .filter(topped_up_with="water")
        .with_columns(
            share=100
            * pl.col("volume_after_l")
            / (pl.col("volume_after_l") + pl.col("topped_up_l")),
        )
    )
    known = pl.format("; {} % of each is left", pl.col("share").round(0).cast(pl.Int64))
    return loaded.warn(
        wet,
        "transfers",
        "topped_up",
        "topped-up-with-water",
        pl.concat_str(
            pl.lit("topping up with water thins alcohol, acid and flavour"),
            pl.when(pl.col("share").is_finite()).then(known).otherwise(pl.lit("")),
        ),
        "a similar wine, or a smaller vessel, keeps the strength",
    )


def topped_up_with_what(loaded: Loaded) -> pl.DataFrame:
    """Find topping up that does not say with what: water thins, wine does not."""
    silent = loaded["transfers"].filter(
        pl.col("topped_up_l").is_not_null() & pl.col("topped_up_with").is_null()
    )
    return loaded.warn(
        silent,
        "transfers",
        "topped_up_with",
        "topped-up-with-what",
        "it does not say what the wine was topped up with, so its alcohol is uncertain",
        "water, wine or juice",
    )
