"""How each quantity is named, converted and rounded for people, alone and with its interval.

A number is shown with as many decimals as its interval leaves meaning to, never more than the
instrument that would check it shows.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from pipeline.show.units import NOT_KNOWN, Units

Estimate = dict  # {"value", "low", "high", "level", "unit", "batches"}: see the command line's JSON

_MINUS = "−"


@dataclass(frozen=True)
class Measure:
    """How one quantity is written.

    Parameters
    ----------
    name : str
        In plain words, as a table heading.
    unit : str
        Written after the number; may be empty.
    decimals : int
        The most decimals that ever make sense.
    convert : callable
        From SI to the unit shown; rising.
    is_fixed : bool
        Always show all decimals, as a hydrometer does.
    prefix : str
        Written before the number, for money.
    step : str
        Unit of a difference, where it is another than `unit`.
    """

    name: str
    unit: str = ""
    decimals: int = 1
    convert: Callable[[float], float] = float
    is_fixed: bool = False
    prefix: str = ""
    step: str = ""

    def write(self, value: float | None) -> str:
        """Write one number with its unit."""
        if value is None or not math.isfinite(value):
            return NOT_KNOWN
        return self._with_unit(_number(self.convert(value), self.decimals))

    def span(self, estimate: Estimate | None) -> str:
        """Write an interval, e.g. ``3.1 to 3.9 L``."""
        if estimate is None or estimate["value"] is None:
            return NOT_KNOWN
        return self._with_unit(self._bare_span(estimate))

    def full(self, estimate: Estimate | float | str | None) -> str:
        """Write a value with its interval, e.g. ``3.5 L (3.1 to 3.9)``; words as they are."""
        if isinstance(estimate, str):
            return estimate
        if not isinstance(estimate, dict):
            return self.write(estimate)
        if estimate["value"] is None:
            return NOT_KNOWN
        shown = _number(self.convert(estimate["value"]), self._decimals(estimate))
        return f"{self._with_unit(shown)} ({self._bare_span(estimate)})"

    def near(self, estimate: Estimate | None) -> str:
        """Write the value alone, rounded to what its interval leaves known."""
        if estimate is None or estimate["value"] is None:
            return NOT_KNOWN
        return self._with_unit(_number(self.convert(estimate["value"]), self._decimals(estimate)))

    def difference(self) -> "Measure":
        """Return how a difference of this quantity is written: signed, offsets cancelled."""
        return _Difference(
            self.name,
            self.step or self.unit,
            self.decimals,
            lambda change: self.convert(change) - self.convert(0.0),
            self.is_fixed,
            self.prefix,
        )

    def _with_unit(self, text: str) -> str:
        before = f"{self.prefix} " if self.prefix else ""
        gap = " " if self.unit else ""
        return f"{before}{text}{gap}{self.unit}"

    def _bare_span(self, estimate: Estimate) -> str:
        decimals = self._decimals(estimate)
        low, high = (_number(self.convert(estimate[end]), decimals) for end in ("low", "high"))
        return f"{low} to {high}"

    def _decimals(self, estimate: Estimate) -> int:
        half = abs(self.convert(estimate["high"]) - self.convert(estimate["low"])) / 2
        if self.is_fixed or half == 0:
            return self.decimals
        return max(0, min(self.decimals, -math.floor(math.log10(half))))


class _Difference(Measure):
    """A change: its sign is always written."""

    def full(self, estimate: Estimate | float | str | None) -> str:
        text = super().full(estimate)
        return text if text.startswith((_MINUS, NOT_KNOWN)) else f"+{text}"

    def write(self, value: float | None) -> str:
        text = super().write(value)
        return text if text.startswith((_MINUS, NOT_KNOWN)) else f"+{text}"


def is_apart(estimate: Estimate | None) -> bool:
    """Tell whether the interval of a difference leaves nought out."""
    if estimate is None or estimate["value"] is None:
        return False
    return bool(estimate["low"] > 0 or estimate["high"] < 0)


def negated(estimate: Estimate) -> Estimate:
    """Return the estimate with its sign turned, so that a loss reads as one."""
    return {
        **estimate,
        "value": -estimate["value"],
        "low": -estimate["high"],
        "high": -estimate["low"],
    }


def chance(probability: float) -> str:
    """Write a probability as chances in a hundred; models that say 'certain' are overconfident."""
    hundredths = round(100 * probability)
    if hundredths >= 99:
        return "more than 98 in 100"
    if hundredths <= 1:
        return "fewer than 2 in 100"
    return f"{hundredths} in 100"


def joined(words: list[str], last: str = "and") -> str:
    """Join words as a sentence does: ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def capital(text: str) -> str:
    """Begin a sentence with a capital, leaving the rest as typed."""
    return text[:1].upper() + text[1:]


@cache
def measures(units: Units) -> dict[str, Measure]:
    """Return the measures of one logbook by the names that answers and the cellar use."""
    volume = Measure("finished wine", units.volume_unit, 2, units.volume_number)
    gravity = Measure("finished gravity", "", 3, is_fixed=True)
    share = Measure("", "%", 0, lambda x: 100 * x)
    acidity = Measure("acidity, as tartaric", "g/L", 1)
    return {
        "original_gravity": _named(gravity, "gravity at the start"),
        "final_gravity": gravity,
        "last_gravity": _named(gravity, "last gravity"),
        "alcohol": Measure("strength", "% vol", 1),
        "finished_volume": volume,
        "bottled_l": _named(volume, "bottled"),
        "target_volume_l": _named(volume, "volume aimed at"),
        "water": _named(volume, "water"),
        "juice": _named(volume, "juice"),
        "finished_fraction": _named(share, "share of the volume aimed at"),
        "apparent_attenuation": _named(share, "sugar gone, as the hydrometer sees it"),
        "real_attenuation": _named(share, "sugar gone"),
        "chance_stuck": _named(share, "chance of sticking"),
        "bottles": Measure("bottles", "", 0),
        "nitrogen": Measure("nitrogen for the yeast", "mg/L", 0),
        "nitrogen_needed": Measure("nitrogen needed", "mg/L", 0),
        "acidity": acidity,
        "ta_tartaric": acidity,
        "ph": Measure("pH", "", 2),
        "residual_sugar": Measure("sugar left", "g/L", 0),
        "harshness": Measure("harshness", "of 10", 1, step="points"),
        "score": Measure("score", "", 1, step="points"),
        "cost_per_bottle": Measure("cost of a bottle", "", 2, is_fixed=True, prefix=units.currency),
        "cost": Measure("cost", "", 2, is_fixed=True, prefix=units.currency),
        "fruit_load": Measure(
            "fruit load", units.load_unit, 2 if units.show == "metric" else 1, units.load_number
        ),
        "fruit": Measure("fruit", units.mass_unit, 2, units.mass_number),
        "sugar": Measure("sugar", units.mass_unit, 2, units.mass_number),
        "tannin_added": Measure("tannin added", "g/L", 2),
        "acid_added": Measure("acid added", "g/L", 1),
        "litres_per_kg": Measure(
            "liquid from the fruit",
            units.yield_unit,
            2 if units.show == "metric" else 1,
            units.yield_number,
        ),
        "alcohol_tolerance": Measure("stops at", "% vol", 1),
        "points": Measure("harshness", "points", 1),
        "contact_days": Measure("days on the fruit", "days", 0),
        "must_temperature": Measure(
            "must temperature", units.temperature_unit, 0, units.temperature_number
        ),
    }


def measure_of(key: str, units: Units) -> Measure:
    """Return the measure named `key`, or a plain one that says the name as it stands."""
    known = measures(units)
    for suffix in ("", "_l", "_kg", "_kg_l", "_g_l", "_mg_l", "_c", "_mean_c"):
        if suffix and not key.endswith(suffix):
            continue
        stem = key.removesuffix(suffix)
        if stem in known:
            return known[stem]
    return Measure(key.replace("_", " "), "", 2)


def _named(measure: Measure, name: str) -> Measure:
    return Measure(name, measure.unit, measure.decimals, measure.convert, measure.is_fixed)


def _number(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        return text.removeprefix("-")
    return text.replace("-", _MINUS)
