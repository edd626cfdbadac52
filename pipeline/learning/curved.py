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

from pipeline.learning.pooled import ROBUST_DEGREES, PooledRegressor
from pipeline.learning.spreads import Grouped

# Coefficients (p,) to the expected response (n,), its Jacobian (n, p) and the reach of each row's
# group effect (n,).
Curve = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray, np.ndarray]]
MOST_ROUNDS = 25
CLOSE_ENOUGH = 0.02  # of a residual deviation: further rounds would move no prediction more


@dataclass(frozen=True)
class Fitting:
    """What is known beforehand of the coefficients, the levels and the noise."""

    grouped: list[Grouped]
    residual: tuple[float, float]
    between: Grouped | None = None


@dataclass
class CurvedFit:
    """Coefficients, and the regressor at the tangent there, which holds their covariance."""

    coefficients: np.ndarray
    regressor: PooledRegressor
    tails: np.ndarray = field(default_factory=lambda: np.empty(0))
    rounds: int = 0


def fit_curve(
    curve: Curve,
    y: np.ndarray,
    fitting: Fitting,
    weight: np.ndarray,
    groups: np.ndarray | None = None,
    start: CurvedFit | None = None,
) -> CurvedFit:
    """Fit curve(coefficients) = y with pooled coefficients and Student's t residuals.

    Parameters
    ----------
    curve : callable
        Coefficients (p,) to expected response (n,), Jacobian (n, p) and reach (n,).
    y, weight : array (n,)
    fitting : Fitting
    groups : array (n,), optional
        Levels of a factor that has an effect of its own on each.
    start : CurvedFit, optional
        Fit to nearly the same rows.
    """
    regressor = PooledRegressor(
        fitting.grouped, fitting.between, residual=fitting.residual, fit_intercept=False, tol=1e-3
    )
    size = sum(len(group.columns) for group in fitting.grouped)
    at = np.zeros(size) if start is None else start.coefficients
    spreads = None if start is None else start.regressor.log_spreads_
    mean, slope, reach = curve(at)
    tails = np.ones(y.size)
    done = 0
    while done < MOST_ROUNDS:
        done += 1
        regressor.fit(slope, y - mean + slope @ at, groups, weight * tails, spreads, reach)
        spreads = regressor.log_spreads_
        effects = reach * _effects(regressor, groups)
        moved_to, mean_there, slope, reach = _step(
            curve, y - effects, weight * tails, at, regressor
        )
        moved = np.abs(mean_there - mean).max() / regressor.residual_sd_
        at, mean = moved_to, mean_there
        before, tails = tails, _tails(y - mean - effects, weight, regressor.residual_sd_)
        if moved < CLOSE_ENOUGH and np.abs(tails - before).max() < 0.05:
            break
    return CurvedFit(at, regressor, tails, done)


def _step(
    curve: Curve, y: np.ndarray, weight: np.ndarray, at: np.ndarray, regressor: PooledRegressor
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


def _effects(regressor: PooledRegressor, groups: np.ndarray | None) -> np.ndarray | float:
    if groups is None:
        return 0.0
    return regressor.group_effects_[np.searchsorted(regressor.groups_, groups)]


def _tails(residual: np.ndarray, weight: np.ndarray, sd: float) -> np.ndarray:
    """Weights of Student's t: what lies far out counts less."""
    return (ROBUST_DEGREES + 1) / (ROBUST_DEGREES + weight * (residual / sd) ** 2)
