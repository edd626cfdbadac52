"""The normal equations of a pooled model, built once so that no later step touches a row.

Beside the columns of the design there may be one factor with very many levels (a batch, a judge),
of which every row has one. Its block of the equations is diagonal, so it is eliminated: solved for
through that diagonal, whatever the number of levels. Levels with the same weight share one sum, so
that solving costs the same for a hundred batches and for a hundred thousand; with weights all
different each step goes over the levels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

MOST_WEIGHTS = 100  # distinct level weights up to which levels are summed beforehand
MOST_DENSE = 4_000_000  # cross terms up to which they are kept as a plain array


@dataclass(frozen=True)
class Eliminated:
    """The factor solved through its diagonal block.

    diagonal (q,); cross (p, q) with the design; right (q,) its right-hand side; of_level (q,)
    which distinct weight a level has; cross_square (u, p, p) one sum of outer products a distinct
    weight, or None where levels are not summed.
    """

    diagonal: np.ndarray
    cross: Any
    right: np.ndarray
    of_level: np.ndarray
    cross_square: np.ndarray | None

    def weighted_square(self, weight: np.ndarray) -> np.ndarray:
        """Sum weight × outer product of the cross terms over the levels, (p, p).

        weight (q,) must be the same for levels of the same diagonal.
        """
        if self.cross_square is None:
            if sparse.issparse(self.cross):
                return (self.cross.multiply(weight[None, :]) @ self.cross.T).toarray()
            return (self.cross * weight) @ self.cross.T
        by_weight = np.zeros(self.cross_square.shape[0])
        by_weight[self.of_level] = weight
        return np.tensordot(by_weight, self.cross_square, axes=1)


@dataclass(frozen=True)
class Gram:
    """Sums over the rows: everything that fitting needs to know of them."""

    square: np.ndarray  # (p, p)
    right: np.ndarray  # (p,)
    y_square: float
    rows: float
    eliminated: Eliminated | None


def build_gram(
    design: Any,
    y: np.ndarray,
    weight: np.ndarray,
    levels: np.ndarray | None = None,
    reach: np.ndarray | None = None,
) -> Gram:
    """Sum the design over its rows.

    Parameters
    ----------
    design : array or sparse array (n, p)
        Columns already centred where that is wanted.
    y, weight : array (n,)
        Response and weight of each row.
    levels : array of int (n,), optional
        Level 0 to q-1 that each row has of the factor to eliminate.
    reach : array (n,), optional
        What its level's effect is multiplied by in each row; one where none is given.
    """
    reach = np.ones(y.size) if reach is None else reach
    weighted_y = weight * y
    if sparse.issparse(design):
        weighted = sparse.csr_array(design.multiply(weight[:, None]))
        square = (weighted.T @ design).toarray()
    else:
        weighted = design * weight[:, None]
        square = weighted.T @ design
    return Gram(
        square=square,
        right=np.asarray(design.T @ weighted_y),
        y_square=float(weighted_y @ y),
        rows=float(y.size),
        eliminated=None if levels is None else _eliminate(levels, weighted, weight, y, reach),
    )


def _eliminate(
    levels: np.ndarray, weighted: Any, weight: np.ndarray, y: np.ndarray, reach: np.ndarray
) -> Eliminated:
    count = int(levels.max()) + 1
    belongs = sparse.csr_array((reach, (np.arange(y.size), levels)), shape=(y.size, count))
    diagonal = np.bincount(levels, weights=weight * reach**2, minlength=count)
    cross = sparse.csr_array(sparse.csr_array(weighted).T @ belongs)
    weights, of_level = np.unique(diagonal.round(12), return_inverse=True)
    return Eliminated(
        diagonal=diagonal,
        cross=cross.toarray() if cross.shape[0] * count <= MOST_DENSE else cross,
        right=np.bincount(levels, weights=weight * reach * y, minlength=count),
        of_level=of_level,
        cross_square=_summed_squares(cross, of_level) if weights.size <= MOST_WEIGHTS else None,
    )


def _summed_squares(cross: sparse.csr_array, of_level: np.ndarray) -> np.ndarray:
    by_level = sparse.csc_array(cross)
    p = cross.shape[0]
    summed = np.zeros((int(of_level.max()) + 1, p, p))
    for u in range(summed.shape[0]):
        block = by_level[:, of_level == u]
        summed[u] = (block @ block.T).toarray()
    return summed


def with_intercept(design: Any, center: np.ndarray, has_intercept: bool) -> Any:
    """Return the design with a column of ones (or noughts) in front and its columns centred."""
    front = np.full((design.shape[0], 1), float(has_intercept))
    if not sparse.issparse(design):
        return np.hstack([front, design - center])
    body = sparse.csr_array(design)
    if center.any():
        shift = sparse.csr_array(front) @ sparse.csr_array(center[None, :])
        body = sparse.csr_array(body - shift)
    return sparse.csr_array(sparse.hstack([sparse.csr_array(front), body]))


def flat(values: Any) -> np.ndarray:
    """Return a row of numbers, however scipy or numpy hands it over."""
    return np.asarray(values.toarray() if sparse.issparse(values) else values).ravel()


def rank(square: np.ndarray) -> int:
    """Return the number of columns of these normal equations that can be told apart."""
    scale = np.sqrt(np.maximum(np.diag(square), 0.0))
    kept = scale > 0
    correlation = square[np.ix_(kept, kept)] / np.outer(scale[kept], scale[kept])
    return int((np.linalg.eigvalsh(correlation) > 1e-9).sum()) if kept.any() else 0
