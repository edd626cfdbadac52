"""How fast a ferment runs down, from the gravities of all batches, and when one will be done.

The share of the fall still to come shrinks by some part of itself a day. The logarithm of that part
is a pooled regression: a batch has its own, drawn about its yeast's and the logbook's; it changes
with what is left, as far as the gravities tell, and with the warmth. The course of a running batch
is drawn from its last gravity on, towards the gravity that the ferment model expects it to finish
at, doubt in both included.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from threadpoolctl import threadpool_limits

from pipeline.learning.estimate import LEVEL
from pipeline.learning.mixed import MixedModel
from pipeline.learning.mixed.spreads import Grouped

DONE_WITHIN = 0.001  # a hydrometer's division: nearer the end than this counts as done
_LEAST_LEFT = 0.004  # gravity still to fall for a rate to be told from two readings
_LEAST_DAYS = 0.5
_SLOWEST = 0.005  # [share a day] of a ferment that has as good as stopped
_FEWEST = 8  # pairs of gravities
_DRAWS = 600
_LONGEST = 120.0  # [days] no course is drawn further
_USUAL_C = 20.0
# Known beforehand, on the scale of the log rate, and soon outweighed by a logbook's own gravities.
# All three: common practice, no source. Halving the rate by the time a tenth is left is nothing
# odd; batches differ by a third, and so do two stretches of one batch.
_SLOWING_SD = 0.3
_BATCH, _NOISE = (0.3, 0.7), (0.3, 0.7)


@dataclass(frozen=True)
class Course:
    """The gravities to come of one batch; arrays over `day` since the batch was started.

    `done_day` is (value, low, high), None where it may never be done within four months.
    """

    day: np.ndarray
    gravity: np.ndarray
    low: np.ndarray
    high: np.ndarray
    done_day: tuple[float, float, float] | None


@dataclass(frozen=True)
class End:
    """The gravity that a batch is expected to finish at, and how surely it is known."""

    gravity: float
    sd: float


class Pace:
    """The pace of fermentation of one logbook's batches."""

    def __init__(self, falls: pl.DataFrame) -> None:
        self.yeasts = sorted(falls["yeast"].drop_nulls().unique())
        columns = range(2, 2 + len(self.yeasts))
        self.regressor = MixedModel(
            grouped=[Grouped("slowing", (0,), _SLOWING_SD), Grouped("yeast", tuple(columns))],
            between=Grouped("batch", (), *_BATCH),
            residual=_NOISE,
            robust=True,
        ).fit(self._rows(falls), falls["log_rate"].to_numpy(), groups=falls["batch_id"].to_numpy())
        self.batches = falls["batch_id"].n_unique()

    def _rows(self, falls: pl.DataFrame) -> np.ndarray:
        warmth = falls["temperature_c"].fill_null(_USUAL_C).to_numpy() - _USUAL_C
        is_yeast = [(falls["yeast"] == yeast).fill_null(value=False) for yeast in self.yeasts]
        parts = [falls["log_left"].to_numpy(), warmth, *(part.to_numpy() for part in is_yeast)]
        return np.column_stack([part.astype(float) for part in parts])

    def course(self, batch: dict, curve: pl.DataFrame, end: End) -> Course:
        """Return the gravities to come of a batch.

        Parameters
        ----------
        batch : dict
            Its row of the cellar's batches.
        curve : polars.DataFrame
            Its gravities, ``day`` and ``gravity``, two at least.
        end : End
        """
        ordered = curve.sort("day")
        first, (last_day, last) = ordered["gravity"][0], ordered.row(-1)
        draw = np.random.default_rng(0)
        goals = np.minimum(draw.normal(end.gravity, end.sd, _DRAWS), last)
        own = falls_of(curve, min(end.gravity, last - DONE_WITHIN), _facts(batch))
        level, slowing = self._rates(_facts(batch), own, draw)
        whole = np.maximum(first - goals, 2 * DONE_WITHIN)
        left = np.log(np.clip((last - goals) / whole, DONE_WITHIN / whole, 1.0))
        days_left = _days_between(left, np.log(DONE_WITHIN / whole), level, slowing)
        low, middle, high = (float(np.quantile(days_left, tail)) for tail in _TAILS)
        ahead = np.linspace(0.0, min(max(high, 7.0), _LONGEST), 40)
        fall = np.maximum(last - goals, 0.0)
        gravities = goals + fall * np.exp(_left_after(ahead[:, None], left, level, slowing) - left)
        bands = [np.quantile(gravities, tail, axis=1) for tail in _TAILS]
        done = None if high > _LONGEST else (last_day + middle, last_day + low, last_day + high)
        return Course(last_day + ahead, bands[1], bands[0], bands[2], done)

    def _rates(
        self, facts: dict, own: pl.DataFrame, draw: np.random.Generator
    ) -> tuple[np.ndarray, np.ndarray]:
        """Draw a batch's log rate at the start of its fall, and how it changes with what is left.

        The rate where a share exp(u) is left is exp(level + slowing * u).
        """
        model = self.regressor
        row = self._rows(pl.DataFrame({**facts, "log_left": [0.0]}, _AHEAD))[0] - model.center_
        centre = np.concatenate([[model.intercept_ + model.center_ @ model.coef_], model.coef_])
        drawn = draw.multivariate_normal(centre, model.covariance_, _DRAWS, method="eigh")
        effect, doubt = self._own_effect(own)
        spread = float(np.hypot(doubt, model.residual_sd_))
        level = drawn[:, 0] + drawn[:, 1:] @ row + draw.normal(effect, spread, _DRAWS)
        return level, drawn[:, 1]

    def _own_effect(self, own: pl.DataFrame) -> tuple[float, float]:
        """Return how much faster a batch is than others of its kind, from its falls so far."""
        noise, between = self.regressor.residual_sd_, self.regressor.group_sd_["batch"]
        if own.is_empty() or between == 0:
            return 0.0, between
        surplus = own["log_rate"].to_numpy() - self.regressor.mean(self._rows(own))
        precision = own.height / noise**2 + 1 / between**2
        return float(np.sum(surplus)) / noise**2 / precision, float(precision**-0.5)


_TAILS = ((1 - LEVEL) / 2, 0.5, (1 + LEVEL) / 2)
_STEADY = 1e-3  # slowing below which the rate is taken as steady: the same to a thousandth
_AHEAD = {
    "batch_id": pl.String,
    "yeast": pl.String,
    "temperature_c": pl.Float64,
    "log_left": pl.Float64,
}
_FALLS = _AHEAD | {"log_rate": pl.Float64}


def _facts(batch: dict) -> dict:
    return {
        "batch_id": [batch["batch_id"]],
        "yeast": [batch["yeast"]],
        "temperature_c": [batch["must_temperature_mean_c"]],
    }


def _days_between(
    before: np.ndarray, after: np.ndarray, level: np.ndarray, slowing: np.ndarray
) -> np.ndarray:
    """Return the days from one logarithm of the share left to another, du/dt = -exp(a + b u)."""
    steady = np.abs(slowing) < _STEADY
    b = np.where(steady, 1.0, slowing)
    bent = (np.exp(-b * after) - np.exp(-b * before)) / b
    return np.where(steady, before - after, bent) / np.exp(level)


def _left_after(
    days: np.ndarray, before: np.ndarray, level: np.ndarray, slowing: np.ndarray
) -> np.ndarray:
    """Return the logarithm of the share left after some days, the inverse of `_days_between`."""
    steady = np.abs(slowing) < _STEADY
    b = np.where(steady, 1.0, slowing)
    # With a rate that grows towards the end the share reaches nought: e^-50 will do.
    inside = np.maximum(np.exp(-b * before) + b * np.exp(level) * days, np.exp(-50.0 * np.abs(b)))
    bent = np.maximum(-np.log(inside) / b, -50.0)
    return np.where(steady, before - np.exp(level) * days, bent)


def falls_of(curve: pl.DataFrame, end: float, facts: dict) -> pl.DataFrame:
    """Return one row for each pair of successive gravities from which a rate can be told.

    Parameters
    ----------
    curve : polars.DataFrame
        A batch's ``day`` and ``gravity``.
    end : float
        The gravity it ends at.
    facts : dict
        ``batch_id``, ``yeast`` and ``temperature_c``, a list of one value each.

    Returns
    -------
    polars.DataFrame
        The facts, ``log_left`` (logarithm of the share of the fall still to come, half way
        between the two) and ``log_rate`` (of the share of it lost a day).
    """
    ordered = curve.sort("day")
    day, left = ordered["day"].to_numpy(), ordered["gravity"].to_numpy() - end
    days = np.diff(day)
    told = (left[:-1] >= _LEAST_LEFT) & (left[1:] > DONE_WITHIN) & (days >= _LEAST_DAYS)
    before, after = (np.log(part[told] / left[0]) for part in (left[:-1], left[1:]))
    rate = np.maximum((before - after) / days[told], _SLOWEST)
    columns = {name: value * int(told.sum()) for name, value in facts.items()}
    columns |= {"log_left": (before + after) / 2, "log_rate": np.log(rate)}
    return pl.DataFrame(columns, _FALLS)


def fit_pace(batches: pl.DataFrame, readings: pl.DataFrame) -> Pace | None:
    """Learn the pace of fermentation from the finished batches; None if too few gravities tell.

    Parameters
    ----------
    batches, readings : polars.DataFrame
        The cellar's.
    """
    finished = batches.filter(
        pl.col("final_gravity").is_not_null() & (pl.col("late_sugar_kg").fill_null(0.0) == 0)
    )
    curves = gravity_curves(readings)
    falls = [
        falls_of(curves[row["batch_id"]], row["final_gravity"], _facts(row))
        for row in finished.iter_rows(named=True)
        if row["batch_id"] in curves
    ]
    together = pl.concat(falls) if falls else pl.DataFrame(schema=_FALLS)
    if together.height < _FEWEST:
        return None
    # Small matrices: threads wait for each other longer than they compute.
    with threadpool_limits(limits=1, user_api="blas"):
        return Pace(together)


def gravity_curves(readings: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """Return ``day`` and ``gravity`` of each batch that has two gravities or more."""
    known = readings.filter(pl.col("gravity").is_not_null()).select("batch_id", "day", "gravity")
    parts = known.partition_by("batch_id", as_dict=True, include_key=False)
    return {str(name[0]): part for name, part in parts.items() if part.height > 1}
