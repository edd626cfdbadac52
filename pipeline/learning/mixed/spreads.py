"""How widely each group of effects is spread, by restricted maximum likelihood.

Criterion, gradient and expected information all come from the normal equations, so a step costs
O(p³) whatever the number of rows, and a handful of scoring steps suffice. A spread may be free,
held to a known value, or drawn towards one: a maker with twenty batches cannot tell how much forty
fruits differ, but it is not nothing and not tenfold.

With C the inverse of the equations, κ_k = σ² / σ_k² and t_k = log σ_k, the derivatives of
-2 log likelihood are 2 (q_k - κ_k tr C_kk - u_k'u_k / σ_k²); the expected second derivatives stand
in `information`.

References
----------
D. Bates, M. Mächler, B. Bolker, S. Walker, "Fitting linear mixed-effects models using lme4",
Journal of Statistical Software 67(1), 2015, doi:10.18637/jss.v067.i01, eq. 41 (the criterion).
Y. Chung et al., "A nondegenerate penalized likelihood estimator for variance parameters in
multilevel models", Psychometrika 78, 2013, doi:10.1007/s11336-013-9328-2 (the pull on a spread).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pipeline.learning.mixed.gram import Gram
from pipeline.learning.mixed.information import information, with_residual
from pipeline.learning.mixed.solution import Solution, solve

RANGE = 9.0  # a free spread stays within e^±9 of the scale of the data
RIDGE = 1e-6  # relative; keeps equations of aliased columns solvable
RIDGE_ROWS = 100  # from which on it grows no more: ten levels stay ten, however many rows
MOST_STEPS = 60
LONGEST_STEP = 2.0  # in the logarithm of a spread
MOST_HALVINGS = 8


@dataclass(frozen=True)
class Grouped:
    """Columns whose coefficients are drawn from one normal distribution about nought.

    Parameters
    ----------
    name : str
    columns : tuple of int
        Which columns of the design.
    sd : float or None
        What the standard deviation is known or expected to be, in units of y per unit of column;
        None where nothing is known.
    doubt : float
        How far off `sd` may be, as a standard deviation of its logarithm; nought holds it.
    """

    name: str
    columns: tuple[int, ...]
    sd: float | None = None
    doubt: float = 0.0


@dataclass(frozen=True)
class Problem:
    """What the criterion is a function of.

    Where the equations have an eliminated factor, it is the last of the groups.
    """

    gram: Gram
    groups: tuple[Grouped, ...]
    of_column: np.ndarray  # (p,) group of each column, -1 = fixed
    fixed_rank: int
    residual: tuple[float, float] | None  # expected residual sd and doubt
    y_scale: float

    def is_eliminated(self, group: int) -> bool:
        """Tell whether this group is the factor solved through its diagonal."""
        return self.gram.eliminated is not None and group == len(self.groups) - 1

    def levels(self) -> np.ndarray:
        """Return how many coefficients each group has."""
        mine = self.of_column[self.of_column >= 0]
        counts = np.bincount(mine, minlength=len(self.groups)).astype(float)
        if self.gram.eliminated is not None:
            counts[-1] = self.gram.eliminated.diagonal.size
        return counts


@dataclass(frozen=True)
class Spreads:
    """The estimated standard deviations and the solution at them."""

    residual: float
    of_group: np.ndarray
    solution: Solution
    criterion: float  # -2 log restricted likelihood, without the pull of the priors
    degrees: float  # rows less what coefficients use, plus what the residual's prior is worth


@dataclass(frozen=True)
class Point:
    """The criterion at some spreads."""

    value: float  # with the pull of the priors
    plain: float
    gradient: np.ndarray
    information: np.ndarray
    solution: Solution
    spent: np.ndarray


def estimate_spreads(
    problem: Problem,
    start: np.ndarray | None = None,
    tolerance: float = 1e-9,
    most_steps: int = MOST_STEPS,
) -> Spreads:
    """Maximise the restricted likelihood over the free spreads by Fisher scoring.

    Parameters
    ----------
    problem : Problem
    tolerance : float
        Expected fall of the criterion below which no further step is worth taking.
    most_steps : int
        Steps after which to stop all the same.
    start : array, optional
        Logarithms of residual and group spreads to start from, e.g. of a fit to nearly the
        same rows.
    """
    base = _starting_logs(problem)
    low, high = base - RANGE, base + RANGE
    low[0] = math.log(max(problem.y_scale, 1e-150)) - 14
    known = np.array([False, *(g.sd is not None and not g.doubt for g in problem.groups)])
    low[known] = high[known] = base[known]
    logs = base if start is None else np.clip(start, low, high)
    here = _point(problem, logs)
    for _ in range(most_steps):
        step = _scoring_step(here, logs, low, high)
        if -float(here.gradient @ step) < tolerance:
            break
        logs, here, moved = _search(problem, logs, here, step, low, high)
        if not moved:
            break
    return Spreads(
        residual=math.exp(logs[0]),
        of_group=np.exp(logs[1:]),
        solution=here.solution,
        criterion=here.plain,
        degrees=_degrees(problem, here.spent),
    )


def _degrees(problem: Problem, spent: np.ndarray) -> float:
    left = problem.gram.rows - problem.fixed_rank - float(spent.sum())
    known = 0.0 if problem.residual is None else 0.5 / max(problem.residual[1], 0.01) ** 2
    return max(left, 0.0) + known


def _scoring_step(here: Point, logs: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Newton's step with the expected information, over the spreads that can still move."""
    movable = ~((logs <= low) & (here.gradient > 0)) & ~((logs >= high) & (here.gradient < 0))
    step = np.zeros(logs.size)
    if movable.any():
        information = here.information[np.ix_(movable, movable)]
        information = information + np.diag(1e-4 * np.diag(information) + 1e-8)
        step[movable] = -np.linalg.solve(information, here.gradient[movable])
    longest = float(np.abs(step).max())
    return step * min(1.0, LONGEST_STEP / longest) if longest > 0 else step


def _search(
    problem: Problem,
    logs: np.ndarray,
    here: Point,
    step: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
) -> tuple[np.ndarray, Point, bool]:
    """Go along the step, halving it until the criterion falls."""
    for share in 0.5 ** np.arange(MOST_HALVINGS):
        there = np.clip(logs + share * step, low, high)
        point = _point(problem, there)
        if point.value < here.value:
            return there, point, True
    return logs, here, False


def _starting_logs(problem: Problem) -> np.ndarray:
    """Residual and group spreads to begin with: the prior's where there is one."""
    gram = problem.gram
    scale = math.log(max(problem.y_scale, 1e-150))
    logs = [scale - 0.5 if problem.residual is None else math.log(problem.residual[0])]
    diagonal = np.diag(gram.square)
    for k, group in enumerate(problem.groups):
        total = float(diagonal[problem.of_column == k].sum())
        if gram.eliminated is not None and problem.is_eliminated(k):
            total = float(gram.eliminated.diagonal.sum())
        size = math.sqrt(max(total / gram.rows, 1e-12))
        logs.append(scale - 0.7 - math.log(size) if group.sd is None else math.log(group.sd))
    return np.array(logs)


def _point(problem: Problem, logs: np.ndarray) -> Point:
    """Criterion, gradient and expected information at these logarithms of spreads."""
    gram, levels = problem.gram, problem.levels()
    group_ratios = np.exp(np.clip(2 * (logs[0] - logs[1:]), -60, 60))
    grouped = problem.of_column >= 0
    ratios = _ridge(gram)
    ratios[grouped] = group_ratios[problem.of_column[grouped]]
    solution = solve(gram, ratios, group_ratios[-1] if gram.eliminated is not None else 1.0)
    variance = math.exp(2 * logs[0])
    freedom = gram.rows - problem.fixed_rank
    plain = freedom * (2 * logs[0] + math.log(2 * math.pi)) + solution.log_determinant
    plain += solution.residual_square / variance + 2 * float(levels @ (logs[1:] - logs[0]))
    member = problem.of_column[:, None] == np.arange(levels.size)
    spent, between = information(gram, solution, member.astype(float), group_ratios)
    squares = np.zeros(levels.size)
    np.add.at(squares, problem.of_column[grouped], solution.coefficients[grouped] ** 2)
    if gram.eliminated is not None:
        squares[-1] = solution.eliminated_square
    slopes = 2 * (spent - group_ratios * squares / variance)
    first = 2 * freedom - 2 * solution.residual_square / variance - slopes.sum()
    pull, pull_slope, pull_bend = _prior_pull(problem, logs)
    return Point(
        value=plain + pull,
        plain=plain,
        gradient=np.concatenate([[first], slopes]) + pull_slope,
        information=with_residual(between, spent, freedom) + np.diag(pull_bend),
        solution=solution,
        spent=spent,
    )


def _ridge(gram: Gram) -> np.ndarray:
    """Return what stands in for a prior on fixed columns; on empty ones it alone is solved for."""
    diagonal = np.diag(gram.square)
    return np.where(diagonal > 0, RIDGE * min(1.0, RIDGE_ROWS / gram.rows) * diagonal, 1.0)


def _prior_pull(problem: Problem, logs: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Pull of what is known of the spreads, with its slopes and bends."""
    value, slope, bend = 0.0, np.zeros(logs.size), np.zeros(logs.size)
    known = [problem.residual, *((group.sd, group.doubt) for group in problem.groups)]
    for i, prior in enumerate(known):
        if prior is not None and prior[0] is not None and prior[1] > 0:
            away = (logs[i] - math.log(prior[0])) / prior[1]
            value += away**2
            slope[i], bend[i] = 2 * away / prior[1], 2 / prior[1] ** 2
    return value, slope, bend
