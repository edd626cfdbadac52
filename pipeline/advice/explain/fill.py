"""How the numbers of a filled recipe came about: the volume expected, and the chance of enough."""

from __future__ import annotations

from pipeline.advice.explain import batches
from pipeline.advice.explain import forecast as forecasts
from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way
from pipeline.advice.trace import Step
from pipeline.advice.trace.sources import ARITHMETIC


def _chance(_: Asked, number: Number) -> list[Step]:
    """Trace the chance that the finished wine reaches the target."""
    step = Step(
        of=str(number.said("recipe")),
        measure="chance of a full vessel" + (" as planned" if number.name == "chance_now" else ""),
        value=number.single,
        unit="chance 0–1",
        how="chance",
        by="advice.fill",
        source=f"{forecasts.METHODS}: Student's t",
        uses=("finished_volume", "target_volume_l"),
    )
    return [number.as_answer(step)]


def _asked(asked: Asked, number: Number) -> list[Step]:
    """Trace the chance that was asked for: as typed, or the usual."""
    step = Step(
        of=str(number.said("recipe")),
        measure="chance asked for",
        value=number.single,
        unit="chance 0–1",
        how="chosen",
        by="advice.fill",
        source=ARITHMETIC,
        cells=asked.typed("--fill"),
    )
    return [number.as_answer(step)]


def _target(asked: Asked, number: Number) -> list[Step]:
    """Trace the volume aimed at to where the recipe says it."""
    trace = asked.trace(str(number.said("recipe")), is_planned=True)
    step = trace.step("target_volume_l")
    return [*trace.steps.values(), number.as_answer(step)]


FILL_WAYS: dict[str, Way] = {
    "recipes[[]].fill.after.*": forecasts.planned,
    "recipes[[]].fill.chance_asked": _asked,
    "recipes[[]].fill.chance*": _chance,
    "recipes[[]].fill.target_l": _target,
    "recipes[[]].fill.vessel_l": batches.vessel,
    "recipes[[]].fill.changes[[]].line": batches.at_line,
    "recipes[[]].fill.changes[[]].to_si": batches.edited,
}
