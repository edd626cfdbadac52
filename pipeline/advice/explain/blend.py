"""How the parts of a blend came about: from what each wine holds, nearest to the targets."""

from __future__ import annotations

from collections.abc import Callable

from pipeline.advice.explain.asked import Asked
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way, from_others, typed, whose
from pipeline.advice.trace import Step
from pipeline.enology.blending import blend, blend_alcohol

_BENCH = "advice.bench"


def share(asked: Asked, number: Number) -> list[Step]:
    """Trace a wine's share of a blend: the least squares nearest to the targets."""
    of, measure = whose(asked, number)
    targets = tuple(f"{target['name']} wanted" for target in asked.data["blend"]["targets"])
    step = Step(
        of,
        measure,
        number.single,
        "share 0–1",
        "nearest to the targets",
        "advice.bench.blend.blend_shares",
        "bounded least squares; what a taster just notices: common practice, no source",
        uses=targets,
    )
    return [number.as_answer(step)]


def wanted(asked: Asked, number: Number) -> list[Step]:
    """Trace what a blend is to reach: as it was typed."""
    options = {"alcohol": "--alcohol", "acidity": "--acidity", "sugar": "--sweeten-to"}
    return typed(options[number.said("name")])(asked, number)


def blended_volume(asked: Asked, number: Number) -> list[Step]:
    """Trace how much blend there is: as asked for, else as much as the scarcest wine allows."""
    if asked.call.get("volume") is not None:
        return typed("--volume")(asked, number)
    parts = asked.data["blend"]["parts"]

    def most() -> float:
        there = _there(asked)
        used = [part for part in parts if part["share"] > 0]
        return min(there[part["batch"]] / part["share"] for part in used)

    return from_others(_BENCH, work=most)(asked, number)


def left(asked: Asked, number: Number) -> list[Step]:
    """Trace what is left of a wine: what there is of it less what goes into the blend."""
    there = _there(asked)[number.said("batch")]
    way = from_others(_BENCH, there, "volume_l", work=lambda wine, used: wine - used)
    return way(asked, number)


def of_a_part(work: Callable[[float, float], float]) -> Way:
    """Return the way to what follows from a wine's share and how much blend there is."""

    def way(asked: Asked, number: Number) -> list[Step]:
        made = float(asked.data["blend"]["volume_l"])
        return from_others(_BENCH, "share", made, work=work)(asked, number)

    return way


def _there(asked: Asked) -> dict[str, float]:
    """Return how much there is of each wine of a blend [L]."""
    others = {one["batch"]: one["readings"] for one in asked.data["blended_with"]}
    wines = {asked.data["batch"]: asked.data["readings"], **others}
    return {batch: wine["volume_l"]["value"] for batch, wine in wines.items()}


def reached(asked: Asked, number: Number) -> list[Step]:
    """Trace what a blend reaches: what each wine holds, by its share."""
    name = number.said("name")
    column = {"alcohol": "alcohol_percent", "acidity": "acidity_g_l", "sugar": "residual_sugar_g_l"}
    wines = [asked.data["readings"], *(one["readings"] for one in asked.data["blended_with"])]
    shares = [part["share"] for part in asked.data["blend"]["parts"]]
    contents = [wine[column[name]]["value"] for wine in wines]
    if name == "alcohol":
        return from_others(blend_alcohol, work=lambda: blend_alcohol(shares, contents)[0])(
            asked, number
        )
    return from_others(blend, work=lambda: blend(shares, contents, name))(asked, number)
