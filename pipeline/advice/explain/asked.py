"""What somebody wants explained: an answer, its numbers one by one, and what it was made from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
import polars as pl

from pipeline.advice.trace import Trace
from pipeline.cellar import Cellar
from pipeline.cellar.origins import Cell, Tables
from pipeline.cellar.plan import PlannedLines
from pipeline.cellar.planned import PlannedTables
from pipeline.learning import Models
from pipeline.learning.forecast import Forecast, VolumeForecast
from pipeline.learning.learnt_from import learnt_from
from pipeline.learning.musts import Musts
from pipeline.learning.outcome import Outcome

_T = TypeVar("_T")
CLOSEST = 6  # batches named as the most alike
ALIKE = 1e-9  # relative difference of two numbers that are one


@dataclass
class Asked:
    """An answer that somebody wants explained.

    Parameters
    ----------
    cellar : Cellar
    data : dict
        The answer, as ``--json`` prints it.
    kept : sequence
        What was kept while it was worked out (`pipeline.cellar.notes`).
    models : Models or None
        None where none were asked.
    call : dict
        What was typed, by the option's name.
    """

    cellar: Cellar
    data: dict[str, Any]
    kept: Sequence[object] = ()
    models: Models | None = None
    call: dict[str, Any] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)  # models that steps have named
    _done: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    @property
    def learnt(self) -> Models:
        """The models, where the answer rests on them."""
        if self.models is None:
            raise ValueError("this answer was given without models")
        return self.models

    def kept_of(self, kind: type[_T]) -> list[_T]:
        """Return what was kept of one kind, the newest first."""
        return [thing for thing in reversed(self.kept) if isinstance(thing, kind)]

    def once(self, key: tuple[Any, ...], make: Callable[[], _T]) -> _T:
        """Return what is made under a key, made when it is first asked for."""
        if key not in self._done:
            self._done[key] = make()
        made: _T = self._done[key]
        return made

    def trace(self, must_id: str, *, is_planned: bool) -> Trace:
        """Return the trace of a batch, or of a recipe as it stands in recipes.csv."""
        return self.once(
            ("trace", must_id, is_planned),
            lambda: Trace(self.cellar, must_id, is_planned=is_planned),
        )

    def expected(self, name: str, value: float, called: str) -> Expected | None:
        """Return what a number is the expectation of: that which is called so, else any.

        Parameters
        ----------
        name : str
            The outcome.
        value : float
            The number: it must be the expectation itself.
        called : str
            The recipe's name; a search tries its recipes under others.
        """
        forecasts: list[Forecast | VolumeForecast] = [
            *self.kept_of(Forecast),
            *self.kept_of(VolumeForecast),
        ]
        found = [
            Expected(self, kept, int(row), called)
            for kept in forecasts
            if (outcome := outcome_of(kept, name)) is not None
            for row in np.flatnonzero(_are_expected(outcome, value))
        ]
        by_name = [one for one in found if one.must_id == called]
        return next(iter([*by_name, *found]), None)

    def trace_of(self, found: Expected) -> Trace:
        """Return the trace of a recipe in the size in which it was tried."""
        return self.once(
            ("trace", id(found.kept), found.must_id),
            lambda: Trace(self._tables(found), found.must_id, is_planned=True, called=found.called),
        )

    def _tables(self, found: Expected) -> Tables:
        """Return the tables of the recipe: those of its lines as they were planned, if noted."""
        at = next(place for place, thing in enumerate(self.kept) if thing is found.kept)
        for note in reversed(self.kept[:at]):
            if isinstance(note, PlannedLines):
                lines = note.lines.filter(pl.col("recipe") == found.must_id)
                if lines.height:
                    return PlannedTables(self.cellar, lines)
        return self.cellar

    def typed(self, option: str) -> list[Cell]:
        """Return what was typed after an option, as a cell; empty if it was not."""
        said = self.call.get(option.removeprefix("--").replace("-", "_"))
        return [] if said is None else [Cell("the call", None, option, str(said))]

    @cached_property
    def taught_by(self) -> dict[str, list[str]]:
        """The batches that each model has learnt from."""
        table = self.cellar.table
        return learnt_from(self.learnt, table("batches"), table("steps"))

    def rests_on(self, model: str, like: dict[str, Any]) -> dict[str, Any]:
        """Return what a model rests on: how many batches, and those most alike.

        Parameters
        ----------
        model : str
            `volume`, `gravity`, `taste` or `sticking`.
        like : dict
            ``recipe``, ``main_fruit`` and ``yeast`` of what it is asked of.
        """
        self.used.add(model)
        names = self.taught_by[model]
        key = ("closest", model, *(like.get(name) for name in _SAME))
        return {
            "batches": len(names),
            "closest": self.once(key, lambda: self._closest(names, like)),
        }

    def _closest(self, names: list[str], like: dict[str, Any]) -> list[dict[str, Any]]:
        batches = self.cellar.table("batches").filter(pl.col("batch_id").is_in(names))
        return closest(batches, like, self.trace("", is_planned=False).must.file("batches"))


@dataclass(frozen=True)
class Expected:
    """One must of a forecast that was kept, and what the answer calls it."""

    asked: Asked
    kept: Forecast | VolumeForecast
    row: int
    called: str

    @property
    def must_id(self) -> str:
        """What the forecast calls it."""
        return self.kept.musts.ids[self.row]

    @property
    def musts(self) -> Musts:
        """The must alone, as the models read it."""
        return self.kept.musts.take(np.array([self.row]))

    @property
    def like(self) -> dict[str, Any]:
        """What it is like, for finding batches alike."""
        return about(self.kept.musts, self.row)


def closest(batches: pl.DataFrame, like: dict[str, Any], file: str) -> list[dict[str, Any]]:
    """Return the batches most alike, each with its place in the logbook and what is alike."""
    found = []
    for row in batches.iter_rows(named=True):
        same = [name for name in ("recipe", "main_fruit", "yeast") if _is_same(row, like, name)]
        if same:
            worth = 4 * ("recipe" in same) + 2 * ("main_fruit" in same) + ("yeast" in same)
            found.append((worth, row["line"], row["batch_id"], same))
    best = sorted(found, key=lambda entry: (-entry[0], -entry[1]))[:CLOSEST]
    return [
        {"batch": batch, "file": file, "line": line, "same": [_SAME[name] for name in same]}
        for _, line, batch, same in best
    ]


_SAME = {"recipe": "recipe", "main_fruit": "fruit", "yeast": "yeast"}


def _is_same(row: dict[str, Any], like: dict[str, Any], name: str) -> bool:
    one, other = row[name], like.get(name)
    return one is not None and other is not None and str(one).casefold() == str(other).casefold()


def outcome_of(kept: Forecast | VolumeForecast, name: str) -> Outcome | None:
    """Return an outcome of a forecast by name; None if it does not have it."""
    if isinstance(kept, VolumeForecast):
        return kept.outcome if name == "finished_fraction" else None
    return kept.outcomes.get(name)


def _are_expected(outcome: Outcome, value: float) -> np.ndarray:
    """Tell which musts a number is the expectation of (n,)."""
    mean = np.clip(outcome.mean, *outcome.bounds)
    return np.abs(mean - value) <= ALIKE * max(1.0, abs(value))


def is_one(one: float, other: float) -> bool:
    """Tell whether two numbers are one, but for the rounding of the machine."""
    return abs(one - other) <= ALIKE * max(1.0, abs(one), abs(other))


def about(musts: Musts, row: int) -> dict[str, Any]:
    """Return what a must is like, for finding others alike."""
    return {
        "recipe": musts.recipe[row],
        "main_fruit": musts.main_fruit[row],
        "yeast": musts.yeast[row],
    }
