"""How the volume that a fruit gives came about, at every load that was tried."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from pipeline.advice.explain.asked import Asked, Expected, is_one
from pipeline.advice.explain.batches import batches_with
from pipeline.advice.explain.forecast import METHODS, forecast_step
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Part, Step
from pipeline.advice.trace.sources import ARITHMETIC
from pipeline.advice.volume import FULL, WATERS
from pipeline.learning.forecast import VolumeForecast
from pipeline.learning.parts import litres_parts

_BY = "advice.volume"


def tried(_: Asked, number: Number) -> list[Step]:
    """Trace a load that was tried: it was chosen, not found."""
    step = Step(
        number.said("fruit"), "fruit load tried", number.single, "kg/L", "chosen", _BY, ARITHMETIC
    )
    return [number.as_answer(step)]


def litres(asked: Asked, number: Number) -> list[Step]:
    """Trace the litres that a kg of a fruit gives."""
    fruit, batches = batches_with(asked, number)
    parts = litres_parts(asked.learnt, fruit)
    step = Step(
        of=fruit,
        measure="litres_per_kg",
        value=number.single,
        unit="L/kg",
        how="forecast",
        by="learning.volume.litres_per_kg",
        source=METHODS,
        parts=[Part(name, value) for name, value in parts.items()],
        rests_on={"batches": len(batches), "closest": [], "all": batches},
    )
    return [number.as_answer(step)]


def curve(asked: Asked, number: Number) -> list[Step]:
    """Trace the finished share at one load."""
    fruit, made, load = (number.said(name) for name in ("fruit", "made", "fruit_load"))
    found = asked.expected("finished_fraction", number.single, f"{fruit}|{made}|{load}")
    return [] if found is None else [number.as_answer(_at_load(found, fruit, made, load))]


def _at_load(found: Expected, fruit: str, made: str, load: float) -> Step:
    """Return the step of a must that was only tried out: nothing of it stands in a file."""
    step = forecast_step(found, "finished_fraction")
    return replace(step, of=fruit, measure=_named(made, load), uses=())


def _named(made: str, load: float) -> str:
    return f"finished_fraction at {load:g} kg/L, {made}"


def crossing(_: Asked, number: Number) -> list[Step]:
    """Trace the load at which the vessel is just full: between two loads that were tried."""
    made = number.said("made")
    points = [
        (point["fruit_load"], point["finished_fraction"]["value"])
        for point in number.said("curve")
        if point["made"] == made
    ]
    for (low, before), (high, after) in pairwise(points):
        if (before - FULL) * (after - FULL) > 0 or before == after:
            continue
        load = low + (FULL - before) / (after - before) * (high - low)
        if is_one(load, number.single):
            step = Step(
                of=number.said("fruit"),
                measure=f"{number.name}, {made}",
                value=number.single,
                unit="kg/L",
                how="between two",
                by=_BY,
                source=ARITHMETIC,
                uses=(_named(made, low), _named(made, high)),
                parts=[Part(f"at {low:g} kg/L", low), Part("further to full", load - low)],
            )
            return [number.as_answer(step)]
    return []


def water(asked: Asked, number: Number) -> list[Step]:
    """Trace the water that fills the vessel: on the line through two amounts of water tried."""
    fruit, load = number.said("fruit"), number.said("fruit_load")
    ends = [_tried(asked, f"{fruit}|water {share}|{load}") for share in WATERS]
    few, much = ends
    if few is None or much is None:
        return []
    steps = [
        _at_load(end, fruit, f"water {share:g} of the target", load)
        for end, share in zip((few, much), WATERS, strict=True)
    ]
    low, high = ((step.value or 0.0) for step in steps)
    rise = (high - low) / (WATERS[1] - WATERS[0])
    step = Step(
        of=fruit,
        measure=f"{number.name} at {load:g} kg/L",
        value=number.single,
        unit="L/L",
        how="between two",
        by=_BY,
        source=ARITHMETIC,
        uses=[step.measure for step in steps],
        parts=[Part("water tried", WATERS[0]), Part("further to full", (1.0 - low) / rise)],
    )
    total = sum(part.value for part in step.parts)
    return [*steps, number.as_answer(step)] if is_one(total, number.single) else []


def _tried(asked: Asked, must_id: str) -> Expected | None:
    """Return a must that was tried out, by name."""
    for kept in asked.kept_of(VolumeForecast):
        if must_id in kept.musts.ids:
            return Expected(asked, kept, kept.musts.ids.index(must_id), must_id)
    return None
