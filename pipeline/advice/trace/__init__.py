"""The way from what somebody typed to a number: a chain of steps, each said and each provable.

A step rests on cells of the logbook, on earlier steps, or on both, and names the function or the
SQL file that made one of the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from pipeline.advice.trace.batch import BATCH_RULES
from pipeline.advice.trace.fruits import OF, rule_of_fruit
from pipeline.advice.trace.ledger import rule_of_change
from pipeline.advice.trace.must import MUST_RULES
from pipeline.advice.trace.rules import Rule, worked
from pipeline.advice.trace.sources import (
    ARITHMETIC,
    TABLES,
    file_of_table,
    joined_sources,
    name_of,
    source_of,
    unit_of,
)
from pipeline.cellar.origins import Cell, Origins, Tables


@dataclass(frozen=True)
class Part:
    """One of several amounts that add up to a step's value."""

    what: str
    value: float


@dataclass(frozen=True)
class Step:
    """How one number came about.

    Parameters
    ----------
    of : str
        Whose number it is: a batch, a recipe, a fruit, ...
    measure, unit : str
    value : float or None
        None where it is not known.
    how : str
        The kind of working, in a word.
    by : str
        The function or the SQL file that does it.
    source : str
        Where the formula or the outside numbers are from.
    cells : sequence of Cell
        Of the logbook, of a reference table or of the call.
    uses : sequence of str
        Measures of the same `of` that it is made from, each with a step of its own.
    parts : sequence of Part
        What adds up to it: a model's expectation and its corrections.
    rests_on : dict
        For what was learnt: ``batches`` (how many), ``closest`` (the most alike, each with its
        place in the logbook) and ``all`` (their names).
    low, high : float or None
        The interval about the value, where it has one.
    answers : str
        Which number of the answer it is, as a path in its JSON; empty for one on the way.
    """

    of: str
    measure: str
    value: float | None
    unit: str
    how: str
    by: str
    source: str
    cells: Sequence[Cell] = ()
    uses: Sequence[str] = ()
    parts: Sequence[Part] = ()
    rests_on: dict[str, Any] = field(default_factory=dict)
    low: float | None = None
    high: float | None = None
    answers: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return the step as commands print it."""
        return {
            "answers": [self.answers] if self.answers else [],
            "of": self.of,
            "measure": self.measure,
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "unit": self.unit,
            "from": [_as_dict(cell) for cell in self.cells],
            "uses": list(self.uses),
            "how": self.how,
            "by": self.by,
            "source": self.source,
            "parts": [{"what": part.what, "value": part.value} for part in self.parts],
            "rests_on": self.rests_on or None,
        }


def _as_dict(cell: Cell) -> dict[str, Any]:
    return {
        "file": cell.file,
        "line": cell.line,
        "column": cell.column,
        "as_written": cell.as_written,
        "value": cell.value,
        "source": cell.source or None,
    }


class Trace:
    """The steps behind some numbers of one batch or planned recipe, what goes in first.

    Parameters
    ----------
    tables : Tables
        The cellar, or a plan's tables.
    must_id : str
        The batch, or the recipe's name.
    is_planned : bool
        Whether it is a recipe.
    called : str, optional
        What its steps call it, if it is another name.
    """

    def __init__(
        self, tables: Tables, must_id: str, *, is_planned: bool = False, called: str | None = None
    ) -> None:
        self.must = Origins(tables, must_id, is_planned=is_planned)
        self.called = called or must_id
        self.steps: dict[str, Step] = {}

    def of(self, measures: Iterable[str]) -> list[Step]:
        """Return the steps behind these measures, each after those it rests on."""
        before = set(self.steps)
        for measure in measures:
            self.step(measure)
        return [step for name, step in self.steps.items() if name not in before]

    def step(self, measure: str) -> Step:
        """Return how one measure came about; what it rests on is traced with it."""
        if measure not in self.steps:
            rule = rule_of(measure)
            names = rule.uses(self.must)
            for name in names:
                self.step(name)
            self.steps[measure] = self._step(measure, rule, names)
        return self.steps[measure]

    def value(self, measure: str) -> float | None:
        """Return a number of this must: as it stands in the cellar, else worked out here."""
        found, table = self._stored(measure)
        if table is not None:
            return None if found is None else float(found)
        return self.reworked(measure)

    def reworked(self, measure: str) -> float | None:
        """Work a number out again, from the cells and from the numbers it rests on."""
        rule = rule_of(measure)
        uses = [self.value(name) for name in rule.uses(self.must)]
        return worked(rule, uses, rule.cells(self.must))

    def _stored(self, measure: str) -> tuple[Any, str | None]:
        """Return what the cellar holds of a measure, and the table it stands in first."""
        name, _, whose = measure.partition(OF)
        for table in TABLES:
            for row in self._candidates(table):
                if name in row and _is_of(row, whose):
                    return row[name], table
        return None, None

    def _candidates(self, table: str) -> list[dict[str, Any]]:
        if self.must.is_planned and table in _OF_BATCHES:
            return []
        return self.must.rows(table)

    def _step(self, measure: str, rule: Rule, uses: Sequence[str]) -> Step:
        cells = rule.cells(self.must)
        function = rule.formula(self.must)
        _, table = self._stored(measure)
        by = name_of(function) if function else file_of_table(table) if table else ARITHMETIC
        sources = [cell.source for cell in cells]
        if function:
            sources.insert(0, source_of(function))
        return Step(
            of=self.called,
            measure=measure,
            value=self.value(measure),
            unit=unit_of(measure),
            how=rule.how,
            by=by,
            source=joined_sources(sources) or ARITHMETIC,
            cells=cells,
            uses=uses,
        )


_OF_BATCHES = frozenset({"fermentations", "batches", "liquid_changes"})


def _is_of(row: dict[str, Any], whose: str) -> bool:
    """Tell whether a row is the fruit's, or the change's, that a measure is named after."""
    if not whose:
        return "fruit" not in row and "change_number" not in row
    return whose in (row.get("fruit"), f"change {row.get('change_number')}")


def rule_of(measure: str) -> Rule:
    """Return how a measure is worked out.

    Raises
    ------
    KeyError
        If nothing here knows it.
    """
    if OF in measure:
        found = rule_of_change(measure) or rule_of_fruit(measure)
        if found is not None:
            return found
    return MUST_RULES[measure] if measure in MUST_RULES else BATCH_RULES[measure]
