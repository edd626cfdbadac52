"""Pooled regression through a curve: Gauss-Newton steps, each a pooled linear fit.

The curve is replaced by its tangent at the present coefficients, the pooled regressor fits that
line and all spreads with it, and the tangent is taken again where the fit landed.

References
----------
M. J. Lindstrom, D. M. Bates, "Nonlinear mixed effects models for repeated measures data",
Biometrics 46, 1990, doi:10.2307/2532087 (the alternating scheme).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from pipeline.learning.mixed import MixedModel
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.mixed.tails import tail_weights

# Coefficients (p,) to the expected response (n,), its Jacobian (n, p) and the reach of each row's
# group effect (n,).
Curve = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray, np.ndarray]]
MOST_BATCHES = 4000
MOST_ROUNDS = 15
CLOSE_ENOUGH = 0.03  # of a residual deviation: further rounds would hardly move a prediction
PLAIN_ROUNDS = 2  # before that, what lies far out may only show that the fit is not there yet
TAILS_ENOUGH = 0.1  # change of weight, on the average row


@dataclass(frozen=True)
class Fitting:
    """What is known beforehand of the coefficients, the levels and the noise."""

    grouped: list[Grouped]
    residual: tuple[float, float]
    between: Grouped | None = None


@dataclass
class CurvedFit:
    """Coefficients, and the regressor at the tangent there, which holds their covariance.

    tails (n,) are the weights of Student's t, left (n,) what curve and groups leave over.
    """

    coefficients: np.ndarray
    regressor: MixedModel
    tails: np.ndarray
    left: np.ndarray = field(default_factory=lambda: np.empty(0))
    rounds: int = 0


Weigh = Callable[[np.ndarray, CurvedFit | None], np.ndarray]


def thinned(rows: np.ndarray) -> np.ndarray:
    """Return at most MOST_BATCHES of these places, evenly over the logbook.

    Beyond that a fit is as sure of its coefficients as formulas are true; only time would grow.
    """
    if rows.size <= MOST_BATCHES:
        return rows
    return rows[np.linspace(0, rows.size - 1, MOST_BATCHES).astype(int)]


def fit_curve(
    curve: Curve,
    y: np.ndarray,
    fitting: Fitting,
    weigh: Weigh,
    groups: np.ndarray | None = None,
    start: CurvedFit | None = None,
) -> CurvedFit:
    """Fit curve(coefficients) = y with pooled coefficients and Student's t residuals.

    Parameters
    ----------
    curve : callable
        Coefficients (p,) to expected response (n,), Jacobian (n, p) and reach (n,).
    y : array (n,)
    fitting : Fitting
    weigh : callable
        Coefficients and the fit so far, None at first, to the precision of each row (n,).
    groups : array (n,), optional
        Levels of a factor that has an effect of its own on each.
    start : CurvedFit, optional
        Fit to nearly the same rows.
    """
    size = sum(len(group.columns) for group in fitting.grouped)
    at = np.zeros(size) if start is None else start.coefficients
    fit = CurvedFit(at, _regressor(fitting), np.ones(y.size))
    spreads = None if start is None else start.regressor.log_spreads_
    mean, slope, reach = curve(at)
    weight = weigh(at, None)
    while fit.rounds < MOST_ROUNDS:
        fit.rounds += 1
        line = y - mean + slope @ at
        fit.regressor.fit(slope, line, groups, weight * fit.tails, spreads, reach)
        spreads = fit.regressor.log_spreads_
        effects = reach * _effects(fit.regressor, groups)
        before = mean
        at, mean, slope, reach = _step(curve, y - effects, weight * fit.tails, at, fit.regressor)
        moved = np.abs(mean - before) * np.sqrt(weight)
        fit.coefficients, fit.left = at, y - mean - effects
        old = fit.tails
        if fit.rounds >= PLAIN_ROUNDS:
            fit.tails = tail_weights(fit.left, weight, fit.regressor.residual_sd_)
        weight = weigh(at, fit)
        still = np.sqrt((moved**2).mean()) < CLOSE_ENOUGH * fit.regressor.residual_sd_
        if still and fit.rounds > PLAIN_ROUNDS and np.abs(fit.tails - old).mean() < TAILS_ENOUGH:
            break
    return fit


def _regressor(fitting: Fitting) -> MixedModel:
    """Return a regressor that does little at a time: the next tangent comes soon."""
    return MixedModel(
        fitting.grouped,
        fitting.between,
        residual=fitting.residual,
        fit_intercept=False,
        tol=1e-3,
        most_steps=4,
    )


def _step(
    curve: Curve, y: np.ndarray, weight: np.ndarray, at: np.ndarray, regressor: MixedModel
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Go to the tangent's solution, or part of the way where the curve bends away from it."""
    precision = np.zeros(at.size)
    for group in regressor.grouped_:
        precision[list(group.columns)] = regressor.group_sd_[group.name] ** -2

    def misfit(mean: np.ndarray, coefficients: np.ndarray) -> float:
        rows = float(weight @ (y - mean) ** 2) / regressor.residual_sd_**2
        return rows + float(precision @ coefficients**2)

    here = misfit(curve(at)[0], at)
    for share in (1.0, 0.5, 0.25, 0.1):
        there = at + share * (regressor.coef_ - at)
        mean, slope, reach = curve(there)
        if misfit(mean, there) <= here:
            break
    return there, mean, slope, reach


def _effects(regressor: MixedModel, groups: np.ndarray | None) -> np.ndarray | float:
    if groups is None:
        return 0.0
    return regressor.group_effects_[np.searchsorted(regressor.groups_, groups)]
