"""The mixed model as a scikit-learn estimator, for whoever works with its tools."""

from __future__ import annotations

from typing import Any, Self

import numpy as np
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils.validation import _check_sample_weight, check_is_fitted, validate_data

from pipeline.learning.mixed import MixedModel, Rows


class PooledRegressor(RegressorMixin, MixedModel, BaseEstimator):  # type: ignore[misc]  # untyped
    """Least squares in which groups of columns are drawn from common normal distributions.

    Parameters and attributes are those of `pipeline.learning.mixed.MixedModel`; what it is given is
    checked as scikit-learn does.

    Examples
    --------
    >>> import numpy as np
    >>> X = np.array([[0.0], [1.0], [2.0], [3.0]])
    >>> model = PooledRegressor().fit(X, np.array([1.0, 3.0, 5.0, 7.0]))
    >>> round(float(model.predict(np.array([[4.0]]))[0]), 4)
    9.0
    """

    def fit(
        self,
        X: Rows,
        y: np.ndarray,
        groups: np.ndarray | None = None,
        sample_weight: np.ndarray | None = None,
        start: np.ndarray | None = None,
        reach: np.ndarray | None = None,
    ) -> Self:
        """Fit to rows X (n, p), dense or sparse, and responses y (n,), as `MixedModel.fit`."""
        X, y = validate_data(
            self, X, y, accept_sparse="csr", y_numeric=True, dtype=np.float64, ensure_min_samples=1
        )
        weight = _check_sample_weight(sample_weight, X, ensure_non_negative=True)
        return super().fit(X, y, groups, weight, start, reach)

    def predict(
        self, X: Rows, return_std: bool = False
    ) -> np.ndarray | tuple[np.ndarray, np.ndarray]:
        """Predict rows of a new group, with the residual's part of the doubt in the deviation."""
        check_is_fitted(self)
        X = validate_data(self, X, accept_sparse="csr", dtype=np.float64, reset=False)
        if not return_std:
            return self.mean(X)
        posterior = self.posterior(X)
        between = self.group_sd_[self._between().name] if self.groups_.size else 0.0
        return posterior.mean, np.hypot(posterior.sd, np.hypot(self.residual_sd_, between))

    def __sklearn_tags__(self) -> Any:
        tags = super().__sklearn_tags__()
        tags.input_tags.sparse = True
        return tags
