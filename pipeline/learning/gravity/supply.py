"""What is known of the musts that ferment: sugar, liquid, nitrogen, and what was topped up."""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.learning.ferment import Supply
from pipeline.learning.musts import Musts

STARCH_TURNED = 0.15  # share that turns to sugar by itself; common practice, no source
STARCH_BY_AMYLASE = 0.6  # more with the enzyme; common practice, no source
JUICE = 0.82  # share of a fruit's own liquid that comes to share the sugar; the same
DRIES_OFF = 0.001  # [share of target a day] from a bucket under a cloth; the same
USUAL_DAYS = 7.0
FLOWER_L_KG = 0.25  # [L/kg] that of flowers and leaves, which bring no sugar; the same
WINE_GRAVITY, JUICE_GRAVITY = 0.995, 1.045  # of what is topped up with; the same


def read_supply(
    musts: Musts, typical: dict[str, float], topping: tuple[np.ndarray, np.ndarray] | None = None
) -> Supply:
    """Return what is known of these musts, per litre of target; NaN where it must be known."""
    target = musts["target_l"]
    late = np.nan_to_num(musts["late_sugar_kg"])
    turned = STARCH_TURNED + STARCH_BY_AMYLASE * musts.filled("has_amylase", typical)
    starch = 1.11 * np.nan_to_num(musts["fruit_starch_g"]) * np.minimum(turned, 0.9)
    # Nitrogen stands per litre of strained must, sugar here per litre of target.
    nitrogen = musts.filled("nitrogen_added_mg_l", typical) * musts["must_l"] / target
    days = musts.filled("contact_days", {"contact_days": USUAL_DAYS} | typical)
    kept, gravity = topping or (np.ones(len(musts)), np.ones(len(musts)))
    return Supply(
        poured=musts["poured"],
        fruit=musts["load"],
        juice=_expected_juice(musts),
        dried_off=DRIES_OFF * days,
        late_sugar=1000 * late / target,
        early_sugar=1000 * (musts["sugar_kg"] - late) / target,
        juice_sugar=np.nan_to_num(musts["juice_sugar_g"]) / target,
        fruit_sugar=(musts["fruit_sugar_g"] + starch) / target,
        nitrogen=nitrogen,
        kept=kept,
        topping=gravity,
    )


def _expected_juice(musts: Musts) -> np.ndarray:
    """Return litres that the fruit is expected to add to what shares the sugar."""
    lines = musts.lines
    liquid = JUICE * np.nan_to_num(lines.number["liquid_l_kg"], nan=0.9)
    is_flower = lines.number["sugar_g_kg"] == 0
    per_kg = np.where(is_flower, FLOWER_L_KG, liquid)
    return np.bincount(lines.must, lines.load * per_kg, len(musts))


def topped_before_last(frame: pl.DataFrame, steps: pl.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Return what share of the wine read last was not topped up, and the gravity of the rest."""
    gravity = {"water": 1.0, "wine": WINE_GRAVITY, "juice": JUICE_GRAVITY}
    topped = (
        steps.filter(pl.col("topped_up_l") > 0)
        .join(frame.select("batch_id", "last_day"), on="batch_id")
        .filter(pl.col("day") < pl.col("last_day"))
        .with_columns(
            share=pl.col("volume_after_l") / (pl.col("volume_after_l") + pl.col("topped_up_l")),
            gravity=pl.col("topped_up_with").replace_strict(gravity, default=None),
        )
        .group_by("batch_id")
        .agg(
            pl.col("share").product(),
            pl.col("gravity").mean(),
            (pl.col("gravity").null_count() + pl.col("share").null_count()).alias("unknown"),
        )
    )
    both = frame.select("batch_id").join(topped, on="batch_id", how="left", maintain_order="left")
    unknown = both["unknown"].fill_null(0).to_numpy() > 0
    kept = both["share"].fill_null(1.0).to_numpy().copy()
    kept[unknown] = np.nan
    return kept, both["gravity"].fill_null(1.0).to_numpy()
