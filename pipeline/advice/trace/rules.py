"""How a number of the mart is worked out, said as data: from which cells, which other numbers, how.

A rule can be worked through again, so that a trace is proved and not only told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pipeline.cellar.origins import Cell, Origins

Formula = Callable[..., Any]
Numbers = Sequence[float]
Cells = Sequence[Cell]


@dataclass(frozen=True)
class Rule:
    """How one measure is worked out.

    Parameters
    ----------
    how : str
        Kind of working, in a word: `read`, `sum`, `mean`, `formula`, ...
    work : callable
        Takes the values of `uses` and the cells, gives the number.
    cells : callable
        The cells of a must that the number is made from directly.
    uses : callable
        The measures that it is made from.
    formula : callable
        The function of `pipeline.enology` that is applied; None where it is plain arithmetic.
    """

    how: str
    work: Callable[[Numbers, Cells], float]
    cells: Callable[[Origins], list[Cell]] = lambda _: []
    uses: Callable[[Origins], tuple[str, ...]] = lambda _: ()
    formula: Callable[[Origins], Formula | None] = lambda _: None


def worked(rule: Rule, uses: Sequence[float | None], cells: Cells) -> float | None:
    """Work a rule through; None where something it rests on is not known."""
    if any(value is None for value in uses):
        return None
    found = rule.work([float(value) for value in uses if value is not None], cells)
    return None if math.isnan(found) else found


def values(cells: Cells) -> list[float]:
    """Return what the cells put in; one that is not known makes everything unknown (NaN)."""
    return [math.nan if cell.value is None else cell.value for cell in cells if counts(cell)]


def counts(cell: Cell) -> bool:
    """Tell whether a cell puts a number in, known or not, or only says which row counts."""
    return cell.weight is not None or cell.value is not None


def read(cells: Callable[[Origins], list[Cell]], how: str = "read") -> Rule:
    """Return the rule of a number that stands in one cell; NaN if in none."""
    return Rule(how, lambda _, given: next(iter(values(given)), math.nan), cells)


def added(
    cells: Callable[[Origins], list[Cell]], factor: float = 1.0, if_none: float = 0.0
) -> Rule:
    """Return the rule of a sum over cells; `if_none` where there are none."""

    def work(_: Numbers, given: Cells) -> float:
        return factor * math.fsum(values(given)) if given else if_none

    return Rule("sum", work, cells)


def averaged(cells: Callable[[Origins], list[Cell]]) -> Rule:
    """Return the rule of a mean over cells, weighed where they have weights."""
    return Rule("mean", lambda _, given: _mean(given), cells)


def _mean(given: Cells) -> float:
    known = [(cell.value, 1.0 if cell.weight is None else cell.weight) for cell in given]
    pairs = [(value, weight) for value, weight in known if value is not None]
    total = math.fsum(weight for _, weight in pairs)
    return math.fsum(value * weight for value, weight in pairs) / total if total else math.nan


def most(cells: Callable[[Origins], list[Cell]]) -> Rule:
    """Return the rule of the largest of some cells."""
    return Rule("largest", lambda _, given: max(values(given), default=math.nan), cells)


def least(cells: Callable[[Origins], list[Cell]]) -> Rule:
    """Return the rule of the smallest of some cells."""
    return Rule("smallest", lambda _, given: min(values(given), default=math.nan), cells)


def number_of(cells: Callable[[Origins], list[Cell]]) -> Rule:
    """Return the rule of a count of rows."""
    return Rule("count", lambda _, given: float(len(given)), cells)


def ratio(above: str, below: str, factor: float = 1.0) -> Rule:
    """Return the rule of one measure over another."""
    return Rule(
        "ratio",
        lambda uses, _: uses[0] * factor / uses[1] if uses[1] else math.nan,
        uses=lambda _: (above, below),
    )


def product(*measures: str, factor: float = 1.0) -> Rule:
    """Return the rule of measures multiplied."""
    return Rule("product", lambda uses, _: factor * math.prod(uses), uses=lambda _: measures)


def difference(first: str, *less: str) -> Rule:
    """Return the rule of one measure less others."""
    return Rule(
        "difference", lambda uses, _: uses[0] - math.fsum(uses[1:]), uses=lambda _: (first, *less)
    )


def together(*measures: str) -> Rule:
    """Return the rule of measures added up."""
    return Rule("sum", lambda uses, _: math.fsum(uses), uses=lambda _: measures)


def formula(function: Formula, *measures: str) -> Rule:
    """Return the rule of a function of `pipeline.enology` applied to measures."""
    return Rule(
        "formula",
        lambda uses, _: float(function(*uses)),
        uses=lambda _: measures,
        formula=lambda _: function,
    )


def same(measure: str, judged: Callable[[Origins], bool]) -> Rule:
    """Return the rule of a measure that is another one where the log is judged to show it."""
    return Rule(
        "same",
        lambda uses, _: next(iter(uses), math.nan),
        uses=lambda must: (measure,) if judged(must) else (),
    )
