"""Linear regression with some coefficients pooled: a mixed model.

Without scikit-learn, which takes longer to start than most answers take; `pooled` is the same as an
estimator of its kind.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Self, TypeAlias

import numpy as np
from scipy import sparse

from pipeline.learning.mixed.gram import build_gram, flat, rank, with_intercept
from pipeline.learning.mixed.solution import eliminated_coefficients
from pipeline.learning.mixed.spreads import Grouped, Problem, Spreads, estimate_spreads
from pipeline.learning.mixed.tails import tail_weights

ROBUST_ROUNDS = 8
ROBUST_ENOUGH = 0.03  # change of a row's weight below which another round is not worth it
Rows: TypeAlias = Any  # numpy array or scipy.sparse.csr_array, (n, p)


@dataclass(frozen=True)
class Posterior:
    """Mean and standard deviation of the expected response of some rows."""

    mean: np.ndarray
    sd: np.ndarray


@dataclass(frozen=True)
class Data:
    """What a fit is to but the design; arrays (n,)."""

    y: np.ndarray
    weight: np.ndarray
    levels: np.ndarray | None
    reach: np.ndarray


class MixedModel:
    """Least squares in which groups of columns are drawn from common normal distributions.

    An indicator column per fruit is a random intercept of fruit; its kilograms in that column make
    it a random slope. How wide each distribution is comes from restricted maximum likelihood, drawn
    towards what is known beforehand where a group says so. Columns in no group are fixed effects. A
    factor with very many levels is given to `fit` as `groups` and eliminated.

    Parameters
    ----------
    grouped : sequence of Grouped
        Which columns belong together.
    between : Grouped, optional
        What is known of the spread between `groups`; its columns are not used.
    residual : (float, float), optional
        Expected residual standard deviation and the doubt about its logarithm.
    fit_intercept : bool
    robust : bool
        Student's t for normal residuals: a mistyped reading then bends nothing.
    tol : float
        Expected fall of the criterion below which the spreads are left as they are,
    most_steps : int
        as they are after so many steps.

    Attributes
    ----------
    coef_ : array (p,)
    intercept_, residual_sd_ : float
    group_sd_ : dict of str to float
    groups_, group_effects_ : array (q,)
        Levels of the eliminated factor and their effects.
    covariance_ : array (p + 1, p + 1)
        Posterior covariance of intercept and coefficients, at the columns' means.
    degrees_ : float
        Degrees of freedom that the residual spread rests on.
    criterion_ : float
        -2 log restricted likelihood.
    constant_ : array of bool (p,)
        Columns that never vary, so that nothing was learnt of them.
    """

    def __init__(
        self,
        grouped: Sequence[Grouped] = (),
        between: Grouped | None = None,
        residual: tuple[float, float] | None = None,
        fit_intercept: bool = True,
        robust: bool = False,
        tol: float = 1e-9,
        most_steps: int = 60,
    ) -> None:
        self.grouped = grouped
        self.between = between
        self.residual = residual
        self.fit_intercept = fit_intercept
        self.robust = robust
        self.tol = tol
        self.most_steps = most_steps

    def fit(
        self,
        X: Rows,
        y: np.ndarray,
        groups: np.ndarray | None = None,
        sample_weight: np.ndarray | None = None,
        start: np.ndarray | None = None,
        reach: np.ndarray | None = None,
    ) -> Self:
        """Fit to rows X (n, p), dense or sparse, and responses y (n,).

        Parameters
        ----------
        groups : array (n,), optional
            The level that each row has of the factor to eliminate.
        sample_weight : array (n,), optional
            Precision of each row relative to the others.
        start : array, optional
            `log_spreads_` of a fit to nearly the same rows, to start from.
        reach : array (n,), optional
            What a group's effect is multiplied by in each row, a random slope; one by default.
        """
        weight = np.ones(y.size) if sample_weight is None else sample_weight
        kept, levels = weight > 0, None
        X, y, weight = X[kept], y[kept], weight[kept]
        reach = np.ones(y.size) if reach is None else np.asarray(reach, dtype=float)[kept]
        self.groups_, self.group_effects_ = np.empty(0), np.empty(0)
        if groups is not None:
            self.groups_, levels = np.unique(np.asarray(groups)[kept], return_inverse=True)
        self._prepare(X, weight, levels is not None)
        rows = with_intercept(X, self.center_, self.fit_intercept)
        data, tail = Data(y, weight, levels, reach), np.ones(y.size)
        self._fit_once(rows, data, start)
        for _ in range(ROBUST_ROUNDS if self.robust else 0):
            residual = self._residual(X, data)
            before, tail = tail, tail_weights(residual, weight, self.residual_sd_)
            if np.abs(tail - before).max() < ROBUST_ENOUGH:
                break
            self._fit_once(rows, replace(data, weight=weight * tail), self.log_spreads_)
        return self

    def mean(self, X: Rows) -> np.ndarray:
        """Return the expected response of rows X (n,)."""
        return flat(X @ self.coef_) + self.intercept_

    def posterior(self, X: Rows) -> Posterior:
        """Return the expected response of rows X and how surely it is known."""
        rows = with_intercept(X, self.center_, self.fit_intercept)
        return Posterior(self.mean(X), self._deviation(rows))

    def contributions(self, X: Rows, terms: Mapping[str, Sequence[int]]) -> dict[str, Posterior]:
        """Split X @ coef_ by term: each the sum over some columns, with its posterior spread.

        Give differences of rows (this batch less the typical one) to learn why two differ.
        """
        found = {}
        for name, columns in terms.items():
            mask = np.zeros(X.shape[1])
            mask[list(columns)] = 1.0
            part = sparse.csr_array(X) @ sparse.diags_array(mask)
            rows = sparse.hstack([sparse.csr_array((X.shape[0], 1)), part])
            found[name] = Posterior(flat(part @ self.coef_), self._deviation(rows))
        return found

    def _between(self) -> Grouped:
        return self.between or Grouped("groups", ())

    def _prepare(self, X: Rows, weight: np.ndarray, has_groups: bool) -> None:
        """Means to centre by, columns that never vary and the groups in their order."""
        self.grouped_ = tuple(g for g in self.grouped if len(g.columns) > 0)
        of_column = np.full(X.shape[1], -1)
        for k, group in enumerate(self.grouped_):
            of_column[list(group.columns)] = k
        if has_groups:
            self.grouped_ = (*self.grouped_, self._between())
        self.of_column_ = of_column
        lows, highs = (flat(X.min(axis=0)), flat(X.max(axis=0)))
        self.constant_ = (highs - lows) <= 1e-12 * np.maximum(np.abs(highs), 1e-300)
        mean = flat(weight @ X) / weight.sum()
        self.center_ = np.where(self.fit_intercept & (of_column < 0), mean, 0.0)

    def _fit_once(self, rows: Rows, data: Data, start: np.ndarray | None) -> None:
        weight = data.weight
        center = float(weight @ data.y / weight.sum()) if self.fit_intercept else 0.0
        gram = build_gram(rows, data.y - center, weight, data.levels, data.reach)
        of_column = np.concatenate([[-1], self.of_column_])
        problem = Problem(
            gram=gram,
            groups=self.grouped_,
            of_column=of_column,
            fixed_rank=rank(gram.square[np.ix_(of_column < 0, of_column < 0)]),
            residual=self.residual,
            y_scale=math.sqrt(gram.y_square / gram.rows) or 1e-6,
        )
        self._keep(problem, estimate_spreads(problem, start, self.tol, self.most_steps), center)

    def _keep(self, problem: Problem, spreads: Spreads, center: float) -> None:
        solution = spreads.solution
        coefficients, covariance = solution.coefficients.copy(), solution.inverse.copy()
        untold = 1 + np.flatnonzero(self.constant_ & (self.of_column_ < 0))
        coefficients[untold] = 0.0
        covariance[untold], covariance[:, untold] = 0.0, 0.0
        self.coef_ = coefficients[1:]
        self.intercept_ = center + coefficients[0] - float(self.center_ @ self.coef_)
        self.residual_sd_ = spreads.residual
        self.group_sd_ = {
            group.name: float(sd) for group, sd in zip(self.grouped_, spreads.of_group, strict=True)
        }
        self.log_spreads_ = np.log(np.concatenate([[spreads.residual], spreads.of_group]))
        self.covariance_ = spreads.residual**2 * covariance
        self.criterion_ = spreads.criterion
        self.degrees_ = spreads.degrees
        if problem.gram.eliminated is not None:
            self.group_effects_ = eliminated_coefficients(problem.gram, solution)

    def _deviation(self, rows: Rows) -> np.ndarray:
        dense = rows.toarray() if sparse.issparse(rows) else rows
        variance = ((dense @ self.covariance_) * dense).sum(axis=1)
        return np.sqrt(np.maximum(variance, 0.0))

    def _residual(self, X: Rows, data: Data) -> np.ndarray:
        residual = data.y - flat(X @ self.coef_) - self.intercept_
        if data.levels is not None:
            residual = residual - data.reach * self.group_effects_[data.levels]
        return residual
