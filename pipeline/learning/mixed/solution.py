"""The posterior of a pooled model at given spreads, from its normal equations alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from pipeline.learning.mixed.gram import Gram


@dataclass(frozen=True)
class Solution:
    """Coefficients of the dense part and what the likelihood and its gradient need.

    ratios are residual variance ÷ prior variance per column (nought = no prior).
    """

    coefficients: np.ndarray  # (p,) dense part
    inverse: np.ndarray  # (p, p); times the residual variance: posterior covariance
    log_determinant: float
    residual_square: float  # penalised residual sum of squares
    eliminated_ratio: float
    eliminated_square: float  # sum of squares of the eliminated coefficients


def solve(gram: Gram, ratios: np.ndarray, eliminated_ratio: float = 1.0) -> Solution:
    """Solve the equations with these ratios on their diagonal.

    Parameters
    ----------
    gram : Gram
    ratios : array (p,)
        Residual variance ÷ prior variance of each dense column.
    eliminated_ratio : float
        The same of the eliminated factor.
    """
    square = gram.square.copy()
    right = gram.right.copy()
    left_over = gram.y_square
    log_determinant = 0.0
    if gram.eliminated is not None:
        part = gram.eliminated
        share = 1.0 / (part.diagonal + eliminated_ratio)
        square -= part.weighted_square(lambda diagonal: 1.0 / (diagonal + eliminated_ratio))
        right -= part.cross @ (share * part.right)
        left_over -= float(share @ part.right**2)
        log_determinant -= float(np.log(share).sum())
    square[np.diag_indices_from(square)] += ratios
    scale = 1.0 / np.sqrt(np.maximum(np.diag(square), 1e-300))
    factor = _cholesky(square * np.outer(scale, scale))
    half, _ = linalg.lapack.dpotri(factor, lower=1)
    inverse = (half + np.tril(half, -1).T) * np.outer(scale, scale)
    coefficients = inverse @ right
    log_determinant += 2 * float(np.log(np.diag(factor)).sum() - np.log(scale).sum())
    residual = max(left_over - float(right @ coefficients), 1e-12 * max(gram.y_square, 1e-300))
    return Solution(
        coefficients,
        inverse,
        log_determinant,
        residual,
        eliminated_ratio,
        _eliminated_square(gram, coefficients, eliminated_ratio),
    )


def _cholesky(square: np.ndarray) -> np.ndarray:
    """Factor a correlation-like matrix; one that rounding made singular is nudged."""
    for nudge in (0.0, 1e-10, 1e-8, 1e-6):
        try:
            nudged = square + nudge * np.eye(square.shape[0])
            return linalg.cholesky(nudged, lower=True, check_finite=False)
        except linalg.LinAlgError:
            continue
    raise linalg.LinAlgError(
        "The normal equations must be positive definite, got an indefinite set."
    )


def eliminated_coefficients(gram: Gram, solution: Solution) -> np.ndarray:
    """Return the effect of each level of the eliminated factor, (q,)."""
    if gram.eliminated is None:
        return np.empty(0)
    part = gram.eliminated
    explained = part.cross.T @ solution.coefficients
    return (part.right - explained) / (part.diagonal + solution.eliminated_ratio)


def _eliminated_square(gram: Gram, coefficients: np.ndarray, ratio: float) -> float:
    """Sum of squares of the eliminated coefficients."""
    if gram.eliminated is None:
        return 0.0
    part = gram.eliminated
    effects = (part.right - part.cross.T @ coefficients) / (part.diagonal + ratio)
    return float(effects @ effects)
