"""How the doses of the bench came about: from the batch's own readings, by the chemistry."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pipeline.advice.bench.sweetening import GLASS_L
from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way, from_others, place, typed, unit_named
from pipeline.advice.trace import Step
from pipeline.advice.trace.rules import Formula
from pipeline.advice.trace.sources import ARITHMETIC
from pipeline.cellar.origins_reference import spoon_of
from pipeline.enology.acidity import acid_to_add
from pipeline.enology.carbonation import bottle_overpressure
from pipeline.enology.composition import invert_from_sucrose
from pipeline.enology.deacidification import DEACIDIFICATION_STEP_G_L, base_to_remove
from pipeline.enology.dissolving import (
    dissolved_sugar_volume,
    gravity_after_sugar,
    sugar_for_gravity,
)
from pipeline.enology.limits import limit
from pipeline.enology.sulphite_doses import solution_ml
from pipeline.enology.sweetening import sugar_after_sweetening, sugar_to_gravity

_COLUMNS = {
    "volume_l": "volume",
    "gravity": "gravity",
    "ph": "ph",
    "acidity_g_l": "ta",
    "free_so2_mg_l": "free_so2",
}
_MART = {"alcohol_percent": "alcohol", "residual_sugar_g_l": "residual_sugar_g_l"}
_ACIDS = {
    "citric acid (anhydrous)": "citric",
    "malic acid (DL)": "malic",
    "tartaric acid": "tartaric",
}
_MOST_G_L = 300.0
_BENCH = "advice.bench"


def reading(asked: Asked, number: Number) -> list[Step]:
    """Trace a reading: the newest of its kind, in the cell it was written in."""
    around: dict[str, Any] = number.around[-1]
    name, batch = str(number.keys[-2]), number.said("batch")
    if around["file"].startswith("--"):
        return typed(around["file"])(asked, replace(number, called=name))
    trace = asked.trace(batch, is_planned=False)
    if name == "gravity" and number.single == trace.value("last_gravity"):
        step = replace(trace.step("last_gravity"), measure=name)
        return [*trace.steps.values(), number.as_answer(step)]
    contract_file = "transfers" if around["file"].startswith("transfers") else "readings"
    column = "volume_after" if contract_file == "transfers" else _COLUMNS[name]
    cells = [trace.must.cell(contract_file, around["line"], column, number.single)]
    if contract_file == "transfers":
        topped = trace.must.cell(contract_file, around["line"], "topped_up")
        cells += [topped] if topped.as_written is not None else []
    unit = unit_named(name)
    step = Step(batch, name, number.single, unit, "latest", _BENCH, ARITHMETIC, cells)
    return [number.as_answer(step)]


def line_of_reading(asked: Asked, number: Number) -> list[Step]:
    """Trace the line of a reading; what was typed in the call has none."""
    around: dict[str, Any] = number.around[-1]
    if around["file"].startswith("--"):
        return typed(around["file"])(asked, number)
    is_move = around["file"].startswith("transfers")
    file, column = ("transfers", "volume_after") if is_move else ("readings", "taken_on")
    return place(file, column)(asked, number)


def of_the_mart(asked: Asked, number: Number) -> list[Step]:
    """Trace a number of the batch that the mart holds."""
    trace = asked.trace(number.said("batch"), is_planned=False)
    measure = _MART.get(number.name, number.name)
    step = replace(trace.step(measure), measure=number.name, uses=(measure,), how="same", cells=())
    return [*trace.steps.values(), number.as_answer(step)]


def acid_grams(asked: Asked, number: Number) -> list[Step]:
    """Trace the acid or carbonate that brings the wine to its target."""
    additive = number.said("additive")
    is_glass = number.name.startswith("glass")
    volume: str | float = GLASS_L if is_glass else "volume_l"

    def grams(change: float, litres: float) -> float:
        if additive in _ACIDS:
            return float(acid_to_add(change, litres, _ACIDS[additive]))  # type: ignore[arg-type]
        return float(base_to_remove(-change, litres, additive))

    function = acid_to_add if additive in _ACIDS else base_to_remove
    work = (lambda change, litres: solution_ml(grams(change, litres))) if is_glass else grams
    return from_others(function, "change_g_l", volume, work=work)(asked, number)


def sugar_for(asked: Asked, number: Number) -> list[Step]:
    """Trace the sugar that lifts a wine, or a must, to a gravity."""
    function = sugar_for_gravity if asked.data["state"] == "fermenting" else sugar_to_gravity
    return from_others(function, "gravity", "target_gravity", "volume_l")(asked, number)


def gravity_after(asked: Asked, number: Number) -> list[Step]:
    """Trace the gravity to be read then: in a wine it is the one that this much sugar leads to."""
    if asked.data["state"] == "fermenting":
        return from_others(gravity_after_sugar, "gravity", "volume_l", "batch_sugar_kg")(
            asked, number
        )
    after = number.single

    def led_to(now: float, litres: float, sugar_kg: float) -> float:
        back = float(sugar_to_gravity(now, after, litres))
        return after if abs(back - sugar_kg) < 1e-6 else float("nan")

    names = ("gravity", "volume_l", "batch_sugar_kg")
    return from_others(sugar_to_gravity, *names, work=led_to)(asked, number)


def pressure_of(sugar: float, alcohol: float, volume: float, added_kg: float) -> float:
    """Return the pressure if all the sugar fermented in a closed bottle [bar]."""
    single = sugar + float(
        invert_from_sucrose(float(sugar_after_sweetening(0.0, volume, added_kg)))
    )
    return float(bottle_overpressure(min(single, _MOST_G_L), min(alcohol, 30.0)))


def in_spoons(asked: Asked, number: Number) -> list[Step]:
    """Trace level spoons: by what a spoon of that powder weighs."""
    (weight,) = spoon_of(number.said("additive"))
    each = float(weight.as_written or "nan")
    way = from_others(_BENCH, "grams", work=lambda grams: grams / each, cells=lambda *_: [weight])
    return way(asked, number)


def sorbic_rise(function: Formula) -> Way:
    """Return the way to the sorbic acid still to add, up to the ceiling."""
    ceiling = limit("sorbic acid oiv").value

    def rise(needed: float, before: float) -> float:
        return max(min(needed, ceiling) - before, 0.0)

    def way(asked: Asked, number: Number) -> list[Step]:
        before = asked.data["sorbate"]["sorbic_added_before_mg_l"]
        given: str | float = 0.0 if before is None else "sorbic_added_before_mg_l"
        return from_others(function, "sorbic_needed_mg_l", given, work=rise)(asked, number)

    return way


def sulphite_rise(function: Formula) -> Way:
    """Return the way to the sulphite still to add; what was never measured counts as none left."""

    def way(asked: Asked, number: Number) -> list[Step]:
        free = asked.data["sulphite"]["free_now_mg_l"]
        given: str | float = 0.0 if free is None else "free_now_mg_l"
        return from_others(function, given, "free_needed_mg_l")(asked, number)

    return way


def acid_change(target: float, now: float) -> float:
    """Return the change of acidity of one step [g/L]: up at once, down little by little."""
    return max(target - now, -DEACIDIFICATION_STEP_G_L)


def volume_after(asked: Asked, number: Number) -> list[Step]:
    """Trace how much wine there is then: with the water, or with the room of the sugar."""
    if "water_l" in number.around[-1]:
        return from_others(_BENCH, "volume_l", "water_l", work=lambda one, other: one + other)(
            asked, number
        )

    def swollen(litres: float, sugar_kg: float) -> float:
        return litres + float(dissolved_sugar_volume(sugar_kg))

    way = from_others(dissolved_sugar_volume, "volume_l", "batch_sugar_kg", work=swollen)
    return way(asked, number)
