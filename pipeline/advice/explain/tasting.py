"""How the numbers of a blind tasting came about: exact probabilities, and the scores so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import fmean
from typing import Any

import polars as pl

from pipeline.advice.compare_tasted import scored
from pipeline.advice.explain.asked import Asked, is_one
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way, constant, typed, unit_named, whose
from pipeline.advice.tasting.power import ALPHA, chance_to_see, compare_scores, tastings_needed
from pipeline.advice.trace import Part, Step
from pipeline.advice.trace.rules import Formula
from pipeline.advice.trace.sources import ARITHMETIC, name_of, source_of
from pipeline.cellar.origins import Cell
from pipeline.enology.sensory import hits_needed, p_value


def drawn(asked: Asked, number: Number) -> list[Step]:
    """Trace a number of the serving order: drawn by lot."""
    of, measure = whose(asked, number)
    step = Step(
        of,
        measure,
        number.single,
        "",
        "drawn by lot",
        "advice.tasting.order.serving_order",
        ARITHMETIC,
        asked.typed("--seed"),
        ("seed",),
    )
    return [number.as_answer(step)]


def exact(function: Formula, *names: str | float) -> Way:
    """Return the way to an exact probability, or to a number that follows from one."""

    def way(asked: Asked, number: Number) -> list[Step]:
        given = [name if isinstance(name, float) else number.said(name) for name in names]
        if not is_one(float(function(*given)), number.single):
            return []
        of, measure = whose(asked, number)
        uses = [name for name in names if isinstance(name, str) and name != "test"]
        step = Step(
            of,
            measure,
            number.single,
            unit_named(number.name),
            "formula",
            name_of(function),
            source_of(function),
            uses=uses,
        )
        return [number.as_answer(step)]

    return way


def scores(asked: Asked, number: Number) -> list[Step]:
    """Trace what the scores logged so far say of the two wines."""
    cells = {batch: _scores(asked, batch) for batch in (asked.data["a"], asked.data["b"])}
    marks = [[cell.value or 0.0 for cell in found] for found in cells.values()]
    return _from_scores(asked, number, cells, marks)


def tasted(asked: Asked, number: Number) -> list[Step]:
    """Trace what the scores logged so far say of two sides of a comparison."""
    batches = {side: _batches(asked, side) for side in (number.said("a"), number.said("b"))}
    _, marks = scored(asked.cellar, *batches.values())
    cells = {
        side: [cell for batch in made for cell in _scores(asked, batch)]
        for side, made in batches.items()
    }
    return _from_scores(asked, number, cells, marks)


def _batches(asked: Asked, side: str) -> list[str]:
    """Return a batch by its own name, or those that follow a recipe."""
    known = asked.cellar.table("batches")
    own = known.filter(pl.col("batch_id") == side)
    return (known.filter(pl.col("recipe") == side) if own.is_empty() else own)["batch_id"].to_list()


def _from_scores(
    asked: Asked, number: Number, cells: Mapping[str, list[Cell]], marks: Sequence[list[float]]
) -> list[Step]:
    found: dict[str, Any] = compare_scores(*marks) or {}
    known = found.get(number.name)
    if known is None or not is_one(_single(known), number.single):
        return []
    of, measure = whose(asked, number)
    one, other = (fmean(mark) for mark in marks)
    first, second = cells
    parts = [Part(second, other), Part(f"less {first}", -one)]
    step = Step(
        of,
        measure,
        number.single,
        "points",
        "scores",
        name_of(compare_scores),
        source_of(compare_scores),
        [cell for side in cells.values() for cell in side],
        parts=parts if number.name == "difference" else (),
    )
    return [number.as_answer(step)]


def _single(part: Any) -> float:
    return float(part["value"] if isinstance(part, dict) else part)


def _scores(asked: Asked, batch: str) -> list[Cell]:
    must = asked.trace(batch, is_planned=False).must
    marked = [row for row in must.rows("glasses") if row["score"] is not None]
    return must.cells("tastings", marked, "score", "score")


TASTING_WAYS: dict[str, Way] = {
    "tasters": typed("--tasters"),
    "seed": typed("--seed"),
    "verdict.hits": typed("--hits"),
    "serving*": drawn,
    "hits_needed": exact(hits_needed, "test", "tasters", ALPHA),
    "verdict.chance_by_guessing": exact(p_value, "test", "tasters", "hits"),
    "power[[]].share_who_can_tell": constant("advice.tasting.SHARES"),
    "power[[]].chance_to_see": exact(chance_to_see, "test", "tasters", "share_who_can_tell"),
    "power[[]].tastings_needed": exact(tastings_needed, "test", "share_who_can_tell"),
    "power_wanted": constant("advice.tasting.power.POWER"),
    "scores.*": scores,
}
