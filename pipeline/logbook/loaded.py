"""The rows that loaded, side by side, as the rules about whole batches look at them."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import polars as pl

from pipeline.logbook.gravities import corrected_gravities
from pipeline.logbook.problems import Level, found
from pipeline.logbook.settings import Settings

FERMENTABLE = ("sugar", "honey", "juice", "fruit")
DOSED = ("sulphite", "sorbate", "nutrient")


@dataclass(frozen=True)
class Loaded:
    """What the rules about batches see.

    Attributes
    ----------
    typed : dict of str to polars.DataFrame
        Loaded rows per file.
    files : dict of str to str
        What each file is called in problems.
    set_aside : polars.DataFrame
        Rows set aside; where one may explain an oddity, the rule stays silent.
    settings : Settings
        The logbook's settings.
    """

    typed: dict[str, pl.DataFrame]
    files: dict[str, str]
    set_aside: pl.DataFrame
    settings: Settings

    @cached_property
    def gravities(self) -> pl.DataFrame:
        """Every hydrometer reading, corrected; see `corrected_gravities`."""
        return corrected_gravities(self.typed["readings"], self.settings)

    @cached_property
    def doses(self) -> pl.DataFrame:
        """The powders whose dose has a ceiling, with the volume each went into; `with_volume`."""
        return with_volume(additions_of(self, DOSED), "added_at", self)

    @cached_property
    def volumes(self) -> pl.DataFrame:
        """What is known of how much stood in each vessel; see `vessel_volumes`."""
        return vessel_volumes(self)

    def __getitem__(self, name: str) -> pl.DataFrame:
        """Return the loaded rows of a file."""
        return self.typed[name]

    def warn(
        self,
        rows: pl.DataFrame,
        name: str,
        column: str,
        rule: str,
        message: str | pl.Expr,
        hint: str | pl.Expr | None = None,
        *,
        level: Level = "warning",
    ) -> pl.DataFrame:
        """Turn rows with `line` into warnings about a file."""
        return found(
            rows,
            level=level,
            file=self.files.get(name, f"{name}.csv"),
            column=column,
            rule=rule,
            message=message,
            hint=hint,
        )


Rule = Callable[[Loaded], pl.DataFrame]


def additions_of(loaded: Loaded, kinds: tuple[str, ...]) -> pl.DataFrame:
    """Return the additions of some kinds."""
    return loaded["additions"].filter(pl.col("kind").is_in(kinds))


def vessel_volumes(loaded: Loaded) -> pl.DataFrame:
    """Return what is known of how much stood in each vessel: `batch_id`, `at`, `volume_l`.

    After a step that was topped up, the volume with what was added.
    """
    steps = loaded["transfers"].select(
        "batch_id",
        at="moved_at",
        volume_l=pl.col("volume_after_l") + pl.col("topped_up_l").fill_null(0.0),
    )
    read = loaded["readings"].select("batch_id", at="taken_at", volume_l="volume_l")
    known = [frame.drop_nulls("volume_l").drop_nulls() for frame in (steps, read)]
    return pl.concat(known).sort("at", maintain_order=True)


def must_volumes(loaded: Loaded) -> pl.DataFrame:
    """Return the volume of each batch before any was measured: mark, target, or what went in.

    One row per batch: `batch_id`, `must_l`.
    """
    additions = loaded["additions"]
    poured = additions.group_by("batch_id").agg(
        mark_l=pl.col("amount_l").filter(pl.col("is_to_mark")).max(),
        poured_l=pl.col("amount_l").filter(~pl.col("is_to_mark")).sum(),
    )
    return (
        loaded["batches"]
        .select("batch_id", "target_volume_l")
        .join(poured, on="batch_id", how="left")
        .select(
            "batch_id",
            must_l=pl.coalesce(
                "mark_l", "target_volume_l", pl.when(pl.col("poured_l") > 0).then("poured_l")
            ),
        )
    )


def with_volume(rows: pl.DataFrame, at: str, loaded: Loaded) -> pl.DataFrame:
    """Add the volume each row's dose went into, `vessel_l` [L].

    The last volume measured before it, else the first one after it, else the must's.
    """
    by_time = rows.sort(at, maintain_order=True)
    for strategy, name in (("backward", "before_l"), ("forward", "after_l")):
        by_time = by_time.join_asof(
            loaded.volumes.rename({"volume_l": name}),
            left_on=at,
            right_on="at",
            by="batch_id",
            strategy=strategy,  # type: ignore[arg-type]
            check_sortedness=False,
        ).drop("at", strict=False)
    return (
        by_time.join(must_volumes(loaded), on="batch_id", how="left")
        .with_columns(vessel_l=pl.coalesce("before_l", "after_l", "must_l"))
        .drop("before_l", "after_l", "must_l")
        .sort("line")
    )
