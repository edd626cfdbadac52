"""Linear regression with some coefficients pooled: a mixed model as a scikit-learn estimator."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self, TypeAlias

import numpy as np
from scipy import sparse
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils.validation import _check_sample_weight, check_is_fitted, validate_data

from pipeline.learning.gram import LARGE_FACTOR, Gram, build_gram, is_diagonal
from pipeline.learning.solution import Solution, eliminated_coefficients
from pipeline.learning.spreads import Grouped, Problem, Spreads, estimate_spreads

ROBUST_DEGREES = 5.0  # Student's t of the robust likelihood; heavier tails lose too much
ROBUST_ROUNDS = 8
Rows: TypeAlias = Any  # numpy array or scipy.sparse.csr_array, (n, p)


@dataclass(frozen=True)
class Posterior:
    """Mean and standard deviation of the expected response of some rows."""

    mean: np.ndarray
    sd: np.ndarray


class PooledRegressor(RegressorMixin, BaseEstimator):  # type: ignore[misc]  # untyped bases
    """Least squares in which groups of columns are drawn from common normal distributions.

    One column per fruit drawn from one distribution is a random intercept of fruit; the fruit's
    kilograms in that column make it a random slope. How wide each distribution is comes from
    restricted maximum likelihood, drawn towards what is known beforehand where a group says so.
    Columns in no group are fixed effects. The largest group of indicator columns is eliminated
    through its diagonal block.

    Parameters
    ----------
    grouped : sequence of Grouped
        Which columns belong together.
    residual : (float, float), optional
        Expected residual standard deviation and the doubt about its logarithm.
    fit_intercept : bool
    robust : bool
        Student's t instead of normal residuals: a mistyped reading then bends nothing.

    Attributes
    ----------
    coef_ : array (p,)
    intercept_ : float
    residual_sd_ : float
    group_sd_ : dict of str to float
    covariance_ : array (d, d)
        Posterior covariance of the intercept (if any) and the columns not eliminated.
    degrees_ : float
        Degrees of freedom that the residual spread rests on.
    criterion_ : float
        -2 log restricted likelihood.
    constant_ : array of bool (p,)
        Columns that never vary, so that nothing was learnt of them.

    Examples
    --------
    >>> import numpy as np
    >>> X = np.array([[0.0], [1.0], [2.0], [3.0]])
    >>> model = PooledRegressor().fit(X, np.array([1.0, 3.0, 5.0, 7.0]))
    >>> round(float(model.predict(np.array([[4.0]]))[0]), 6)
    9.0
    """

    def __init__(
        self,
        grouped: Sequence[Grouped] = (),
        residual: tuple[float, float] | None = None,
        fit_intercept: bool = True,
        robust: bool = False,
    ) -> None:
        self.grouped = grouped
        self.residual = residual
        self.fit_intercept = fit_intercept
        self.robust = robust

    def fit(
        self,
        X: Rows,
        y: np.ndarray,
        sample_weight: np.ndarray | None = None,
        start: np.ndarray | None = None,
    ) -> Self:
        """Fit to rows X (n, p), dense or sparse, and responses y (n,).

        Parameters
        ----------
        sample_weight : array (n,), optional
            Precision of each row relative to the others.
        start : array, optional
            `log_spreads_` of a fit to nearly the same rows, to start from.
        """
        X, y = validate_data(
            self, X, y, accept_sparse="csr", y_numeric=True, dtype=np.float64, ensure_min_samples=1
        )
        weight = _check_sample_weight(sample_weight, X, ensure_non_negative=True)
        X, y, weight = X[weight > 0], y[weight > 0], weight[weight > 0]
        self._prepare(X, weight)
        tail = np.ones(y.size)
        for _ in range(ROBUST_ROUNDS if self.robust else 1):
            spreads = self._fit_weighted(X, y, weight * tail, start)
            start = self.log_spreads_
            if self.robust:
                tail = self._tail_weights(X, y, weight, spreads)
        return self

    def predict(
        self, X: Rows, return_std: bool = False
    ) -> np.ndarray | tuple[np.ndarray, np.ndarray]:
        """Predict new rows, with the standard deviation of a new observation if asked."""
        check_is_fitted(self)
        X = validate_data(self, X, accept_sparse="csr", dtype=np.float64, reset=False)
        if not return_std:
            return np.asarray(X @ self.coef_).ravel() + self.intercept_
        posterior = self.posterior(X)
        return posterior.mean, np.hypot(posterior.sd, self.residual_sd_)

    def posterior(self, X: Rows) -> Posterior:
        """Return the expected response of rows X and how surely it is known."""
        dense = self._through(X)
        variance = np.einsum("ij,jk,ik->i", dense, self.covariance_, dense)
        variance += self._eliminated_variance(X)
        mean = np.asarray(X @ self.coef_).ravel() + self.intercept_
        return Posterior(mean, np.sqrt(np.maximum(variance, 0.0)))

    def contributions(self, X: Rows, terms: Mapping[str, Sequence[int]]) -> dict[str, Posterior]:
        """Split X @ coef_ by term: each the sum over some columns, with its posterior spread.

        Give differences of rows (this batch less the typical one) to learn why two differ.
        """
        found = {}
        for name, columns in terms.items():
            mask = np.zeros(X.shape[1])
            mask[list(columns)] = 1.0
            part = X @ sparse.diags_array(mask) if sparse.issparse(X) else X * mask
            dense = self._through(part, with_intercept=False)
            variance = np.einsum("ij,jk,ik->i", dense, self.covariance_, dense)
            variance += self._eliminated_variance(part)
            found[name] = Posterior(
                np.asarray(part @ self.coef_).ravel(), np.sqrt(np.maximum(variance, 0.0))
            )
        return found

    def _prepare(self, X: Rows, weight: np.ndarray) -> None:
        """Means to centre by, columns that never vary, and which group to eliminate."""
        self.grouped_ = tuple(g for g in self.grouped if len(g.columns) > 0)
        of_column = np.full(X.shape[1], -1)
        for k, group in enumerate(self.grouped_):
            of_column[list(group.columns)] = k
        self.of_column_ = of_column
        lows, highs = _column_range(X)
        self.constant_ = (highs - lows) <= 1e-12 * np.maximum(np.abs(highs), 1e-300)
        mean = np.asarray(weight @ X).ravel() / weight.sum()
        centred = self.fit_intercept & (of_column < 0)
        self.center_ = np.where(centred, mean, 0.0)
        self.eliminated_group_ = self._group_to_eliminate(X)

    def _group_to_eliminate(self, X: Rows) -> int | None:
        sizes = [len(group.columns) for group in self.grouped_]
        for k in np.argsort(sizes)[::-1]:
            columns = np.array(self.grouped_[k].columns)
            if sizes[k] >= LARGE_FACTOR and is_diagonal(X, columns):
                return int(k)
        return None

    def _augmented(self, X: Rows) -> Rows:
        """Design with the intercept in front, fixed columns centred."""
        fixed = np.flatnonzero(self.center_)
        if not sparse.issparse(X):
            body: Rows = X - self.center_
            front = np.full((X.shape[0], 1), float(self.fit_intercept))
            return np.hstack([front, body])
        shift = sparse.csr_array(np.ones((X.shape[0], 1))) @ sparse.csr_array(self.center_[None, :])
        body = sparse.csr_array(X - shift) if fixed.size else sparse.csr_array(X)
        front = sparse.csr_array(np.full((X.shape[0], 1), float(self.fit_intercept)))
        return sparse.csr_array(sparse.hstack([front, body]))

    def _fit_weighted(
        self, X: Rows, y: np.ndarray, weight: np.ndarray, start: np.ndarray | None
    ) -> Spreads:
        center = float(weight @ y / weight.sum()) if self.fit_intercept else 0.0
        large = None
        if self.eliminated_group_ is not None:
            large = np.array(self.grouped_[self.eliminated_group_].columns) + 1
        gram = build_gram(self._augmented(X), y - center, weight, large)
        problem = self._problem(gram)
        spreads = estimate_spreads(problem, start)
        self._keep(gram, problem, spreads, center)
        return spreads

    def _problem(self, gram: Gram) -> Problem:
        of_column = np.concatenate([[-1], self.of_column_])[gram.dense_columns]
        return Problem(
            gram=gram,
            groups=self.grouped_,
            of_column=of_column,
            eliminated_group=self.eliminated_group_,
            fixed_rank=_rank(gram.square[np.ix_(of_column < 0, of_column < 0)]),
            residual=self.residual,
            y_scale=math.sqrt(gram.y_square / gram.rows) or 1e-6,
        )

    def _keep(self, gram: Gram, problem: Problem, spreads: Spreads, center: float) -> None:
        solution = spreads.solution
        full = np.zeros(self.of_column_.size + 1)
        full[gram.dense_columns] = solution.coefficients
        if gram.eliminated is not None:
            full[gram.eliminated.columns] = eliminated_coefficients(gram, solution)
        full[1:][self.constant_ & (self.of_column_ < 0)] = 0.0
        self.coef_ = full[1:]
        self.intercept_ = center + full[0] - float(self.center_ @ self.coef_)
        self.residual_sd_ = spreads.residual
        self.group_sd_ = {
            group.name: float(sd) for group, sd in zip(self.grouped_, spreads.of_group, strict=True)
        }
        self.log_spreads_ = np.log(np.concatenate([[spreads.residual], spreads.of_group]))
        self.covariance_ = spreads.residual**2 * solution.inverse
        self.criterion_ = spreads.criterion
        self.degrees_ = self._degrees(gram, problem, spreads)
        self.gram_, self.solution_ = gram, solution

    def _degrees(self, gram: Gram, problem: Problem, spreads: Spreads) -> float:
        """Rows less the coefficients they pay for, plus what the residual's prior is worth."""
        solution: Solution = spreads.solution
        spent = float(problem.fixed_rank)
        diagonal = np.diag(solution.inverse)
        for k, sd in enumerate(spreads.of_group):
            ratio = (spreads.residual / sd) ** 2
            if k == self.eliminated_group_ and gram.eliminated is not None:
                spent += gram.eliminated.diagonal.size - ratio * solution.eliminated_trace
            else:
                mine = problem.of_column == k
                spent += mine.sum() - ratio * diagonal[mine].sum()
        known = 0.0 if self.residual is None else 0.5 / max(self.residual[1], 0.01) ** 2
        return max(gram.rows - spent, 0.0) + known

    def _through(self, X: Rows, with_intercept: bool = True) -> np.ndarray:
        """Rows as the dense part sees them, the eliminated factor swept out."""
        rows = sparse.csr_array(X)
        dense_columns = self.gram_.dense_columns
        center = np.concatenate([[0.0], self.center_])[dense_columns]
        front = sparse.csr_array(np.full((rows.shape[0], 1), float(self.fit_intercept)))
        full = sparse.csc_array(sparse.hstack([front, rows]))
        dense = full[:, dense_columns].toarray()
        if with_intercept:
            dense = dense - center
        else:
            dense[:, 0] = 0.0
        if self.gram_.eliminated is not None:
            part = self.gram_.eliminated
            share = 1.0 / (part.diagonal + self.solution_.eliminated_ratio)
            dense = dense - (full[:, part.columns].multiply(share) @ part.cross.T).toarray()
        return dense

    def _eliminated_variance(self, X: Rows) -> np.ndarray:
        if self.gram_.eliminated is None:
            return np.zeros(X.shape[0])
        part = self.gram_.eliminated
        share = 1.0 / (part.diagonal + self.solution_.eliminated_ratio)
        mine = sparse.csc_array(X)[:, part.columns - 1]
        return self.residual_sd_**2 * np.asarray(mine.power(2) @ share).ravel()

    def _tail_weights(
        self, X: Rows, y: np.ndarray, weight: np.ndarray, spreads: Spreads
    ) -> np.ndarray:
        """Weights of the t likelihood given where the residuals are now."""
        residual = y - np.asarray(X @ self.coef_).ravel() - self.intercept_
        square = weight * (residual / spreads.residual) ** 2
        return (ROBUST_DEGREES + 1) / (ROBUST_DEGREES + square)

    def __sklearn_tags__(self) -> Any:
        tags = super().__sklearn_tags__()
        tags.input_tags.sparse = True
        return tags


def _column_range(X: Rows) -> tuple[np.ndarray, np.ndarray]:
    if sparse.issparse(X):
        lows, highs = X.min(axis=0), X.max(axis=0)
        return lows.toarray().ravel(), highs.toarray().ravel()
    return X.min(axis=0), X.max(axis=0)


def _rank(square: np.ndarray) -> int:
    """Return the number of fixed effects that the rows can tell apart."""
    scale = np.sqrt(np.maximum(np.diag(square), 0.0))
    kept = scale > 0
    correlation = square[np.ix_(kept, kept)] / np.outer(scale[kept], scale[kept])
    return int((np.linalg.eigvalsh(correlation) > 1e-9).sum()) if kept.any() else 0
