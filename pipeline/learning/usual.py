"""What a plan does not say is done as this maker usually does it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pipeline.learning.doubtful import ERROR_TO_SD
from pipeline.learning.musts import Musts

# Ways of working that recipes.csv has no column for.
UNWRITTEN = ("heat", "pressing")
# A fruit's own habit counts where it is clear: so many batches, and so large a share of them.
FRUIT_BATCHES = 5
FRUIT_SHARE = 0.8
SHARPNESS = 6.0  # how far the commonest way outweighs one nearly as common


def as_usually_done(planned: Musts, logged: Musts) -> Musts:
    """Fill in what planned musts leave open.

    Ways of working become what is commonest in the logbook (with this fruit, where it has a clear
    habit of its own; between ways that are nearly as common, something in between), quantities
    such as the must temperature the mean. How far the way may be another stands beside it, under
    the same name with `_doubt`.

    Parameters
    ----------
    planned, logged : Musts
        Described with the same fruits.
    """
    planned = unsaid_amounts(planned, logged)
    number = dict(planned.number)
    for name in UNWRITTEN:
        of_fruit = {fruit: _habit(logged, name, fruit) for fruit in set(planned.main_fruit)}
        habits = np.array([of_fruit[fruit] for fruit in planned.main_fruit])
        habits = habits.reshape(len(planned), 2)
        unsaid = ~np.isfinite(number[name])
        number[name] = np.where(unsaid, habits[:, 0], number[name])
        number[f"{name}_doubt"] = np.where(unsaid, np.nan_to_num(habits[:, 1]), 0.0)
    return replace(planned, number=number)


def unsaid_amounts(musts: Musts, logged: Musts) -> Musts:
    """Fill in warmth and nutrient that nobody wrote down or weighed, with how far they may be off.

    They become the mean of the logbook; its spread stands beside it as `must_temperature_c_doubt`
    and in `nitrogen_error_mg_l`.

    Parameters
    ----------
    musts, logged : Musts
    """
    number = dict(musts.number)
    warm, warm_sd = _filled(musts, logged, "must_temperature_c")
    fed, fed_sd = _filled(musts, logged, "nitrogen_added_mg_l")
    number |= {"must_temperature_c": warm, "must_temperature_c_doubt": warm_sd}
    known = np.nan_to_num(musts["nitrogen_error_mg_l"])
    error = np.where(fed_sd > 0, ERROR_TO_SD * fed_sd, known)
    number |= {"nitrogen_added_mg_l": fed, "nitrogen_error_mg_l": error}
    return replace(musts, number=number)


def _filled(musts: Musts, logged: Musts, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Return an amount with the logbook's mean where unknown, and its spread there, else nought."""
    unknown, known = ~np.isfinite(musts[name]), logged[name][np.isfinite(logged[name])]
    if known.size == 0:
        return musts[name], np.zeros(len(musts))
    values = np.where(unknown, known.mean(), musts[name])
    return values, np.where(unknown, known.std(), 0.0)


def _habit(logged: Musts, name: str, fruit: str | None) -> tuple[float, float]:
    """Return the usual way and its standard deviation, NaN where none was ever logged."""
    values = logged[name]
    known = np.isfinite(values)
    same = known & np.array([other == fruit for other in logged.main_fruit], dtype=bool)
    if same.sum() >= FRUIT_BATCHES:
        ways, shares = _ways(values[same])
        if shares.max() >= FRUIT_SHARE:
            way = float(ways[shares.argmax()])
            return way, float(np.sqrt(shares @ (ways - way) ** 2))
    if not known.any():
        return np.nan, np.nan
    ways, shares = _ways(values[known])
    weight = shares**SHARPNESS / (shares**SHARPNESS).sum()
    mean = float(ways @ weight)
    return mean, float(np.sqrt(shares @ (ways - mean) ** 2))


def _ways(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    ways, counts = np.unique(values, return_counts=True)
    return ways, counts / counts.sum()
