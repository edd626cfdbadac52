"""A cumulative-logit model with one random intercept (Laplace), to judge the linear model by.

Intensities are ordered steps, not lengths. The program fits straight lines to them; this stands
beside, in tests only, so that what the line gets wrong is known.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import optimize, special


@dataclass(frozen=True)
class CumulativeLogit:
    thresholds: np.ndarray
    coefficients: np.ndarray
    standard_errors: np.ndarray  # thresholds, then coefficients
    variance: float
    modes: np.ndarray
    log_likelihood: float


def fit_cumulative_logit(
    rating: np.ndarray, design: np.ndarray, group: np.ndarray | None = None
) -> CumulativeLogit:
    """rating 1..K (n,), design (n, p), group 0..m-1 (n,) or None for no random effect."""
    steps = int(rating.max()) - 1
    p = design.shape[1]
    levels = 0 if group is None else int(group.max()) + 1

    def unpack(values: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
        return values[:steps], values[steps : steps + p], float(values[-1]) if levels else 0.0

    def at(values: np.ndarray) -> tuple[float, np.ndarray]:
        thresholds, beta, log_sd = unpack(values)
        if levels == 0:
            return float(_log_share(rating, thresholds, design @ beta)[0].sum()), np.empty(0)
        return _laplace(rating, thresholds, design @ beta, group, levels, np.exp(log_sd))

    cuts = np.cumsum(np.bincount(rating)[1:-1]) / rating.size
    start = np.concatenate([special.logit(cuts), np.zeros(p), [0.0] * (levels > 0)])
    found = optimize.minimize(
        lambda values: -at(values)[0], start, method="BFGS", options={"gtol": 1e-5}
    )
    thresholds, beta, log_sd = unpack(found.x)
    hessian = _hessian(lambda values: -at(values)[0], found.x)
    errors = np.sqrt(np.diag(np.linalg.inv(hessian)))
    value, modes = at(found.x)
    variance = float(np.exp(2 * log_sd)) if levels else 0.0
    return CumulativeLogit(thresholds, beta, errors[: steps + p], variance, modes, value)


def expected_rating(fit: CumulativeLogit, line: np.ndarray) -> np.ndarray:
    """Mean rating at these values of the linear predictor."""
    below = special.expit(fit.thresholds[None, :] - line[:, None])
    return 1.0 + (1.0 - below).sum(axis=1)


def _log_share(
    rating: np.ndarray, thresholds: np.ndarray, line: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Log probability of each rating with its first two derivatives in the line."""
    edges = np.concatenate([[-np.inf], thresholds, [np.inf]])
    upper = special.expit(edges[rating] - line)
    lower = special.expit(edges[rating - 1] - line)
    share = np.maximum(upper - lower, 1e-100)  # its square must not overflow
    d_upper, d_lower = upper * (1 - upper), lower * (1 - lower)
    first = -(d_upper - d_lower) / share
    second = (d_upper * (1 - 2 * upper) - d_lower * (1 - 2 * lower)) / share - first**2
    return np.log(share), first, second


def _laplace(
    rating: np.ndarray,
    thresholds: np.ndarray,
    line: np.ndarray,
    group: np.ndarray,
    levels: int,
    sd: float,
) -> tuple[float, np.ndarray]:
    modes = np.zeros(levels)
    for _ in range(50):
        _, first, second = _log_share(rating, thresholds, line + modes[group])
        slope = np.bincount(group, first, levels) - modes / sd**2
        bend = np.bincount(group, second, levels) - 1 / sd**2
        step = slope / bend
        modes = modes - step
        if np.abs(step).max() < 1e-10:
            break
    log_share, _, second = _log_share(rating, thresholds, line + modes[group])
    bend = 1 / sd**2 - np.bincount(group, second, levels)
    value = log_share.sum() - 0.5 * (modes**2).sum() / sd**2
    return float(value - levels * np.log(sd) - 0.5 * np.log(bend).sum()), modes


def _hessian(function: object, at: np.ndarray, step: float = 1e-4) -> np.ndarray:
    size = at.size
    grid = np.eye(size) * step
    found = np.empty((size, size))
    for i in range(size):
        for j in range(size):
            found[i, j] = (
                function(at + grid[i] + grid[j])
                - function(at + grid[i] - grid[j])
                - function(at - grid[i] + grid[j])
                + function(at - grid[i] - grid[j])
            ) / (4 * step**2)
    return found
