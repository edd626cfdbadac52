"""The normal equations of a pooled model, built once so that no later step touches a row.

Beside the columns of the design there may be one factor with very many levels (a batch, a judge),
of which every row has one. Its block of the equations is diagonal, so it is eliminated: solved for
through that diagonal, whatever the number of levels. Levels with the same weight share one sum, so
that solving costs the same for a hundred batches and for a hundred thousand. Where weights are all
different each step goes over the levels; where those are very many too, each level is divided
between the four nearest of a grid of weights: interpolation by a cubic, which leaves four digits of
an estimate alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse
from scipy.linalg import blas

MOST_WEIGHTS = 100  # distinct level weights up to which levels are summed beforehand
MOST_LEVELS = 5000  # levels of different weight up to which each step goes over them
FINEST_STEP, MOST_STEPS = 0.04, 500  # of the grid, in the logarithm of weights
LEAST_WEIGHT = 1e-9  # of the greatest, below which levels weigh so little that all are alike
MOST_DENSE = 4_000_000  # cross terms up to which they are kept as a plain array


@dataclass(frozen=True)
class Eliminated:
    """The factor solved through its diagonal block.

    diagonal (q,); cross (p, q) with the design; right (q,) its right-hand side; nodes (u,) distinct
    weights; cross_square (u, p, p) one sum of outer products a node, or None where levels are not
    summed.
    """

    diagonal: np.ndarray
    cross: Any
    right: np.ndarray
    nodes: np.ndarray
    cross_square: np.ndarray | None

    def weighted_square(self, weigh: Callable[[np.ndarray], np.ndarray]) -> np.ndarray:
        """Sum weigh(diagonal) × outer product of the cross terms over the levels, (p, p)."""
        if self.cross_square is not None:
            return np.tensordot(weigh(self.nodes), self.cross_square, axes=1)
        weight = weigh(self.diagonal)
        if sparse.issparse(self.cross):
            return (self.cross.multiply(weight[None, :]) @ self.cross.T).toarray()
        half = blas.dsyrk(1.0, (self.cross * np.sqrt(weight)).T, trans=1)  # its upper triangle
        return half + np.triu(half, 1).T


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
    cross = sparse.csr_array((belongs.T @ weighted).T)
    nodes, level_at = np.unique(diagonal.round(12), return_inverse=True)
    summed = None
    if nodes.size <= MOST_WEIGHTS:
        summed = _summed_squares(cross, level_at, np.ones((count, 1)), nodes.size)
    elif count > MOST_LEVELS:
        at = np.log(np.maximum(diagonal, LEAST_WEIGHT * nodes[-1]))
        step = max(FINEST_STEP, (at.max() - at.min()) / MOST_STEPS)
        first, shares = _shares((at - at.min()) / step)
        nodes = np.exp(at.min() + step * np.arange(-1, first.max() + 3))
        summed = _summed_squares(cross, first, shares, nodes.size)
    return Eliminated(
        diagonal=diagonal,
        cross=cross.toarray() if cross.shape[0] * count <= MOST_DENSE else cross,
        right=np.bincount(levels, weights=weight * reach * y, minlength=count),
        nodes=nodes,
        cross_square=summed,
    )


def _shares(place: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return which four points of a grid surround each level, and its share at each (q, 4).

    The grid's points are -1, 0, 1 …; of the four the first is told, counted from -1. A function's
    values at the points, times the shares, are those of a cubic through them.
    """
    first = place.astype(int)
    t = 1 + place - first
    shares = [
        (1 - t) * (2 - t) * (3 - t) / 6,
        t * (2 - t) * (3 - t) / 2,
        t * (t - 1) * (3 - t) / 2,
        t * (t - 1) * (t - 2) / 6,
    ]
    return first, np.column_stack(shares)


def _summed_squares(
    cross: sparse.csr_array, first: np.ndarray, shares: np.ndarray, nodes: int
) -> np.ndarray:
    """Sum the outer products of the levels, each by its shares at the nodes from its first on."""
    order = np.argsort(first, kind="stable")
    by_level: Any = sparse.csr_array(cross.T)[order]
    if cross.shape[0] * cross.shape[1] <= MOST_DENSE:
        by_level = by_level.toarray()
    shares = shares[order]
    edges = np.searchsorted(first[order], np.arange(nodes + 1))
    summed = np.zeros((nodes, cross.shape[0], cross.shape[0]))
    for u in np.unique(first):
        levels = slice(edges[u], edges[u + 1])
        rows = by_level[levels]
        rows = rows.toarray() if sparse.issparse(rows) else rows
        for step, share in enumerate(shares[levels].T):
            summed[u + step] += (rows * share[:, None]).T @ rows
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
