"""How surely a linear combination of a model's coefficients is known."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from pipeline.learning.mixed import MixedModel
from pipeline.learning.mixed.curved import CurvedFit
from pipeline.learning.mixed.spreads import Grouped

Spread = Callable[[np.ndarray], np.ndarray]  # rows (n, width) to standard deviations (n,)


def curved_spread(fit: CurvedFit | None, grouped: Sequence[Grouped], width: int) -> Spread:
    """Return the spread of a curved model's coefficients; the priors' where nothing is fitted."""
    if fit is not None:
        return regressor_spread(fit.regressor)
    prior = np.zeros(width)
    for group in grouped:
        prior[list(group.columns)] = group.sd or 0.0
    return lambda rows: np.sqrt((rows**2) @ prior**2)


def regressor_spread(regressor: MixedModel) -> Spread:
    """Return the spread of a regressor's coefficients, its intercept left out."""
    covariance = regressor.covariance_[1:, 1:]

    def spread(rows: np.ndarray) -> np.ndarray:
        variance = ((rows @ covariance) * rows).sum(axis=1)
        return np.sqrt(np.maximum(variance, 0.0))

    return spread
