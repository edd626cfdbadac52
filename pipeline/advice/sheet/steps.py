"""The plan of steps from the day a must is put together to the last tasting.

Days of additions are the recipe's own. The rest follows what most makers do, and every step after
the fruit is out waits for the wine, not for the calendar: the day is a guide.
"""

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from pipeline.advice.sheet.texts import TEXTS
from pipeline.enology.enzymes import enzyme_window

# All of these: common practice, no source [days].
FRUIT_OUT_DAY = 10.0
RACKINGS = 2
FIRST_RACK_AFTER, RACK_EVERY = 14.0, 42.0
# Into the cold with the last racking, a month of it, then a look, and the bottles.
_COLD_AFTER, _CHECK_AFTER, _STABILISE_AFTER, _BOTTLE_AFTER = 1.0, 30.0, 7.0, 14.0
TASTE_MONTHS = {3: 91.0, 6: 182.0, 12: 365.0}  # after bottling


@dataclass(frozen=True)
class Step:
    """One thing to do.

    Parameters
    ----------
    code : str
        What it is, a key of `TEXTS`.
    day : float
        Days after the start.
    until_day : float or None
        Last day of something done daily.
    lines : tuple of int
        Lines of recipes.csv that go in.
    cooler_than_c : float or None
        The must must be below this [°C] first.
    is_guide : bool
        The wine decides, not the day.
    age : str
        Which tasting it is.
    """

    code: str
    day: float
    until_day: float | None = None
    lines: tuple[int, ...] = ()
    cooler_than_c: float | None = None
    is_guide: bool = False
    age: str = ""

    def as_dict(self, start: date) -> dict[str, Any]:
        """Return the step as commands print it, with its dates."""
        title, text = TEXTS[self.code]
        return {
            "code": self.code,
            "day": self.day,
            "date": _date(start, self.day),
            "until": None if self.until_day is None else _date(start, self.until_day),
            "title": f"{title} {self.age}".rstrip(),
            "text": text,
            "lines": list(self.lines),
            "cooler_than_c": self.cooler_than_c,
            "is_guide": self.is_guide,
        }


_ORDER = list(TEXTS)
_STARTERS = frozenset({"fruit", "juice", "water", "sugar", "honey", "acid", "base", "tannin"})


def _date(start: date, day: float) -> str:
    return (start + timedelta(days=math.floor(day))).isoformat()


def plan_steps(lines: list[dict], rackings: float | None, sweeten_to: float | None) -> list[Step]:
    """Return the plan, first thing first.

    Parameters
    ----------
    lines : list of dict
        The recipe's lines (`sheet_scale.written_lines`).
    rackings : float or None
        How often to rack; two if the recipe does not say.
    sweeten_to : float or None
        Sugar the finished wine is to have [g/L]; None for dry.

    Returns
    -------
    list of Step
    """
    additions = addition_steps(lines)
    out = fruit_out_days(lines)
    steps = [*additions, *_on_the_fruit(lines, out)]
    last_out = max(out) if out else max((step.day for step in additions), default=0.0)
    steps += _in_the_cellar(last_out, int(RACKINGS if rackings is None else rackings), sweeten_to)
    return sorted(_merged(steps), key=lambda step: (step.day, _ORDER.index(step.code)))


def addition_steps(lines: list[dict]) -> list[Step]:
    """Return one step for each day and kind of thing that goes in."""
    first = min((line["day"] for line in lines), default=0.0)
    yeast_days = {line["day"] for line in lines if line["kind"] == "yeast"}
    found: dict[tuple[float, str], list[int]] = {}
    if lines and not yeast_days:
        # No recipe does without; when it goes in, whoever wrote it will know.
        found[first + 1, "yeast"] = []
    for line in lines:
        code = _code(line, first, yeast_days)
        found.setdefault((line["day"], code), []).append(line["line"])
    return [
        Step(code, day, lines=tuple(numbers), cooler_than_c=_coolness(code, numbers, lines))
        for (day, code), numbers in found.items()
    ]


def _code(line: dict, first: float, yeast_days: set[float]) -> str:
    kind, day = line["kind"], line["day"]
    if kind in ("enzyme", "yeast"):
        return str(kind)
    if kind == "sorbate":
        return "stabilise"
    if kind == "nutrient":
        return "yeast" if day in yeast_days else "feed"
    if day > first and kind in ("sugar", "honey", "juice"):
        return "feed"
    return "start" if day == first and (kind in _STARTERS or kind == "sulphite") else "add"


def _coolness(code: str, numbers: list[int], lines: list[dict]) -> float | None:
    """Return the warmth [°C] that the enzymes of a step stand for sure."""
    if code != "enzyme":
        return None
    names = [line["ingredient"] for line in lines if line["line"] in numbers]
    kinds = {"amylase" if "amylase" in name else "pectic enzyme" for name in names}
    return min(
        enzyme_window("amylase" if kind == "amylase" else "pectic enzyme").best_low_c
        for kind in kinds
    )


def fruit_out_days(lines: list[dict]) -> list[float]:
    """Return the days on which fruit comes out; ten where the recipe does not say."""
    return sorted(
        {
            line["day"] + FRUIT_OUT_DAY if line["removed_day"] is None else line["removed_day"]
            for line in lines
            if line["kind"] == "fruit"
        }
    )


def _on_the_fruit(lines: list[dict], out: list[float]) -> list[Step]:
    if not out:
        return []
    first = min(line["day"] for line in lines if line["kind"] == "fruit")
    steps = [Step("fruit_out", day) for day in out]
    if out[-1] - first >= 2:
        steps.append(Step("stir", first + 1, until_day=out[-1] - 1))
    return steps


def _in_the_cellar(out: float, rackings: int, sweeten_to: float | None) -> list[Step]:
    racked = [out + FIRST_RACK_AFTER + RACK_EVERY * number for number in range(rackings)]
    cold = (racked[-1] if racked else out) + _COLD_AFTER
    check = cold + _CHECK_AFTER
    stabilise = check + _STABILISE_AFTER
    bottle = stabilise + _BOTTLE_AFTER
    steps = [
        *(Step("rack", day, is_guide=True) for day in racked),
        Step("cold", cold, is_guide=True),
        Step("check", check, is_guide=True),
        Step("stabilise", stabilise, is_guide=True),
        Step("bottle", bottle, is_guide=True),
    ]
    if sweeten_to:
        steps.append(Step("sweeten", stabilise + 1, is_guide=True))
    return steps + [
        Step("taste", bottle + days, age=f"at {months} months in bottle", is_guide=True)
        for months, days in TASTE_MONTHS.items()
    ]


def _merged(steps: list[Step]) -> list[Step]:
    """Put the recipe's own sorbate into the one stabilising step, which waits for the wine."""
    planned = [step for step in steps if step.code == "stabilise" and step.lines]
    if not planned:
        return steps
    numbers = tuple(number for step in planned for number in step.lines)
    return [
        replace(step, lines=numbers) if step.code == "stabilise" else step
        for step in steps
        if step not in planned
    ]
