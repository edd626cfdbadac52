"""Amounts as somebody can measure them: the maker's own units, in steps a kitchen has."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from pipeline.logbook.numerals import Decimal
from pipeline.logbook.units import UNITS, Unit, find_unit

_WORD = re.compile(r"fl\.? ?oz|(?:us |imp )?[^\W\d_]+(?:/[^\W\d_]+)?|%", re.IGNORECASE)
_TERM = re.compile(rf"([\d./ ½¼¾⅓⅔⅛]+)\s*({_WORD.pattern})", re.IGNORECASE)
_COUNTRY = re.compile(r"\b(us|imp)(?:erial)?\b", re.IGNORECASE)
_STEP_SHARE = 0.04  # an amount is rounded by about this share at most of itself

# Unit: the steps it can be measured in, coarsest first.
_STEPS: dict[str, tuple[Fraction, ...]] = {
    "kg": (Fraction(1, 10), Fraction(1, 20), Fraction(1, 100)),
    "g": (Fraction(50), Fraction(10), Fraction(5), Fraction(1), Fraction(1, 2), Fraction(1, 10)),
    "oz": (Fraction(4), Fraction(1), Fraction(1, 2), Fraction(1, 4)),
    "L": (Fraction(1, 4), Fraction(1, 10), Fraction(1, 20)),
    "mL": (Fraction(50), Fraction(10), Fraction(5), Fraction(1)),
    "gal": (Fraction(1, 4), Fraction(1, 8)),
    "qt": (Fraction(1, 2), Fraction(1, 4)),
    "pt": (Fraction(1, 2), Fraction(1, 4)),
    "cup": (Fraction(1, 2), Fraction(1, 4)),
    "floz": (Fraction(1), Fraction(1, 2)),
    "tbsp": (Fraction(1, 2),),
    "tsp": (Fraction(1, 2), Fraction(1, 4), Fraction(1, 8)),
}
_OUNCES = 16
_JUG_SHARE = 0.0125  # a jug's steps are finer than this share of what is poured, where it has such
# Unit of a gallon: pints in it.
_PINTS: dict[str, float] = {"gal": 8, "qt": 2, "pt": 1, "cup": 0.5}
_METRIC_STEPS = {"L": (0.5, 0.25, 0.1, 0.05), "mL": (100.0, 50.0, 25.0, 10.0)}
_SHOWN = {"floz": "fl oz"}


@dataclass(frozen=True)
class Amount:
    """An amount as written in a cell, and the same in SI [kg or L]."""

    text: str
    si: float


def decimals_as_typed(text: str, decimal: Decimal) -> str:
    """Return a number as a logbook with that decimal sign reads it."""
    return text.replace(".", decimal)


def resized(
    like: str,
    si_now: float,
    si_wanted: float,
    decimal: Decimal = ".",
    within: float = _STEP_SHARE,
) -> Amount | None:
    """Return an amount near the one wanted, written the way the maker wrote the old one.

    Parameters
    ----------
    like : str
        The cell as it is, e.g. ``4 lb 8 oz``, ``1/2 tsp``, ``to 1 gal``.
    si_now, si_wanted : float
        What that cell means, and what is wanted, both in kg or both in L, above nought.
    decimal : {".", ","}
        How the logbook writes decimals.
    within : float
        By which share of itself, at most, it may be rounded where the kitchen has finer steps.

    Returns
    -------
    Amount or None
        Rounded to what can be measured; `si` is what the text means. None if the cell's unit
        cannot be divided (a packet, a tablet).
    """
    like = like.replace(",", ".") if decimal == "," else like
    unit = unit_of(like)
    if unit is None or (unit.name not in _STEPS and unit.name != "lb") or si_now <= 0:
        return None
    prefix = "to " if _is_mark(like) else ""
    # A spoon's kilograms depend on the powder, so sizes are compared as shares of the old cell.
    size = si_now / _number_of(like, unit, si_now)
    name = "oz" if unit.name == "lb" else unit.name
    size = size / _OUNCES if unit.name == "lb" else size
    count = _rounded(si_wanted / size, name, within)
    if count <= 0:
        return None
    shown = _in_pounds(count) if unit.name == "lb" else _counted(count, unit, like)
    return Amount(f"{prefix}{decimals_as_typed(shown, decimal)}", float(count) * size)


def poured(
    like: str, si_now: float, low_l: float, high_l: float, decimal: Decimal = "."
) -> list[Amount]:
    """Return the amounts of a liquid between two that a jug can measure, the least first.

    Finer than `resized` writes them: whether a vessel is full hangs on a tenth of a litre.

    Parameters
    ----------
    like : str
        The cell as it is, e.g. ``to 1 gal``, ``3.5 L``; gallons are written with pints beside them.
    si_now : float
        What that cell means [L], above nought.
    low_l, high_l : float
        Between which [L].
    decimal : {".", ","}
        How the logbook writes decimals.
    """
    like = like.replace(",", ".") if decimal == "," else like
    unit = unit_of(like)
    if unit is None or si_now <= 0:
        return []
    size = si_now / _number_of(like, unit, si_now)
    if unit.name in _METRIC_STEPS:
        steps = [size * step for step in _METRIC_STEPS[unit.name]]
    elif unit.name in _PINTS:
        size = size / _PINTS[unit.name]
        steps = [size, size / 2, size / 4, size / _ounces_of(size)]
    else:
        return []
    step = next((step for step in steps if step <= _JUG_SHARE * low_l), steps[-1])
    prefix = "to " if _is_mark(like) else ""
    first, last = math.ceil(low_l / step - 1e-9), math.floor(high_l / step + 1e-9)
    return [
        Amount(f"{prefix}{_in_jugs(count * step / size, size, unit, like, decimal)}", count * step)
        for count in range(max(first, 1), last + 1)
    ]


def _ounces_of(pint_l: float) -> int:
    """Return the fluid ounces in a pint: 16 in the American, 20 in the imperial."""
    return 16 if pint_l < 0.5 else 20


def _in_jugs(count: float, size_l: float, unit: Unit, like: str, decimal: Decimal) -> str:
    """Write litres as they are; pints as gallons, quarters of a pint and fluid ounces."""
    if unit.name in _METRIC_STEPS:
        return decimals_as_typed(_counted(Fraction(count), unit, like), decimal)
    pint = _ounces_of(size_l)
    ounces = round(count * pint)
    whole, ounces = divmod(ounces, pint * 8) if unit.name == "gal" else (0, ounces)
    # A quarter of a pint is marked on every jug; what lies between is told in fluid ounces.
    loose = ounces % pint if ounces % (pint // 4) else 0
    parts = (
        (Fraction(whole), "gal"),
        (Fraction(ounces - loose, pint), "pt"),
        (Fraction(loose), "floz"),
    )
    return " ".join(_counted(number, UNITS[name], like) for number, name in parts if number)


def _is_mark(like: str) -> bool:
    return like.strip().lower().startswith(("to ", "up to ", "made "))


def unit_of(cell: str) -> Unit | None:
    """Return the first unit named in a quantity cell."""
    found = (find_unit(word) for word in _WORD.findall(cell))
    return next((unit for unit in found if unit is not None), None)


def _number_of(cell: str, unit: Unit, si_now: float) -> float:
    """Return the size of a cell counted in its first unit."""
    terms = [(_read(number), find_unit(word) or unit) for number, word in _TERM.findall(cell)]
    # A fluid ounce is another share of either gallon: the one that the cell's meaning fits.
    us, imperial = (
        sum(float(number) * getattr(other, whose) for number, other in terms)
        for whose in ("us", "imperial")
    )
    if abs(imperial - si_now) < abs(us - si_now):
        return imperial / unit.imperial or 1.0
    return us / unit.us or 1.0


def _read(text: str) -> Fraction:
    signs = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8"}
    for sign, fraction in signs.items():
        text = text.replace(sign, fraction)
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def _rounded(count: float, unit: str, within: float) -> Fraction:
    """Round to the coarsest step that changes the amount little."""
    steps = _STEPS[unit]
    step = next((step for step in steps if step / 2 <= within * count), steps[-1])
    return round(Fraction(count) / step) * step


def _counted(count: Fraction, unit: Unit, like: str) -> str:
    """Write a count of a unit; a gallon that says whose it is goes on saying so."""
    country = _COUNTRY.search(like)
    whose = f"{country.group(1).lower()} " if country else ""
    return f"{_fraction(count, unit.name)} {whose}{_SHOWN.get(unit.name, unit.name)}"


def _in_pounds(ounces: Fraction) -> str:
    pounds, rest = divmod(ounces, _OUNCES)
    parts = [f"{pounds} lb"] * bool(pounds) + [f"{_fraction(rest, 'oz')} oz"] * bool(rest)
    return " ".join(parts)


def _fraction(count: Fraction, unit: str) -> str:
    """Write a number as that unit is read: decimals on a scale, fractions on a spoon."""
    if unit in ("kg", "g", "L", "mL"):
        return f"{float(count):.2f}".rstrip("0").rstrip(".")
    whole, part = divmod(count, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)
