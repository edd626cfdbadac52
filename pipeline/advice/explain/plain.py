"""Ways to numbers that stand in the call, in the code, or follow from others of the same answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from pipeline.advice.explain.asked import Asked, is_one
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Step
from pipeline.advice.trace.fruits import OF
from pipeline.advice.trace.rules import Formula
from pipeline.advice.trace.sources import ARITHMETIC, name_of, source_of, unit_of
from pipeline.cellar.origins import Cell

Way = Callable[[Asked, Number], list[Step]]
# Parts of an answer whose numbers are called what they are without them.
_UNNAMED = ("readings", "blended_with", "dose", "vessel", "expected", "tastings")
CUSTOM = "common practice, no source"
_UNITS = {
    "_percent": "% vol",
    "_g_l": "g/L",
    "_mg_l": "mg/L",
    "_kg": "kg",
    "_l": "L",
    "_ml": "mL",
    "_g": "g",
    "_bar": "bar",
    "gravity": "SG",
    "gravity_after": "SG",
    "grams": "g",
    "level_teaspoons": "tsp",
    "day": "days",
    "removed_day": "days",
    "cost": "money",
    "_c": "°C",
}


def unit_named(name: str) -> str:
    """Return the unit that a number's name ends in."""
    known = unit_of(name)
    return known or next((unit for end, unit in _UNITS.items() if name.endswith(end)), "")


def whose(asked: Asked, number: Number) -> tuple[str, str]:
    """Return whose a number is, and what it is called there."""
    of = str(asked.data.get("batch") or asked.data.get("recipe") or asked.data.get("a"))
    if "blended_with" in number.keys:
        of = str(number.said("batch"))
    part = context(number.keys[: -1 if isinstance(number.keys[-1], str) else None], asked.data)
    return of, f"{number.name}{OF}{part}" if part else number.name


def context(keys: tuple[Any, ...], data: Any) -> str:
    """Return what a part of an answer is called: the one of a list, or the section."""
    section, called = "", ""
    for key in keys:
        data = data[key]
        if isinstance(key, str) and key not in _UNNAMED:
            section = key
        if isinstance(data, dict) and isinstance(key, int):
            called = _entry(data, key)
    return called or section


def _entry(entry: dict[str, Any], at: int) -> str:
    """Return what one of a list is called: by what tells it from the others."""
    if "stirred_in_g_l" in entry:
        return f"the glass with {entry['stirred_in_g_l']:g} g/L"
    if "readings" in entry:
        return ""
    for name in ("additive", "batch", "name", "ingredient", "title", "share_who_can_tell"):
        if entry.get(name) is not None:
            line = f" (line {entry['line']})" if "line" in entry else ""
            return f"{entry[name]}{line}"
    return f"number {at + 1}"


def typed(option: str) -> Way:
    """Return the way to a number that was typed after an option."""

    def way(asked: Asked, number: Number) -> list[Step]:
        of, measure = whose(asked, number)
        said = asked.typed(option)
        how = "read" if said else "chosen"
        by = "the call" if said else "what is taken where nothing is said"
        step = Step(of, measure, number.single, unit_named(number.name), how, by, ARITHMETIC, said)
        return [number.as_answer(step)]

    return way


def constant(by: str, source: str = CUSTOM) -> Way:
    """Return the way to a number that is always the same, with its source."""

    def way(asked: Asked, number: Number) -> list[Step]:
        of, measure = whose(asked, number)
        unit = unit_named(number.name)
        return [number.as_answer(Step(of, measure, number.single, unit, "constant", by, source))]

    return way


def told(by: str, source: str, *names: str) -> Way:
    """Return the way to a number that is only said to come from where it comes from.

    Parameters
    ----------
    by, source : str
        What made it, and where that is written down.
    *names : str
        The numbers of its answer that it rests on.
    """

    def way(asked: Asked, number: Number) -> list[Step]:
        of, measure = whose(asked, number)
        unit = unit_named(number.name)
        step = Step(of, measure, number.single, unit, "learnt", by, source, uses=names)
        return [number.as_answer(step)]

    return way


def place(contract_file: str, column: str) -> Way:
    """Return the way to the number of a line: what stands there."""

    def way(asked: Asked, number: Number) -> list[Step]:
        must = asked.trace("", is_planned=contract_file == "recipes").must
        cell = must.cell(contract_file, int(number.single), column)
        step = Step(cell.file, "line", number.single, "", "place", "logbook", ARITHMETIC, [cell])
        return [number.as_answer(step)]

    return way


def from_others(
    function: Formula | str,
    *names: str | float,
    work: Callable[..., Any] | None = None,
    cells: Callable[[Asked, Number], list[Cell]] = lambda *_: [],
) -> Way:
    """Return the way to a number that follows from others of its answer.

    Parameters
    ----------
    function : callable or str
        Of `pipeline.enology`, or what else did it.
    *names : str or float
        The numbers it was given, by name: the nearest that are called so, or among the readings.
    work : callable, optional
        Gives the number from those; the function itself where it takes them as they are.
    cells : callable
        Further cells that it rests on.
    """
    apply = work or function

    def way(asked: Asked, number: Number) -> list[Step]:
        found = [_named(asked, number, name) for name in names]
        values = [value for _, value in found]
        if not callable(apply) or any(value is None for value in values):
            return []
        if not is_one(float(apply(*values)), number.single):
            return []
        of, measure = whose(asked, number)
        uses = [name for name, _ in found if name]
        by = function if isinstance(function, str) else name_of(function)
        source = ARITHMETIC if isinstance(function, str) else source_of(function)
        unit = unit_named(number.name)
        step = Step(of, measure, number.single, unit, "formula", by, source, cells(asked, number))
        return [number.as_answer(replace(step, uses=uses))]

    return way


def _named(asked: Asked, number: Number, name: str | float) -> tuple[str, float | None]:
    """Return what the nearest number of a name is called and what it is; a constant as it is."""
    if isinstance(name, float):
        return "", name
    for depth in range(len(number.around) - 1, -1, -1):
        part = number.around[depth]
        if isinstance(part, dict) and (value := _single(part.get(name))) is not None:
            called = context(number.keys[:depth], asked.data)
            return (f"{name}{OF}{called}" if called else name), value
    readings = asked.data.get("readings") or {}
    return name, _single(readings.get(name))


def _single(part: Any) -> float | None:
    """Return the number in a number, an estimate or a reading; None if there is none."""
    found = part.get("value") if isinstance(part, dict) else part
    return float(found) if isinstance(found, int | float) and not isinstance(found, bool) else None
