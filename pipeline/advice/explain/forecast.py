"""How what is expected of a recipe came about: what goes in, physics, and what batches taught."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from pipeline.advice.explain.asked import Asked, Expected, is_one, outcome_of
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Part, Step, Trace
from pipeline.advice.trace.sources import ARITHMETIC
from pipeline.learning import Models
from pipeline.learning.forecast import OF_FERMENT, Forecast
from pipeline.learning.musts import Musts
from pipeline.learning.parts import acidity_parts, gravity_parts, taste_parts, volume_parts

METHODS = "pipeline/METHODS.md"
_POURED = ("target_volume_l", "water_l", "juice_l", "sugar_l", "fruit_kg")
_SWEET = ("sugar_kg", "juice_sugar_g", "fruit_sugar_g", "fruit_starch_g")
_TANNIN = ("fruit_load_kg_l", "skins_share", "contact_days", "tannin_added_g_l")
# Outcome: the model that expects it, and the measures of the must that it is told.
_MODEL = {
    "finished_fraction": ("volume", (*_POURED, "contact_days", "rackings")),
    **dict.fromkeys(
        OF_FERMENT,
        (
            "gravity",
            (*_POURED, *_SWEET, "nitrogen_added_mg_l", "contact_days", "ferment_temperature_c"),
        ),
    ),
    "acidity": ("taste", ("acid_added_g_l", "acid_removed_g_l", "fruit_acid_g_l")),
    **dict.fromkeys(
        ("harshness", "score"),
        (
            "taste",
            (*_TANNIN, "acid_added_g_l", "so2_added_mg_l", "sweeten_to_g_l", "taste_day"),
        ),
    ),
}
_PARTS: dict[str, Callable[[Models, Musts], dict[str, np.ndarray]]] = {
    "finished_fraction": volume_parts,
    "acidity": acidity_parts,
    **{name: partial(gravity_parts, outcome=name) for name in OF_FERMENT},
}
_FILES = {"volume": "learning.volume", "gravity": "learning.gravity", "taste": "learning.taste"}
UNITS = {"finished_fraction": "share 0–1"}
_BASES = 2  # a search begins with the recipe as it is; a comparison has its two sides
# What follows from the finished share by arithmetic: from which measures.
_FOLLOWS = {
    "finished_volume": ("finished_fraction", "target_volume_l"),
    "bottles": ("finished_volume",),
    "cost_per_bottle": ("cost", "bottles"),
}
_SAME_AS = {"nitrogen": "nitrogen_added_mg_l"}


def planned(asked: Asked, number: Number) -> list[Step]:
    """Trace what a recipe is expected to give."""
    recipe = number.said("recipe")
    if number.name in _FOLLOWS or number.name in _SAME_AS:
        return _reckoned(asked, number, recipe)
    found = asked.expected(number.name, number.single, recipe)
    if found is None:
        return []
    return [*told(found, number.name), number.as_answer(forecast_step(found, number.name))]


def told(found: Expected, outcome: str) -> list[Step]:
    """Return the steps behind what a model is told of a recipe."""
    trace = found.asked.trace_of(found)
    trace.of(_MODEL[outcome][1])
    return list(trace.steps.values())


def forecast_step(found: Expected, outcome: str) -> Step:
    """Return the step from what goes in to what is expected: its parts add up to the value."""
    model, uses = _MODEL[outcome]
    known = outcome_of(found.kept, outcome)
    assert known is not None
    value = float(np.clip(known.mean[found.row], *known.bounds))
    return Step(
        of=found.called,
        measure=outcome,
        value=value,
        unit=UNITS.get(outcome, known.unit),
        how="forecast",
        by=_FILES[model],
        source=METHODS,
        uses=uses,
        parts=kept_within(forecast_parts(found, outcome), value),
        rests_on=found.asked.rests_on(model, found.like),
    )


def forecast_parts(found: Expected, outcome: str) -> list[Part]:
    """Return what adds up to the expectation of one must, before it is kept within its limits."""
    models, kept = found.asked.learnt, found.kept
    if outcome in _PARTS:
        key = ("parts", id(kept), outcome)
        parts = found.asked.once(key, lambda: _PARTS[outcome](models, kept.musts))
        return [Part(name, float(values[found.row])) for name, values in parts.items()]
    assert isinstance(kept, Forecast)
    (told,) = taste_parts(models, kept.taste.take(np.array([found.row])), outcome)
    return [Part(name, value) for name, value in told.items()]


def kept_within(parts: list[Part], value: float) -> list[Part]:
    """Add what keeps the sum of the parts within the limits of the scale, if anything does."""
    over = value - sum(part.value for part in parts)
    return parts if is_one(over, 0.0) else [*parts, Part("kept within the scale", over)]


def _reckoned(asked: Asked, number: Number, recipe: str) -> list[Step]:
    """Trace what follows by arithmetic: litres, bottles, cost of a bottle, nitrogen added."""
    share = number.said("finished_fraction")
    found = None if share is None else asked.expected("finished_fraction", share["value"], recipe)
    if found is None:
        return []
    trace = asked.trace_of(found)
    if number.name in _SAME_AS:
        measure = _SAME_AS[number.name]
        step = trace.step(measure)
        last = replace(step, measure=number.name, uses=(measure,), cells=(), how="same")
        return [*trace.steps.values(), number.as_answer(last)]
    trace.of(("target_volume_l", "cost"))
    before = [*told(found, "finished_fraction"), forecast_step(found, "finished_fraction")]
    chain = _chain(trace, recipe, float(share["value"]))
    wanted = [step.measure for step in chain].index(number.name)
    return [*before, *chain[:wanted], number.as_answer(chain[wanted])]


def _chain(trace: Trace, recipe: str, share: float) -> list[Step]:
    """Return the steps from the finished share to what a bottle costs."""
    litres = share * (trace.value("target_volume_l") or 0.0)
    bottle = trace.must.setting("bottle_l", "bottle")
    bottles = litres / (bottle.value or 1.0)
    cost = trace.value("cost")
    each = None if cost is None or not bottles else cost / bottles
    rows = (
        ("finished_volume", litres, "L", "product", ()),
        ("bottles", bottles, "bottles", "ratio", (bottle,)),
        ("cost_per_bottle", each, "money", "ratio", ()),
    )
    return [
        Step(recipe, name, value, unit, how, "advice.predict", ARITHMETIC, cells, _FOLLOWS[name])
        for name, value, unit, how, cells in rows
    ]


def changed(asked: Asked, number: Number) -> list[Step]:
    """Trace what a change does: what is expected with it less what is expected without."""
    name = "finished_fraction" if number.name == "finished_volume" else number.name
    for kept in asked.kept_of(Forecast):
        scale = float(kept.musts["target_l"][0]) if name != number.name else 1.0
        rows = _rows_of_change(kept, name, number.single / scale)
        if rows is not None:
            before, after = (Expected(asked, kept, row, "") for row in rows)
            return [number.as_answer(_change_step(number, name, scale, before, after))]
    return []


def _rows_of_change(kept: Forecast, name: str, change: float) -> tuple[int, int] | None:
    """Return the two musts of a forecast that differ by so much: the base, and another."""
    outcome = outcome_of(kept, name)
    if outcome is None:
        return None
    for before in range(min(_BASES, len(kept.musts))):
        rise = outcome.mean - outcome.mean[before]
        close = np.flatnonzero(np.abs(rise - change) <= 1e-9 * max(1.0, abs(change)))
        after = [int(row) for row in close if row != before]
        if after:
            return before, after[0]
    return None


def _change_step(
    number: Number, name: str, scale: float, before: Expected, after: Expected
) -> Step:
    one = {part.what: part.value for part in forecast_parts(before, name)}
    other = {part.what: part.value for part in forecast_parts(after, name)}
    names = list(dict.fromkeys([*one, *other]))
    parts = [Part(what, scale * (other.get(what, 0.0) - one.get(what, 0.0))) for what in names]
    model, _ = _MODEL[name]
    return Step(
        of=_whose(number),
        measure=f"change of {number.name}",
        value=number.single,
        unit=str(number.value.get("unit", "")) if isinstance(number.value, dict) else "",
        how="with less without",
        by=_FILES[model],
        source=METHODS,
        parts=kept_within(parts, number.single),
        rests_on=after.asked.rests_on(model, after.like),
    )


def _whose(number: Number) -> str:
    """Return what a change is called: what it is made to, or the two that are compared."""
    a, b = number.said("a"), number.said("b")
    if a is not None and b is not None:
        return f"{b} beside {a}"
    thing = [number.said(name) for name in ("ingredient", "field", "to")]
    return " ".join(str(word) for word in thing if word)
