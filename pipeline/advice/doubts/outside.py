"""Where a recipe lies beyond anything the logbook has seen, in the maker's units and words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.advice.own_units import days, mass, temperature, volume
from pipeline.learning.estimate import Doubt

Write = Callable[[float, str], str]


@dataclass(frozen=True)
class Ranged:
    """One quantity in which a recipe can lie outside.

    Parameters
    ----------
    column : str
        Of `batches`; of `musts` too unless `planned` says otherwise.
    thing : str
        What there is too much or too little of, after the amount; may be empty.
    write : callable
        Writes an amount in the units the logbook shows.
    per : str
        Column of `musts` that makes an amount of a ratio [L]; empty if the value is the amount.
    planned : str
        Column of `musts`.
    more, less : str
        How it is put.
    """

    column: str
    thing: str
    write: Write
    per: str = ""
    planned: str = ""
    more: str = "more"
    less: str = "less"


def _days(count: float, _: str) -> str:
    return days(count)


RANGED = (
    Ranged("target_volume_l", "", volume, more="larger", less="smaller"),
    Ranged("fruit_load_kg_l", "of fruit", mass, "target_volume_l"),
    Ranged("contact_days", "on the fruit", _days, more="longer", less="shorter"),
    Ranged("sugar_kg_l", "of sugar", mass, "target_volume_l"),
    Ranged("tannin_added_kg_l", "of added tannin", mass, "must_l"),
    Ranged("acid_added_kg_l", "of added acid", mass, "must_l"),
    Ranged("so2_added_kg_l", "of sulphur dioxide from sulphite", mass, "must_l"),
    Ranged(
        "must_temperature_mean_c",
        "in the must",
        temperature,
        planned="ferment_temperature_c",
        more="warmer",
        less="cooler",
    ),
)
_DERIVED = {
    "sugar_kg_l": pl.col("sugar_kg") / pl.col("target_volume_l"),
    "tannin_added_kg_l": pl.col("tannin_added_g_l") / 1e3,
    "acid_added_kg_l": pl.col("acid_added_g_l") / 1e3,
    "so2_added_kg_l": pl.col("so2_added_mg_l") / 1e6,
}
SLACK = 1e-6  # relative; a recipe copied from a batch is not outside it


def outside_doubts(batches: pl.DataFrame, must: dict[str, Any], show: str) -> list[Doubt]:
    """Return in what a planned recipe lies beyond every batch of the logbook.

    Parameters
    ----------
    batches : polars.DataFrame
        The table `batches`.
    must : dict
        The recipe's row of `musts`.
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    """
    seen = batches.with_columns(**_DERIVED)
    own = {
        **must,
        **pl.DataFrame([must])
        .select(_number(column) for column in ("sugar_kg", "target_volume_l", *_PARTS))
        .with_columns(**_DERIVED)
        .row(0, named=True),
    }
    found = []
    for ranged in RANGED:
        text = _beyond(ranged, seen[ranged.column].drop_nulls(), own, show)
        if text:
            found.append(Doubt("outside_experience", text))
    return found


_PARTS = ("tannin_added_g_l", "acid_added_g_l", "so2_added_mg_l")


def _number(column: str) -> pl.Expr:
    return pl.col(column).cast(pl.Float64)


def _beyond(ranged: Ranged, seen: pl.Series, own: dict[str, Any], show: str) -> str | None:
    """Say how a recipe's value compares with all that was seen; None if it lies within."""
    value = own.get(ranged.planned or ranged.column)
    size = own.get(ranged.per) if ranged.per else 1.0
    if value is None or size is None or seen.is_empty():
        return None
    low, high = float(seen.min()), float(seen.max())  # type: ignore[arg-type]
    if low * (1 - SLACK) <= value <= high * (1 + SLACK):
        return None
    is_more = value > high
    edge = ranged.write((high if is_more else low) * size, show)
    amount = ranged.write(value * size, show)
    if amount == edge:
        return None
    vessel = f" for {volume(own['target_volume_l'], show)}" if _is_sized(ranged, own) else ""
    for_that = " for as much wine" if ranged.per else ""
    thing = f" {ranged.thing}" if ranged.thing else ""
    return (
        f"{amount}{thing}{vessel} is {ranged.more if is_more else ranged.less} than any batch of "
        f"yours ({'at most' if is_more else 'at least'} {edge}{for_that})"
    )


def _is_sized(ranged: Ranged, own: dict[str, Any]) -> bool:
    return bool(ranged.per) and own.get("target_volume_l") is not None
