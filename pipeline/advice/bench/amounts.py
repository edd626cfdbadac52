"""Doses as somebody can measure them: grams with their span, level spoons, a stock solution."""

from typing import Any

import polars as pl

from pipeline.advice.bench.wine import Reading
from pipeline.enology.sulphite_doses import solution_ml
from pipeline.learning.estimate import Estimate
from pipeline.logbook.quantity_cells import SPOON_ERROR
from pipeline.reference import additives

SOLUTION_PERCENT = 10.0  # [g per 100 mL] the stock solution that small doses are measured from


def span(value: float, low: float, high: float, unit: str) -> dict[str, Any]:
    """Return an estimate that rests on this batch's own readings, as commands print it."""
    return Estimate(value, min(low, value), max(high, value), unit, 1).as_dict()


def scaled_span(value: float, volume: Reading, unit: str) -> dict[str, Any]:
    """Return an estimate of something in proportion to the volume, as sure as the volume is."""
    return span(value, value * (1 - volume.error), value * (1 + volume.error), unit)


def amount(
    grams: dict[str, Any],
    additive: str,
    *,
    is_dissolved: bool = True,
    is_spooned: bool = True,
) -> dict[str, Any]:
    """Return a weight of powder in the three ways it can be measured.

    Parameters
    ----------
    grams : dict
        An estimate [g].
    additive : str
        Key in additives.csv.
    is_dissolved : bool
        Whether it may be measured from a stock solution.
    is_spooned : bool
        Whether a spoon may measure it: not where a slip does harm.

    Returns
    -------
    dict
        ``additive``, ``grams`` (estimate), ``level_teaspoons`` and ``teaspoon_error`` (relative
        half-width; None where no spoon weight is known), ``solution_10_percent_ml`` or None.
    """
    spoon = additives().filter(pl.col("additive") == additive)["grams_per_level_tsp"].item()
    per_spoon = spoon if is_spooned else None
    return {
        "additive": additive,
        "grams": grams,
        "level_teaspoons": grams["value"] / per_spoon if per_spoon else None,
        "teaspoon_error": SPOON_ERROR if per_spoon else None,
        "solution_10_percent_ml": (
            float(solution_ml(grams["value"], SOLUTION_PERCENT)) if is_dissolved else None
        ),
    }
