"""What a plan does not say is done as this maker usually does it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pipeline.learning.musts import Musts, typical_values

# Ways of working that recipes.csv has no column for.
UNWRITTEN = ("heat", "pressing")
# A fruit's own habit counts where it is clear: so many batches, and so large a share of them.
FRUIT_BATCHES = 5
FRUIT_SHARE = 0.8


def as_usually_done(planned: Musts, logged: Musts) -> Musts:
    """Fill in what planned musts leave open.

    Ways of working become what is commonest in the logbook (with this fruit, where it has a clear
    habit of its own), quantities such as the must temperature the mean.

    Parameters
    ----------
    planned, logged : Musts
        Described with the same fruits.
    """
    number = dict(planned.number)
    for name in UNWRITTEN:
        habits = np.array([_habit(logged, name, fruit) for fruit in planned.main_fruit])
        number[name] = np.where(np.isfinite(number[name]), number[name], habits)
    mean = typical_values(logged).get("must_temperature_c", np.nan)
    warm = number["must_temperature_c"]
    number["must_temperature_c"] = np.where(np.isfinite(warm), warm, mean)
    return replace(planned, number=number)


def _habit(logged: Musts, name: str, fruit: str | None) -> float:
    """Return the commonest way, NaN where none was ever logged."""
    values = logged[name]
    known = np.isfinite(values)
    same = known & np.array([other == fruit for other in logged.main_fruit], dtype=bool)
    if same.sum() >= FRUIT_BATCHES:
        way, share = _commonest(values[same])
        if share >= FRUIT_SHARE:
            return way
    return _commonest(values[known])[0] if known.any() else np.nan


def _commonest(values: np.ndarray) -> tuple[float, float]:
    ways, counts = np.unique(values, return_counts=True)
    return float(ways[counts.argmax()]), float(counts.max() / counts.sum())
