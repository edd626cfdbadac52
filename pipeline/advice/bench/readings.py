"""Gathering the newest readings of one batch, each with the line it stands on."""

import math
from datetime import date
from typing import Any

import polars as pl

from pipeline.advice.bench.wine import Reading, Wine
from pipeline.advice.first_gravity import first_gravity_doubt
from pipeline.cellar import Cellar
from pipeline.enology.alcohol import alcohol_spread
from pipeline.enology.extract import residual_sugar_error
from pipeline.learning.estimate import Doubt, Estimate, estimate_from, interval_factor

_ALCOHOL_SD_PERCENT = 0.35  # [% vol] as `residual_sugar_error` has it: good to 0.7 at best
_SHIFTS = {"ph": ("acid", "base"), "acidity": ("acid", "base"), "free_so2": ("sulphite",)}
_COLUMNS = {
    "gravity": "gravity",
    "ph": "ph",
    "acidity": "ta_tartaric_g_l",
    "free_so2": "free_so2_mg_l",
}


def read_wine(cellar: Cellar, batch_id: str, volume_l: float | None = None) -> Wine:
    """Gather the newest readings of a batch.

    Parameters
    ----------
    cellar : Cellar
    batch_id : str
    volume_l : float, optional
        How much wine there is, if the person at the bench says so [L].

    Returns
    -------
    Wine

    Raises
    ------
    UnknownNameError
        If the logbook has no such batch.
    """
    batch = cellar.batch(batch_id)
    readings = cellar.table("readings").filter(pl.col("batch_id") == batch_id)
    found = {name: _newest(readings, column) for name, column in _COLUMNS.items()}
    added = cellar.table("staged_additions").filter(pl.col("batch_id") == batch_id)
    stale = [name for name, kinds in _SHIFTS.items() if _is_stale(found[name], added, kinds)]
    volume = _volume(cellar, batch_id, volume_l)
    return Wine(
        batch_id=batch_id,
        name=batch["name"] or "",
        state=batch["state"],
        volume=volume,
        alcohol=_alcohol(batch),
        sugar=_sugar(batch),
        so2_added_mg_l=batch["so2_added_mg_l"],
        sorbic_added_mg_l=batch["sorbic_added_mg_l"],
        faults=_faults(cellar, batch_id),
        doubts=tuple(_doubts(batch, found, stale, str(cellar.settings()["show"]))),
        **{name: None if name in stale else reading for name, reading in found.items()},
    )


def _newest(readings: pl.DataFrame, column: str) -> Reading | None:
    known = readings.filter(pl.col(column).is_not_null()).sort("taken_at", "line")
    if known.is_empty():
        return None
    row = known.row(-1, named=True)
    return Reading(row[column], row["taken_on"], "readings.csv", row["line"])


def _is_stale(reading: Reading | None, added: pl.DataFrame, kinds: tuple[str, ...]) -> bool:
    """Tell whether something that shifts a reading went in after it was taken."""
    later = pl.col("kind").is_in(kinds)
    return (
        reading is not None
        and not added.filter(later & (pl.col("added_on") > reading.taken_on)).is_empty()
    )


def _volume(cellar: Cellar, batch_id: str, said_l: float | None) -> Reading | None:
    """Return the newest volume: as said, else as read or as left by a change of vessel."""
    if said_l is not None:
        return Reading(said_l, date.today(), "--volume", 0)
    mine = pl.col("batch_id") == batch_id
    read = cellar.table("readings").filter(mine & pl.col("volume_l").is_not_null())
    moved = cellar.table("steps").filter(mine & pl.col("volume_after_l").is_not_null())
    found = [
        *(
            (row["day"], Reading(row["volume_l"], row["taken_on"], "readings.csv", row["line"]))
            for row in read.iter_rows(named=True)
        ),
        *((row["day"], _left(row)) for row in moved.iter_rows(named=True)),
    ]
    return max(found, key=lambda pair: (pair[0], pair[1].line))[1] if found else None


def _left(step: dict[str, Any]) -> Reading:
    return Reading(
        step["volume_after_l"] + (step["topped_up_l"] or 0.0),
        step["moved_on"],
        "transfers.csv",
        step["line"],
        step["volume_after_error"] or 0.0,
    )


def _alcohol(batch: dict[str, Any]) -> Estimate | None:
    """Return strength between the lowest and the highest of the published relations."""
    value, first, last = batch["alcohol"], batch["equivalent_gravity"], batch["last_gravity"]
    if value is None:
        return None
    thinned = batch["undiluted_share"] or 1.0
    low, high = (float(end) * thinned for end in alcohol_spread(first, last))
    half = interval_factor(math.inf) * _ALCOHOL_SD_PERCENT
    return Estimate(value, max(min(low, value - half), 0.0), max(high, value + half), "% vol", 1)


def _sugar(batch: dict[str, Any]) -> Estimate | None:
    value = batch["residual_sugar_g_l"]
    if value is None:
        return None
    return estimate_from(value, float(residual_sugar_error()), "g/L", 1, bounds=(0.0, 500.0))


def _faults(cellar: Cellar, batch_id: str) -> frozenset[str]:
    texts = cellar.table("glasses").filter(pl.col("batch_id") == batch_id)["faults"].drop_nulls()
    return frozenset(part.strip() for text in texts for part in str(text).split(";"))


_WORDS = {"ph": "pH", "acidity": "acidity", "free_so2": "free sulphite"}


def _doubts(
    batch: dict[str, Any], found: dict[str, Reading | None], stale: list[str], show: str
) -> list[Doubt]:
    doubts = [
        Doubt(
            "missing_input",
            f"the {_WORDS[name]} of {reading.taken_on.isoformat()} (readings.csv line "
            f"{reading.line}) no longer holds: something that changes it went in later",
        )
        for name in stale
        if (reading := found[name])
    ]
    if doubt := first_gravity_doubt(batch, show):
        doubts.append(doubt)
    if batch["state"] == "bottled":
        doubts.append(
            Doubt(
                "missing_input",
                "it is in bottles: these doses are for the wine in one vessel, and the readings "
                "are from before bottling",
            )
        )
    if batch["state"] == "stuck":
        doubts.append(
            Doubt("missing_input", "it has stopped with sugar left, and may start again by itself")
        )
    return doubts
