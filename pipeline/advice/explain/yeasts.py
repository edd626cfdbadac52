"""How each yeast's finished gravity came about, at the average must and over the logbook's own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.forecast import METHODS
from pipeline.advice.explain.numbers import Number
from pipeline.advice.trace import Part, Step
from pipeline.advice.trace.sources import name_of, source_of
from pipeline.cellar.plan import PlannedLines, plan_musts
from pipeline.enology.extract import apparent_attenuation, real_attenuation
from pipeline.learning.musts import Musts, plain_label, read_musts
from pipeline.learning.parts import gravity_parts, tolerance_parts
from pipeline.learning.yeasts import YeastsLikeForLike

AVERAGE, OWN = "at the average must", "over your own musts"
_ATTENUATIONS = {
    "apparent_attenuation": apparent_attenuation,
    "real_attenuation": real_attenuation,
}


def finished(asked: Asked, number: Number) -> list[Step]:
    """Trace the gravity at which a yeast leaves the average must."""
    step = _gravity(asked, number.said("yeast"), AVERAGE, "final_gravity")
    return [number.as_answer(step)]


def attenuation(asked: Asked, number: Number) -> list[Step]:
    """Trace how much of the sugar a yeast eats: a formula over two expected gravities."""
    yeast, function = number.said("yeast"), _ATTENUATIONS[number.name]
    ends = [_gravity(asked, yeast, AVERAGE, name) for name in ("equivalent", "final_gravity")]
    step = Step(
        of=yeast,
        measure=number.name,
        value=number.single,
        unit="share 0–1",
        how="formula",
        by=name_of(function),
        source=source_of(function),
        uses=[end.measure for end in ends],
    )
    return [*ends, number.as_answer(step)]


def tolerance(asked: Asked, number: Number) -> list[Step]:
    """Trace the strength at which a yeast stops."""
    yeast = number.said("yeast")
    parts = tolerance_parts(asked.learnt, _with(_musts(asked, OWN), yeast))
    step = Step(
        of=yeast,
        measure=number.name,
        value=number.single,
        unit="% vol",
        how="forecast",
        by="learning.gravity",
        source=METHODS,
        parts=_averaged(parts),
        rests_on=_rests_on(asked, yeast),
    )
    return [number.as_answer(step)]


def pair(asked: Asked, number: Number) -> list[Step]:
    """Trace how far one yeast finishes from another on the same musts."""
    where = AVERAGE if number.keys[0] == "pairs" else OWN
    a, b = number.said("a"), number.said("b")
    one, other = (_gravity(asked, yeast, where, "final_gravity") for yeast in (a, b))
    step = Step(
        of=f"{a} beside {b}",
        measure=f"difference {where}",
        value=number.single,
        unit="SG",
        how="difference",
        by="learning.yeasts",
        source=METHODS,
        uses=(f"{one.measure} of {a}", f"{other.measure} of {b}"),
        parts=[Part(a, one.value or 0.0), Part(f"less {b}", -(other.value or 0.0))],
    )
    return [one, other, number.as_answer(step)]


def chance(_: Asked, number: Number) -> list[Step]:
    """Trace the chance that one yeast finishes drier: from the difference and how sure it is."""
    where = AVERAGE if number.keys[0] == "pairs" else OWN
    a, b = number.said("a"), number.said("b")
    step = Step(
        of=f"{a} beside {b}",
        measure=f"chance that {a} is drier, {where}",
        value=number.single,
        unit="chance 0–1",
        how="chance",
        by="learning.yeasts",
        source=f"{METHODS}: Student's t",
        uses=(f"difference {where}",),
    )
    return [number.as_answer(step)]


def _gravity(asked: Asked, yeast: str, where: str, outcome: str) -> Step:
    """Return the step of a gravity that a yeast is expected to leave or to have begun with."""
    told = asked.once(
        ("yeast", yeast, where, outcome),
        lambda: _averaged(gravity_parts(asked.learnt, _with(_musts(asked, where), yeast), outcome)),
    )
    return Step(
        of=yeast,
        measure=f"{outcome} {where}",
        value=sum(part.value for part in told),
        unit="SG",
        how="forecast",
        by="learning.gravity",
        source=METHODS,
        parts=told,
        rests_on=_rests_on(asked, yeast),
    )


def _musts(asked: Asked, where: str) -> Musts:
    """Return the musts on which the yeasts were compared."""
    return asked.once(("musts", where), lambda: _read(asked, where))


def _read(asked: Asked, where: str) -> Musts:
    models = asked.learnt
    if where == OWN:
        return YeastsLikeForLike(models.gravity, models.musts, {}).musts
    note = asked.kept_of(PlannedLines)[0]
    plans = plan_musts(note.lines, asked.cellar.settings()["bottle_l"])
    return read_musts(plans.musts, plans.must_fruits, models.fruits)


def _with(musts: Musts, yeast: str) -> Musts:
    return replace(musts, yeast=[plain_label(yeast)] * len(musts))


def _averaged(parts: dict[str, np.ndarray]) -> list[Part]:
    """Return the parts averaged over the musts in which they are known."""
    known = np.isfinite(sum(parts.values()))
    return [Part(name, float(values[known].mean())) for name, values in parts.items()]


def _rests_on(asked: Asked, yeast: str) -> dict:
    """Return what the gravity model rests on, the batches of this yeast foremost."""
    return asked.rests_on("gravity", {"yeast": yeast})
