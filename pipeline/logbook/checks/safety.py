"""What can spoil a batch or hurt someone."""

import polars as pl

from pipeline.logbook.checks.gravity import DRY
from pipeline.logbook.loaded import Loaded, additions_of
from pipeline.reference import additives

LONG_CONTACT_DAYS = 60  # "left in for months"; common practice, no source
_PECTIC = "pectic enzyme (powder)"
_HEATED = ("hot", "steamed", "simmered")
_SWEET = ("sugar", "honey", "juice")


def enzyme_in_hot_must(loaded: Loaded) -> pl.DataFrame:
    """Find enzymes added while the must was hotter than they stand: heat unfolds them for good."""
    stands = additives().select(
        ingredient_key="additive", stands_c=pl.col("T_denature_C").cast(pl.Float64)
    )
    pectic_c = stands.filter(ingredient_key=_PECTIC)["stands_c"].item()
    warm = (
        loaded["readings"]
        .drop_nulls("must_temperature_c")
        .select("batch_id", "must_temperature_c", on="taken_on", at="taken_at")
    )
    hot = (
        additions_of(loaded, ("enzyme",))
        .join(stands, on="ingredient_key", how="left")
        .with_columns(pl.col("stands_c").fill_null(pectic_c))
        .join(warm, left_on=["batch_id", "added_on"], right_on=["batch_id", "on"])
        .with_columns(hours=(pl.col("at") - pl.col("added_at")).abs())
        .sort("hours")
        .unique("line", keep="first", maintain_order=True)
        .filter(pl.col("must_temperature_c") > pl.col("stands_c"))
        .sort("line")
    )
    return loaded.warn(
        hot,
        "additions",
        "added_on",
        "enzyme-in-hot-must",
        pl.format(
            "the must was at {} °C that day and this enzyme stands about {} °C: it will not have "
            "worked",
            pl.col("must_temperature_c").round(0).cast(pl.Int64),
            pl.col("stands_c").round(0).cast(pl.Int64),
        ),
        "let hot must cool for about an hour, to lukewarm, before the enzyme",
    )


def fruit_left_in(loaded: Loaded) -> pl.DataFrame:
    """Find fruit that stayed in for months: it rots, and its seeds turn the wine bitter."""
    strained = (
        loaded["transfers"]
        .filter(step="strain")
        .group_by("batch_id")
        .agg(strained_on=pl.col("moved_on").max())
    )
    long = (
        additions_of(loaded, ("fruit",))
        .join(strained, on="batch_id", how="left")
        .with_columns(
            days=(pl.coalesce("removed_on", "strained_on") - pl.col("added_on")).dt.total_days(),
        )
        .filter(pl.col("days") > LONG_CONTACT_DAYS)
    )
    return loaded.warn(
        long,
        "additions",
        "removed_on",
        "fruit-left-in",
        pl.format(
            "the fruit stayed in for {} days; old pulp spoils and gives bitter seeds", "days"
        ),
        "a week to ten days is usual; check removed_on, or the strain step in transfers.csv",
    )


def not_stabilised(loaded: Loaded) -> pl.DataFrame:
    """Find sweet wine bottled without sorbate and sulphite: it ferments on and bottles burst."""
    bottled = loaded["transfers"].filter(step="bottle").select("line", "batch_id", "moved_on")
    last = bottled.sort("moved_on").join_asof(
        # In the order of time within each batch, so that of one day the last is taken.
        loaded.gravities.select("batch_id", "gravity", "taken_on"),
        left_on="moved_on",
        right_on="taken_on",
        by="batch_id",
        strategy="backward",
        check_sortedness=False,
    )
    last = last.select("line", last="gravity", last_on="taken_on").drop_nulls("last_on")
    sweetened = additions_of(loaded, _SWEET).select("batch_id", sweet_on="added_on")
    after = (
        bottled.join(last, on="line")
        .join(sweetened, on="batch_id")
        .filter(pl.col("sweet_on").is_between("last_on", "moved_on", closed="right"))
        .select("line")
        .unique()
        .with_columns(is_sweetened=pl.lit(True))
    )
    risky = (
        bottled.join(last, on="line", how="left")
        .join(after, on="line", how="left")
        .filter((pl.col("last") > DRY) | pl.col("is_sweetened"))
    )
    kept = _stabilised(loaded, risky)
    return loaded.warn(
        risky.join(kept, on="line", how="anti"),
        "transfers",
        "step",
        "not-stabilised",
        "bottled with sugar in it and without both sorbate and sulphite: it may ferment on, push "
        "the "
        "corks or BURST the bottles",
        "keep it cold and standing away from people, release the pressure with care, and "
        "stabilise; or "
        "log the sorbate and the sulphite if they went in",
    )


def _stabilised(loaded: Loaded, risky: pl.DataFrame) -> pl.DataFrame:
    """Return the lines of bottlings that both sorbate and sulphite went before."""
    doses = additions_of(loaded, ("sorbate", "sulphite")).select("batch_id", "kind", "added_on")
    return (
        risky.join(doses, on="batch_id")
        .filter(pl.col("added_on") <= pl.col("moved_on"))
        .group_by("line")
        .agg(pl.col("kind").n_unique())
        .filter(pl.col("kind") == 2)
        .select("line")
    )


def raw_elder(loaded: Loaded) -> pl.DataFrame:
    """Find elderberries that no step heated: raw they make people sick (MMWR 1984)."""
    batches = loaded["batches"].select("batch_id", "extraction")
    elder = (
        additions_of(loaded, ("fruit", "juice"))
        .filter(pl.col("ingredient_key").str.contains("elderberry"))
        .join(batches, on="batch_id", how="left")
        .filter(~pl.col("extraction").is_in(_HEATED) | pl.col("extraction").is_null())
    )
    return loaded.warn(
        elder,
        "additions",
        "ingredient",
        "raw-elder",
        "raw elderberries, and elder stalks and leaves in any form, can make people sick; "
        "nothing says "
        "that these were heated",
        "heat the berries off the stalk, and set extraction to simmered, steamed or hot in "
        "batches.csv",
    )


def hot_start(loaded: Loaded) -> pl.DataFrame:
    """Find enzymes added on the day of hot water, where no temperature was logged."""
    heated = (
        loaded["batches"]
        .filter(pl.col("extraction").is_in(_HEATED))
        .select("batch_id", added_on="started_on")
    )
    read = (
        loaded["readings"].drop_nulls("must_temperature_c").select("batch_id", added_on="taken_on")
    )
    rows = (
        additions_of(loaded, ("enzyme",))
        .join(heated, on=["batch_id", "added_on"], how="semi")
        .join(read, on=["batch_id", "added_on"], how="anti")
    )
    return loaded.warn(
        rows,
        "additions",
        "added_on",
        "enzyme-on-a-hot-day",
        "added on the day the must was heated, and no must temperature says that it had cooled",
        "log must_temperature; enzymes go in about an hour after the hot water",
        level="notice",
    )
