"""How widely each group of effects is spread, by restricted maximum likelihood.

The criterion and its gradient come from the normal equations, so a step costs O(p³) whatever the
number of rows. A spread may be free, held to a known value, or drawn towards one: a maker with
twenty batches cannot tell how much forty fruits differ, but it is not nothing and not tenfold.

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
from scipy import optimize

from pipeline.learning.gram import Gram
from pipeline.learning.solution import Solution, solve

RANGE = 9.0  # a free spread stays within e^±9 of the scale of the data
RIDGE = 1e-6  # relative; keeps equations of aliased columns solvable


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
class Spreads:
    """The estimated standard deviations and the solution at them."""

    residual: float
    of_group: np.ndarray
    solution: Solution
    criterion: float  # -2 log restricted likelihood, without the pull of the priors


@dataclass(frozen=True)
class Problem:
    """What the criterion is a function of: sums over rows, groups and which is eliminated."""

    gram: Gram
    groups: tuple[Grouped, ...]
    of_column: np.ndarray  # (p,) group of each dense column, -1 = fixed
    eliminated_group: int | None
    fixed_rank: int
    residual: tuple[float, float] | None  # expected residual sd and doubt
    y_scale: float


def estimate_spreads(problem: Problem, start: np.ndarray | None = None) -> Spreads:
    """Maximise the restricted likelihood over the free spreads.

    Parameters
    ----------
    problem : Problem
    start : array, optional
        Logarithms of residual and group spreads to start from, e.g. of a fit to nearly the
        same rows.
    """
    logs = _starting_logs(problem)
    free = np.array([True] + [not _is_known(group) for group in problem.groups])
    if start is not None:
        logs[free] = np.clip(start[free], logs[free] - RANGE + 1, logs[free] + RANGE - 1)
    base = _starting_logs(problem)
    lowest = math.log(max(problem.y_scale, 1e-150)) - 14

    def criterion(values: np.ndarray) -> tuple[float, np.ndarray]:
        logs[free] = values
        value, gradient, _ = _criterion(problem, logs)
        return value, gradient[free]

    bounds = [(base[i] - RANGE, base[i] + RANGE) for i in np.flatnonzero(free)]
    bounds[0] = (lowest, base[0] + RANGE)
    found = optimize.minimize(
        criterion,
        np.clip(logs[free], [b[0] for b in bounds], [b[1] for b in bounds]),
        jac=True,
        method="L-BFGS-B",
        bounds=bounds,
        options={"maxiter": 200, "ftol": 1e-11, "gtol": 1e-6},
    )
    logs[free] = found.x
    _, _, solution = _criterion(problem, logs)
    return Spreads(
        residual=math.exp(logs[0]),
        of_group=np.exp(logs[1:]),
        solution=solution,
        criterion=_plain_criterion(problem, logs, solution),
    )


def ratios_of(problem: Problem, logs: np.ndarray) -> tuple[np.ndarray, float]:
    """Residual variance ÷ prior variance of the dense columns and of the eliminated factor."""
    group_ratios = np.exp(np.clip(2 * (logs[0] - logs[1:]), -60, 60))
    ratios = RIDGE * np.maximum(np.diag(problem.gram.square), 1e-300)
    grouped = problem.of_column >= 0
    ratios[grouped] = group_ratios[problem.of_column[grouped]]
    eliminated = problem.eliminated_group
    return ratios, 1.0 if eliminated is None else float(group_ratios[eliminated])


def _is_known(group: Grouped) -> bool:
    return group.sd is not None and group.doubt == 0


def _starting_logs(problem: Problem) -> np.ndarray:
    """Residual and group spreads to begin with: the prior's where there is one."""
    gram = problem.gram
    logs = [math.log(max(problem.y_scale, 1e-150)) - 0.5]
    if problem.residual is not None:
        logs = [math.log(problem.residual[0])]
    for k, group in enumerate(problem.groups):
        if group.sd is not None:
            logs.append(math.log(group.sd))
            continue
        if k == problem.eliminated_group and gram.eliminated is not None:
            total = float(gram.eliminated.diagonal.sum())
        else:
            total = float(np.diag(gram.square)[problem.of_column == k].sum())
        size = math.sqrt(max(total / gram.rows, 1e-300))
        logs.append(math.log(max(problem.y_scale, 1e-150)) - 0.7 - math.log(size))
    return np.array(logs)


def _criterion(problem: Problem, logs: np.ndarray) -> tuple[float, np.ndarray, Solution]:
    """-2 log restricted likelihood with the pull of the priors, and its gradient in the logs."""
    gram = problem.gram
    ratios, eliminated_ratio = ratios_of(problem, logs)
    solution = solve(gram, ratios, eliminated_ratio)
    variance = math.exp(2 * logs[0])
    value = _plain_criterion(problem, logs, solution)
    freedom = gram.rows - problem.fixed_rank
    gradient = np.zeros(logs.size)
    gradient[0] = 2 * freedom - 2 * solution.residual_square / variance
    diagonal = np.diag(solution.inverse)
    for k in range(len(problem.groups)):
        if k == problem.eliminated_group and gram.eliminated is not None:
            ratio, levels = eliminated_ratio, float(gram.eliminated.diagonal.size)
            trace, square = solution.eliminated_trace, solution.eliminated_square
        else:
            mine = problem.of_column == k
            ratio, levels = math.exp(min(2 * (logs[0] - logs[k + 1]), 60)), float(mine.sum())
            trace = float(diagonal[mine].sum())
            square = float((solution.coefficients[mine] ** 2).sum())
        slope = 2 * (levels - ratio * trace - ratio * square / variance)
        gradient[k + 1] = slope
        gradient[0] -= slope
    pull, pull_slope = _prior_pull(problem, logs)
    return value + pull, gradient + pull_slope, solution


def _plain_criterion(problem: Problem, logs: np.ndarray, solution: Solution) -> float:
    gram = problem.gram
    freedom = gram.rows - problem.fixed_rank
    value = freedom * 2 * logs[0] + solution.log_determinant
    value += solution.residual_square / math.exp(2 * logs[0])
    for k in range(len(problem.groups)):
        if k == problem.eliminated_group and gram.eliminated is not None:
            levels = float(gram.eliminated.diagonal.size)
        else:
            levels = float((problem.of_column == k).sum())
        value += levels * 2 * (logs[k + 1] - logs[0])
    return value + freedom * math.log(2 * math.pi)


def _prior_pull(problem: Problem, logs: np.ndarray) -> tuple[float, np.ndarray]:
    value = 0.0
    slope = np.zeros(logs.size)
    expected = [problem.residual] + [
        (group.sd, group.doubt) if group.sd is not None and group.doubt > 0 else None
        for group in problem.groups
    ]
    for i, prior in enumerate(expected):
        if prior is not None:
            away = (logs[i] - math.log(prior[0])) / prior[1]
            value += away**2
            slope[i] = 2 * away / prior[1]
    return value, slope
