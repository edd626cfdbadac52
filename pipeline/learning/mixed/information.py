"""How much the rows tell of each spread: expected second derivatives of the criterion.

With C the inverse of the equations, κ_k = σ² / σ_k² and t_k = log σ_k, those of
-2 log likelihood are 4 |I - κ_k C_kk|² (same group) and 4 κ_k κ_l |C_kl|² (two groups), where
|…|² sums the squares of all entries.
"""

from __future__ import annotations

import numpy as np

from pipeline.learning.mixed.gram import Gram
from pipeline.learning.mixed.solution import Solution


def information(
    gram: Gram, solution: Solution, member: np.ndarray, ratios: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return degrees of freedom spent per group and the information between groups.

    Parameters
    ----------
    gram : Gram
    solution : Solution
        At these ratios.
    member : array (p, groups)
        One where a column belongs to a group; the eliminated factor, if any, is the last group.
    ratios : array (groups,)
        Residual variance ÷ variance of each group.
    """
    inverse = solution.inverse
    root = np.sqrt(member @ ratios)  # nought for fixed columns, which are in no group
    kept = np.diag((root > 0).astype(float)) - inverse * np.outer(root, root)
    spent = np.diag(kept) @ member
    between = member.T @ kept**2 @ member
    if gram.eliminated is not None:
        part, ratio = gram.eliminated, ratios[-1]
        share = 1.0 / (part.diagonal + ratio)
        rest = 1.0 - ratio * share
        outer = part.weighted_square(lambda diagonal: (diagonal + ratio) ** -2)
        tilted = part.weighted_square(lambda diagonal: diagonal * (diagonal + ratio) ** -3)
        through = inverse @ outer
        spent[-1] = rest.sum() - ratio * np.trace(through)
        between[-1, -1] = rest @ rest - 2 * ratio * (inverse * tilted).sum()
        between[-1, -1] += ratio**2 * (through * through.T).sum()
        crossed = root**2 * ratio * np.einsum("ij,ji->i", through, inverse)
        between[:-1, -1] = between[-1, :-1] = (crossed @ member)[:-1]
    return spent, 4 * between


def with_residual(between: np.ndarray, spent: np.ndarray, freedom: float) -> np.ndarray:
    """Return the information over residual and groups from that between groups.

    All spreads doubled together only scale the criterion: that gives the residual's.
    """
    count = spent.size
    full = np.zeros((count + 1, count + 1))
    full[1:, 1:] = between
    full[0, 1:] = full[1:, 0] = 4 * spent - between.sum(axis=1)
    full[0, 0] = 4 * (freedom - spent.sum()) - full[0, 1:].sum()
    return full
