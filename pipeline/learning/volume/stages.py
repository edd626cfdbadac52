"""Measured volumes on a wine's way into the bottle, as shares of the target."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import polars as pl

from pipeline.learning.musts import Musts

SAME = 1e-5  # [bottles, L] no one measures closer


@dataclass(frozen=True)
class Stages:
    """Measured volumes: one entry per strain, racking or bottling with a volume.

    must (n,) place of its batch; net (n,) volume ÷ target without what was topped up; rackings and
    bottled and chilled (n,) what the wine had gone through; topped (n,) share of target topped up
    before; counted (n,) one bottle ÷ target where the bottles were counted and nothing measured,
    else nought; error (n,) how far an approximate volume may be off ÷ target.
    """

    must: np.ndarray
    net: np.ndarray
    rackings: np.ndarray
    bottled: np.ndarray
    topped: np.ndarray
    chilled: np.ndarray
    counted: np.ndarray
    error: np.ndarray

    def take(self, rows: np.ndarray) -> Stages:
        """Return some of the stages."""
        return Stages(**{part.name: getattr(self, part.name)[rows] for part in fields(self)})

    def of(self, musts: np.ndarray) -> Stages:
        """Return the stages with their musts numbered as these (sorted) places are."""
        return replace(self, must=np.searchsorted(musts, self.must))


def read_stages(musts: Musts, steps: pl.DataFrame) -> Stages:
    """Return the measured volumes of batches whose target is known."""
    target = pl.DataFrame({"must": np.arange(len(musts)), "target_l": musts["target_l"]})
    order = ["must", "step_number"]
    by_batch = steps.join(musts.places, on="batch_id").join(target, on="must").sort(order)
    flagged = by_batch.with_columns(
        topped=(pl.col("topped_up_l").fill_null(0).cum_sum().over("must"))
        - pl.col("topped_up_l").fill_null(0),
        rackings=(pl.col("step") == "rack").cast(pl.Float64).cum_sum().over("must"),
        bottled=(pl.col("step") == "bottle").cast(pl.Float64),
        chilled=(pl.col("step") == "chill").cast(pl.Float64).cum_max().over("must"),
        counted=_counted(),
    )
    # Bottling on several days is one bottling.
    at_bottling = pl.when(pl.col("step") == "bottle").then(-1).otherwise(pl.col("step_number"))
    rows = (
        flagged.filter(pl.col("step").is_in(["strain", "rack", "bottle"]))
        .group_by("must", at_bottling.alias("moment"), maintain_order=True)
        .agg(
            pl.col("volume_after_l").sum(),
            pl.col("volume_after_l").null_count().alias("unknown"),
            pl.col("topped", "rackings", "bottled", "chilled", "target_l").first(),
            pl.col("counted").max(),
            (pl.col("volume_after_error") * pl.col("volume_after_l")).sum().alias("error"),
        )
        .filter((pl.col("unknown") == 0) & pl.col("target_l").is_finite())
    )
    share = rows["target_l"].to_numpy()
    return Stages(
        must=rows["must"].to_numpy(),
        net=(rows["volume_after_l"] - rows["topped"]).to_numpy() / share,
        rackings=rows["rackings"].to_numpy(),
        bottled=rows["bottled"].to_numpy(),
        topped=rows["topped"].to_numpy() / share,
        chilled=rows["chilled"].to_numpy(),
        counted=rows["counted"].to_numpy() / share,
        error=rows["error"].to_numpy() / share,
    )


def _counted() -> pl.Expr:
    """Return the size of the bottle where nothing but bottles was counted: the rest is unsaid."""
    size = pl.col("volume_after_l") / pl.col("bottles")
    bottling = pl.col("step") == "bottle"
    usual = size.filter(bottling).round(6).drop_nulls().mode().first()
    is_whole = (pl.col("bottles") - pl.col("bottles").round()).abs() < SAME
    is_counted = bottling & is_whole & ((size - usual).abs() < SAME)
    return pl.when(is_counted).then(size).otherwise(0.0)


def planned_stages(musts: Musts, rackings: np.ndarray) -> Stages:
    """Return the stage a planned must is judged at: bottled, nothing topped up."""
    n = len(musts)
    none = np.zeros(n)
    return Stages(np.arange(n), np.full(n, np.nan), rackings, np.ones(n), none, none, none, none)
