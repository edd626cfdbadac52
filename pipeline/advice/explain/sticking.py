"""How a chance of sticking came about: that of the usual must, and what this one adds to it."""

from __future__ import annotations

from pipeline.advice.explain.asked import Asked, Expected, is_one
from pipeline.advice.explain.forecast import METHODS, told
from pipeline.advice.explain.numbers import Number
from pipeline.advice.explain.plain import Way
from pipeline.advice.trace import Part, Step
from pipeline.learning.forecast import Forecast

_USUAL = {
    "nitrogen_shortfall": "feeding",
    "sugar_excess": "sugar",
    "heat_or_cold": "warmth",
    "yeast": "yeast",
}
_BY, _UNIT = "learning.sticking", "chance 0–1"


def _chance(asked: Asked, number: Number) -> list[Step]:
    """Trace how likely a recipe is to stick."""
    called = str(number.said("recipe"))
    place = _place(asked, number.single, called)
    if place is None:
        return []
    kept, row = place
    found = Expected(asked, kept, row, called)
    step = Step(
        of=called,
        measure=number.name,
        value=number.single,
        unit=_UNIT,
        how="forecast",
        by=_BY,
        source=METHODS,
        uses=("alcohol", "nitrogen_needed"),
        parts=[Part(name, value) for name, value in kept.sticking.added(row).items()],
        rests_on=asked.rests_on("sticking", found.like),
    )
    return [*told(found, "alcohol"), number.as_answer(step)]


def _without(_: Asked, number: Number) -> list[Step]:
    """Trace what the chance were with one thing as usual."""
    step = Step(
        of=str(number.said("recipe")),
        measure=f"chance_stuck at usual {_USUAL[number.said('factor')]}",
        value=number.single,
        unit=_UNIT,
        how="as usual",
        by=_BY,
        source=METHODS,
        uses=("chance_stuck",),
    )
    return [number.as_answer(step)]


def _place(asked: Asked, chance: float, called: str) -> tuple[Forecast, int] | None:
    """Return where a must of this chance stands: the one called so, else any."""
    found = [
        (kept, row)
        for kept in asked.kept_of(Forecast)
        for row in range(len(kept.musts))
        if (told := kept.sticking.chance(row)) is not None and is_one(told.value, chance)
    ]
    by_name = [(kept, row) for kept, row in found if kept.musts.ids[row] == called]
    return next(iter([*by_name, *found]), None)


STICKING_WAYS: dict[str, Way] = {
    "*chance_stuck": _chance,
    "*stuck_reasons[[]].chance_without": _without,
}
