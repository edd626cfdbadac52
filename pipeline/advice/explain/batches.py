"""How the numbers of batches came about, one by one or as the mean of a recipe's repeats."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import polars as pl

from pipeline.advice.explain import forecast as forecasts
from pipeline.advice.explain.asked import Asked, is_one
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Part, Step
from pipeline.advice.trace.sources import ARITHMETIC, unit_of

# What answers call a number, where it is not the mart's column without its unit.
_CALLED = {"acidity": "ta_tartaric_g_l", "nitrogen": "nitrogen_added_mg_l"}
_ENDINGS = ("", "_kg_l", "_kg", "_g_l", "_l", "_added_g_l", "_mg_l", "_mean_c", "_c")


def column_of(measure: str, columns: list[str]) -> str | None:
    """Return the mart's column of a measure as answers call it; None if there is none."""
    name = _CALLED.get(measure, measure)
    return next((name + ending for ending in _ENDINGS if name + ending in columns), None)


def side(asked: Asked, number: Number) -> list[Step]:
    """Trace one cell of a comparison: of a batch, of a recipe's repeats, or of a plan."""
    names = asked.data["columns"]
    name, measure = names[number.keys[-1]], number.said("measure")
    if isinstance(number.value, dict):
        return forecasts.planned(asked, _predicted(number, name, measure))
    batches = asked.cellar.table("batches")
    for column in ("batch_id", "recipe"):
        mine = batches.filter(pl.col(column) == name)["batch_id"].to_list()
        if mine:
            return _of_batches(asked, number, name, measure, mine)
    return _of_plan(asked, number, name, measure)


def _predicted(number: Number, recipe: str, measure: str) -> Number:
    """Return a predicted cell as `predict` shows it: beside the other numbers of its recipe."""
    data, at = number.around[0], number.keys[-1]
    beside = {row["measure"]: row["values"][at] for row in data["rows"]}
    return replace(number, around=(*number.around, {**beside, "recipe": recipe}), called=measure)


def _of_plan(asked: Asked, number: Number, recipe: str, measure: str) -> list[Step]:
    column = column_of(measure, asked.cellar.table("musts").columns)
    if column is None:
        return []
    trace = asked.trace(recipe, is_planned=True)
    step = trace.step(column)
    return [*trace.steps.values(), number.as_answer(step)] if _agrees(step, number) else []


def _of_batches(
    asked: Asked, number: Number, name: str, measure: str, batches: list[str]
) -> list[Step]:
    column = column_of(measure, asked.cellar.table("batches").columns)
    if column is None:
        return []
    found: list[Step] = []
    ends: list[Step] = []
    for batch in batches:
        trace = asked.trace(batch, is_planned=False)
        ends.append(trace.step(column))
        found += trace.steps.values()
    known = [step for step in ends if step.value is not None]
    if len(batches) == 1:
        return [*found, number.as_answer(ends[0])] if _agrees(ends[0], number) else []
    total = sum(step.value or 0.0 for step in known) / max(len(known), 1)
    if not is_one(total, number.single):
        return []
    mean = Step(
        of=name,
        measure=column,
        value=number.single,
        unit=unit_of(column),
        how="mean of repeats",
        by="advice.compare",
        source=ARITHMETIC,
        parts=[Part(step.of, (step.value or 0.0) / len(known)) for step in known],
        uses=[f"{column} of {step.of}" for step in known],
    )
    return [*found, number.as_answer(mean)]


def _agrees(step: Step, number: Number) -> bool:
    return step.value is not None and is_one(step.value, number.single)


def _alone(number: Number, of: str, measure: str, **how: Any) -> list[Step]:
    """Return the one step that leads to a number; what is not said is plain arithmetic."""
    said = {"unit": "", "source": ARITHMETIC, **how}
    return [number.as_answer(Step(of=of, measure=measure, value=number.single, **said))]


def repeats(asked: Asked, number: Number) -> list[Step]:
    """Trace how far batches of one recipe lie apart: which of them there are."""
    measure = number.said("measure")
    column = column_of(measure, asked.cellar.table("batches").columns)
    if column is None:
        return []
    known = asked.cellar.table("batches").drop_nulls(["recipe", column])
    often = known.filter(pl.len().over("recipe") > 1)["batch_id"].to_list()
    return _alone(
        number,
        "repeats of a recipe",
        column,
        unit=unit_of(column),
        how="spread",
        by="advice.compare",
        rests_on={"batches": len(often), "closest": [], "all": often},
    )


def count(asked: Asked, number: Number) -> list[Step]:
    """Trace a count of batches: those with this fruit, or by this yeast."""
    of, batches = batches_with(asked, number)
    step = _alone(
        number,
        of,
        "batches",
        unit="batches",
        how="count",
        by="sql/470_batches.sql",
        rests_on={"batches": len(batches), "closest": [], "all": batches},
    )
    return step if len(batches) == number.single else []


def batches_with(asked: Asked, number: Number) -> tuple[str, list[str]]:
    """Return the batches that have a fruit, or that a yeast finished, and what they share."""
    fruit, yeast = number.said("fruit"), number.said("yeast")
    if fruit is not None:
        fruits = asked.cellar.table("must_fruits").filter(
            ~pl.col("is_planned"), pl.col("kg") > 0, pl.col("fruit") == fruit
        )
        return fruit, fruits["must_id"].to_list()
    finished = asked.cellar.table("batches").filter(
        pl.col("final_gravity").is_not_null(), pl.col("yeast") == yeast
    )
    return str(yeast), finished["batch_id"].to_list()


def at_line(asked: Asked, number: Number) -> list[Step]:
    """Trace the number of a line: it is where the recipe says it."""
    line, file = int(number.single), asked.trace("", is_planned=True).must.file("recipes")
    cell = asked.trace("", is_planned=True).must.cell("recipes", line, "ingredient")
    step = Step(file, "line", float(line), "", "place", "logbook", ARITHMETIC, cells=[cell])
    return [number.as_answer(step)]


def edited(asked: Asked, number: Number) -> list[Step]:
    """Trace what a line is to be changed to: chosen by trying, from what it is now."""
    line, field = number.said("line"), str(number.said("field"))
    must = asked.trace("", is_planned=True).must
    cells = [] if line is None else [must.cell("recipes", line, field)]
    return _alone(
        number,
        " ".join(str(word) for word in (number.said("ingredient"), field) if word),
        "changed to",
        how="chosen",
        by="advice.fill" if "fill" in number.keys else "advice.suggest",
        cells=cells,
    )


def chance(_: Asked, number: Number) -> list[Step]:
    """Trace the chance that all changes together are for the better."""
    return _alone(
        number,
        str(number.said("recipe")),
        "chance that it is better so",
        unit="chance 0–1",
        how="chance",
        by="advice.suggest",
        source=f"{forecasts.METHODS}: Student's t",
        uses=("change of score",),
    )


def limit(_: Asked, number: Number) -> list[Step]:
    """Trace a limit: what the suggested recipe is expected to show, between the ends held to."""
    measure = str(number.said("measure"))
    return _alone(
        number,
        measure,
        "expected of the recipe as suggested",
        how="chosen",
        by="advice.suggest",
        source=forecasts.METHODS,
        uses=(f"after.{measure}",),
    )


def vessel(_: Asked, number: Number) -> list[Step]:
    """Trace the smallest vessel: the must as suggested, its fruit, and room for foam."""
    return _alone(
        number,
        str(number.said("recipe")),
        "smallest vessel",
        unit="L",
        how="chosen",
        by="enology.fruit.vessel_for",
    )
