"""The normal equations of a pooled model, built once so that no later step touches a row.

The columns fall into a dense part and, where there is one, an eliminated part: a factor with so
many levels that its block of the equations is diagonal (no row belongs to two of its levels).
Levels with the same weight share one sum, so that solving costs the same for a hundred batches
and for a hundred thousand; with weights all different each step goes over the levels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

LARGE_FACTOR = 60  # levels from which eliminating a factor pays
MOST_WEIGHTS = 300  # distinct level weights up to which levels are summed beforehand


@dataclass(frozen=True)
class Eliminated:
    """The factor solved through its diagonal block.

    columns (q,) into the design; diagonal (q,); cross (p, q) with the dense part; right (q,) its
    right-hand side; of_level (q,) which distinct weight a level has; cross_square (u, p, p) one
    sum of outer products a distinct weight, or None where levels are not summed.
    """

    columns: np.ndarray
    diagonal: np.ndarray
    cross: sparse.csr_array
    right: np.ndarray
    of_level: np.ndarray
    cross_square: np.ndarray | None

    def weighted_square(self, weight: np.ndarray) -> np.ndarray:
        """Sum weight × outer product of the cross terms over the levels, (p, p).

        weight (q,) must be the same for levels of the same diagonal.
        """
        if self.cross_square is None:
            return (self.cross.multiply(weight[None, :]) @ self.cross.T).toarray()
        by_weight = np.zeros(self.cross_square.shape[0])
        by_weight[self.of_level] = weight
        return np.tensordot(by_weight, self.cross_square, axes=1)


@dataclass(frozen=True)
class Gram:
    """Sums over the rows: everything that fitting needs to know of them."""

    dense_columns: np.ndarray  # (p,) into the design
    square: np.ndarray  # (p, p)
    right: np.ndarray  # (p,)
    y_square: float
    rows: float
    eliminated: Eliminated | None


def build_gram(
    design: sparse.csr_array | np.ndarray,
    y: np.ndarray,
    weight: np.ndarray,
    large: np.ndarray | None = None,
) -> Gram:
    """Sum the design over its rows.

    Parameters
    ----------
    design : array (n, p)
        Columns already centred where that is wanted.
    y, weight : array (n,)
        Response and weight of each row.
    large : array of int, optional
        Columns of the factor to eliminate; no row may have two of them.
    """
    weighted_y = weight * y
    if large is None or large.size == 0:
        dense = _densify(design)
        weighted = dense * weight[:, None]
        return Gram(
            dense_columns=np.arange(design.shape[1]),
            square=weighted.T @ dense,
            right=dense.T @ weighted_y,
            y_square=float(weighted_y @ y),
            rows=float(y.size),
            eliminated=None,
        )
    rows = sparse.csc_array(design)
    dense_columns = np.setdiff1d(np.arange(design.shape[1]), large)
    kept = sparse.csr_array(rows[:, dense_columns])
    factor = sparse.csr_array(rows[:, large])
    weighted_kept = kept.multiply(weight[:, None]).tocsr()
    return Gram(
        dense_columns=dense_columns,
        square=(weighted_kept.T @ kept).toarray(),
        right=kept.T @ weighted_y,
        y_square=float(weighted_y @ y),
        rows=float(y.size),
        eliminated=_eliminate(large, kept, factor, weight, weighted_y),
    )


def is_diagonal(design: sparse.csr_array | np.ndarray, columns: np.ndarray) -> bool:
    """Tell whether no row belongs to two of these columns."""
    block = sparse.csr_array(sparse.csc_array(design)[:, columns])
    block.eliminate_zeros()
    return bool(np.all(np.diff(block.indptr) <= 1))


def _densify(design: Any) -> np.ndarray:
    return np.asarray(design.toarray() if sparse.issparse(design) else design, dtype=float)


def _eliminate(
    large: np.ndarray,
    kept: sparse.csr_array,
    factor: sparse.csr_array,
    weight: np.ndarray,
    weighted_y: np.ndarray,
) -> Eliminated:
    weighted_factor = factor.multiply(weight[:, None]).tocsr()
    diagonal = np.asarray(weighted_factor.multiply(factor).sum(axis=0)).ravel()
    cross = sparse.csr_array(kept.T @ weighted_factor)
    right = factor.T @ weighted_y
    weights, of_level = np.unique(diagonal.round(12), return_inverse=True)
    return Eliminated(
        columns=large,
        diagonal=diagonal,
        cross=cross,
        right=right,
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
