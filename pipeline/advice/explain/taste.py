"""How harshness came about: glasses, tasters, and what each factor does."""

from __future__ import annotations

import math

import numpy as np

from pipeline.advice.explain.asked import Asked, about, is_one
from pipeline.advice.explain.forecast import METHODS, changed, kept_within
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Part, Step
from pipeline.cellar.origins import Cell
from pipeline.learning.explain.drivers import StepEffect
from pipeline.learning.explain.shares import Shares
from pipeline.learning.parts import taste_parts

_MARKS = ("astringency", "bitterness", "warmth")


def driver(asked: Asked, number: Number) -> list[Step]:
    """Trace what a step of a factor does over all batches."""
    factor = number.said("factor")
    for kept in asked.kept_of(StepEffect):
        if is_one(kept.value, number.single):
            return [_shared(asked, number, factor, kept.trade, kept.learnt)]
    if factor != "taster":
        return []
    tasters = asked.learnt.taste.harshness.tasters
    parts = []
    if tasters is not None:
        low, high = tasters.severity.argmin(), tasters.severity.argmax()
        parts = [
            Part(f"{tasters.names[high]} above the mean taster", float(tasters.severity[high])),
            Part(f"{tasters.names[low]} below the mean taster", -float(tasters.severity[low])),
        ]
    step = Step(
        of="all tasters",
        measure=factor,
        value=number.single,
        unit="points",
        how="difference",
        by="learning.taste.tasters",
        source=METHODS,
        parts=parts,
        rests_on=asked.rests_on("taste", {}),
    )
    return [number.as_answer(step)]


def share(asked: Asked, number: Number) -> list[Step]:
    """Trace what one factor adds to a wine's harshness beside others."""
    factor = number.said("factor")
    batch = number.said("batch")
    if factor == "taster":
        return [_taster(asked, number, batch)]
    for kept in asked.kept_of(Shares):
        at = kept.names.index(factor)
        if is_one(float(kept.value[at]), number.single):
            regressor = asked.learnt.taste.harshness.regressor
            learnt = 0.0 if regressor is None else float(kept.row[at] @ regressor.coef_)
            return [_shared(asked, number, factor, number.single - learnt, learnt)]
    return []


def between(asked: Asked, number: Number) -> list[Step]:
    """Trace what a difference of two wines does: all of it together, or one factor's share."""
    is_all = number.said("factor") == "all_together"
    return changed(asked, number) if is_all else share(asked, number)


def _shared(asked: Asked, number: Number, factor: str, trade: float, learnt: float) -> Step:
    batch = number.said("batch")
    a, b = number.said("a"), number.said("b")
    told = number.said("compared_with") or number.said("per") or f"{b}, not {a}"
    step = Step(
        of=batch or "all batches",
        measure=f"{factor}: {told}",
        value=number.single,
        unit="points",
        how="factor",
        by="learning.explain.shares.share_out" if batch else "learning.explain.drivers",
        source=METHODS,
        parts=[Part("as the trade expects", trade), Part("what your glasses add", learnt)],
        rests_on=asked.rests_on("taste", _like(asked, batch)),
    )
    return number.as_answer(step)


def _like(asked: Asked, batch: str | None) -> dict:
    musts = asked.learnt.taste.musts
    return about(musts, musts.ids.index(batch)) if batch in musts.ids else {}


def _taster(asked: Asked, number: Number, batch: str) -> Step:
    step = Step(
        of=batch,
        measure="who tasted it",
        value=number.single,
        unit="points",
        how="factor",
        by="learning.explain.tasters.taster_share",
        source=METHODS,
        cells=_glasses(asked, batch, ("taster",)),
        rests_on=asked.rests_on("taste", {}),
    )
    return number.as_answer(step)


def measured(asked: Asked, number: Number) -> list[Step]:
    """Trace the harshness of a batch's glasses, the tasters taken out."""
    batch = number.said("batch")
    cells = _glasses(asked, batch, _MARKS)
    marks = [cell.value for cell in cells if cell.value is not None]
    raw = math.fsum(marks) / len(marks) if marks else 0.0
    step = Step(
        of=batch,
        measure="harshness of its glasses",
        value=number.single,
        unit="of 10",
        how="glasses",
        by="learning.taste.tasters",
        source=METHODS,
        cells=cells,
        parts=[
            Part("mean of the glasses", raw),
            Part("what its tasters' habits are taken for", number.single - raw),
        ],
        rests_on=asked.rests_on("taste", {}),
    )
    return [number.as_answer(step)]


def expected(asked: Asked, number: Number) -> list[Step]:
    """Trace the harshness that what went in leads one to expect."""
    batch, model = number.said("batch"), asked.learnt.taste
    row = model.musts.ids.index(batch)
    (parts,) = taste_parts(asked.learnt, model.inputs.take(np.array([row])), "harshness")
    told = [Part(name, value) for name, value in parts.items()]
    step = Step(
        of=batch,
        measure="harshness to be expected",
        value=number.single,
        unit="of 10",
        how="forecast",
        by="learning.taste",
        source=METHODS,
        parts=kept_within(told, number.single),
        rests_on=asked.rests_on("taste", about(model.musts, row)),
    )
    return [number.as_answer(step)]


def own(asked: Asked, number: Number) -> list[Step]:
    """Trace a batch's harshness: what is to be expected, drawn towards what its glasses show."""
    batch, data = number.said("batch"), asked.data
    parts = [
        Part("to be expected", data["expected"]),
        Part("drawn towards its glasses", number.single - data["expected"]),
    ]
    step = Step(
        of=batch,
        measure="harshness",
        value=number.single,
        unit="of 10",
        how="weighed",
        by="learning.explain",
        source=METHODS,
        uses=("harshness to be expected", "harshness of its glasses"),
        parts=parts,
        rests_on=asked.rests_on("taste", _like(asked, batch)),
    )
    return [*measured_and_expected(asked, number), number.as_answer(step)]


def measured_and_expected(asked: Asked, number: Number) -> list[Step]:
    """Return the two steps that a batch's harshness is weighed from, as steps on the way."""
    inner = [Number((name,), asked.data[name], number.around) for name in ("expected", "measured")]
    return [*expected(asked, inner[0]), *measured(asked, inner[1])]


def _glasses(asked: Asked, batch: str, columns: tuple[str, ...]) -> list[Cell]:
    """Return the cells of a batch's glasses as they are; of the sweetened where there are none."""
    must = asked.trace(batch, is_planned=False).must
    marked = [row for row in must.rows("staged_tastings") if row["harshness"] is not None]
    plain = [row for row in marked if row["sweetened_to_g_l"] is None]
    return [
        must.cell("tastings", row["line"], column, row[column] if column in _MARKS else None)
        for row in plain or marked
        for column in columns
    ]
