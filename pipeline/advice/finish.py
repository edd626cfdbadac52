"""When the batches that still ferment will be done, and at what gravity."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.cellar import Cellar
from pipeline.learning import Models
from pipeline.learning.estimate import LEVEL, Estimate
from pipeline.learning.forecast import forecast_end
from pipeline.learning.pace import Course, End, fit_pace, gravity_curves

_RUNNING = ("fermenting",)
_NORMAL = 3.29  # width of a normal distribution's central 90 % in standard deviations


def answer(cellar: Cellar, models: Models) -> dict[str, Any]:
    """Say when each running batch will be done.

    Parameters
    ----------
    cellar : Cellar
    models : Models

    Returns
    -------
    dict
        ``batches``: for each, in the order in which they will be done, ``batch``, ``name``,
        ``last_day``, ``last_gravity``, ``final_gravity`` (an estimate), ``done_day`` (an estimate
        [days since the start], null if it may take longer than anyone can say), ``done_on`` (dates:
        ``value``, ``low``, ``high``) and ``curve`` (``day``, ``gravity`` estimate);
        ``without_curve``: the running batches of which only one gravity is known;
        ``without_end``: those with more, whose end too few finished batches foretell;
        ``batches_learnt_from``.
    """
    batches, readings = cellar.table("batches"), cellar.table("readings")
    running = batches.filter(pl.col("state").is_in(_RUNNING))
    curves = gravity_curves(readings)
    pace = fit_pace(batches, readings)
    watched = running.filter(pl.col("batch_id").is_in(list(curves)))
    found = []
    if pace is not None and not watched.is_empty():
        ends = _ends(models, watched, cellar)
        for row in watched.iter_rows(named=True):
            end = ends[row["batch_id"]]
            if end is not None:
                course = pace.course(row, curves[row["batch_id"]], end[1])
                found.append(_batch(row, end[0], course, pace.batches))
    waiting = running.filter(~pl.col("batch_id").is_in(list(curves)))
    return {
        "batches": sorted(found, key=lambda one: (one["done_on"] is None, str(one["done_on"]))),
        "without_curve": waiting["batch_id"].to_list(),
        "without_end": sorted(set(watched["batch_id"]) - {one["batch"] for one in found}),
        "batches_learnt_from": 0 if pace is None else pace.batches,
    }


def _ends(
    models: Models, watched: pl.DataFrame, cellar: Cellar
) -> dict[str, tuple[Estimate, End] | None]:
    """Return the gravity each batch is expected to finish at, given its first."""
    names = watched["batch_id"].to_list()
    musts = cellar.table("musts").filter(pl.col("must_id").is_in(names) & ~pl.col("is_planned"))
    fruits = cellar.table("must_fruits").filter(
        pl.col("must_id").is_in(names) & ~pl.col("is_planned")
    )
    read = watched.filter(pl.col("original_gravity").is_not_null())
    original = dict(read.select("batch_id", "original_gravity").iter_rows())
    expected = forecast_end(models, musts, fruits, original)
    ends: dict[str, tuple[Estimate, End] | None] = {}
    for row, name in enumerate(musts["must_id"]):
        estimate = expected.new_batch(row)
        if estimate is None:
            ends[name] = None
            continue
        sd = (estimate.high - estimate.low) / _NORMAL
        ends[name] = (estimate, End(estimate.value, sd))
    return ends


def _batch(row: dict, final: Estimate, course: Course, batches: int) -> dict[str, Any]:
    day = course.done_day
    return {
        "batch": row["batch_id"],
        "name": row["name"],
        "last_day": row["last_day"],
        "last_gravity": row["last_gravity"],
        "final_gravity": final.as_dict(),
        "done_day": None if day is None else _estimate(day, "days", batches),
        "done_on": None if day is None else _dates(row["started_on"], day),
        "curve": [
            {"day": float(when), "gravity": _estimate(band, "SG", batches)}
            for when, *band in zip(course.day, course.gravity, course.low, course.high, strict=True)
        ],
    }


def _estimate(band: Any, unit: str, batches: int) -> dict[str, Any]:
    value, low, high = (float(number) for number in band)
    return Estimate(value, low, high, unit, batches, LEVEL).as_dict()


def _dates(start: date, day: tuple[float, float, float]) -> dict[str, str]:
    value, low, high = (start + timedelta(days=float(np.ceil(when))) for when in day)
    return {"value": value.isoformat(), "low": low.isoformat(), "high": high.isoformat()}
