"""Student's t instead of normal residuals: what lies far out counts less."""

from __future__ import annotations

import numpy as np

ROBUST_DEGREES = 5.0  # heavier tails than these lose too much where nothing is mistyped


def tail_weights(residual: np.ndarray, weight: np.ndarray, sd: float) -> np.ndarray:
    """Return the weight of each row under Student's t, about one for an ordinary row.

    Parameters
    ----------
    residual, weight : array (n,)
        What is left over, and the row's precision relative to the others.
    sd : float
        Residual standard deviation of a row of weight one.

    Examples
    --------
    >>> tail_weights(np.array([0.0, 10.0]), np.ones(2), 1.0).round(2)
    array([1.2 , 0.06])
    """
    return (ROBUST_DEGREES + 1) / (ROBUST_DEGREES + weight * (residual / sd) ** 2)
