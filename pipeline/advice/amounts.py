"""Amounts as somebody can measure them: the maker's own units, in steps a kitchen has."""

import re
from dataclasses import dataclass
from fractions import Fraction

from pipeline.logbook.numerals import Decimal
from pipeline.logbook.units import Unit, find_unit

_WORD = re.compile(r"fl\.? ?oz|(?:us |imp )?[^\W\d_]+(?:/[^\W\d_]+)?|%", re.IGNORECASE)
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
_SHOWN = {"floz": "fl oz"}


@dataclass(frozen=True)
class Amount:
    """An amount as written in a cell, and the same in SI [kg or L]."""

    text: str
    si: float


def decimals_as_typed(text: str, decimal: Decimal) -> str:
    """Return a number as a logbook with that decimal sign reads it."""
    return text.replace(".", decimal)


def resized(like: str, si_now: float, si_wanted: float, decimal: Decimal = ".") -> Amount | None:
    """Return an amount near the one wanted, written the way the maker wrote the old one.

    Parameters
    ----------
    like : str
        The cell as it is, e.g. ``4 lb 8 oz``, ``1/2 tsp``, ``to 1 gal``.
    si_now, si_wanted : float
        What that cell means, and what is wanted, both in kg or both in L, above nought.
    decimal : {".", ","}
        How the logbook writes decimals.

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
    prefix = "to " if like.strip().lower().startswith(("to ", "up to ", "made ")) else ""
    # A spoon's kilograms depend on the powder, so sizes are compared as shares of the old cell.
    size = si_now / _number_of(like, unit)
    name = "oz" if unit.name == "lb" else unit.name
    size = size / _OUNCES if unit.name == "lb" else size
    count = _rounded(si_wanted / size, name)
    if count <= 0:
        return None
    shown = _in_pounds(count) if unit.name == "lb" else _counted(count, unit, like)
    return Amount(f"{prefix}{decimals_as_typed(shown, decimal)}", float(count) * size)


def unit_of(cell: str) -> Unit | None:
    """Return the first unit named in a quantity cell."""
    found = (find_unit(word) for word in _WORD.findall(cell))
    return next((unit for unit in found if unit is not None), None)


def _number_of(cell: str, unit: Unit) -> float:
    """Return the size of a cell counted in its first unit."""
    total = Fraction(0)
    for number, word in re.findall(r"([\d./ ½¼¾⅓⅔⅛]+)\s*([^\W\d_]+)", cell):
        other = find_unit(word) or unit
        total += (
            _read(number)
            * Fraction(other.us).limit_denominator(10**9)
            / Fraction(unit.us).limit_denominator(10**9)
        )
    return float(total) or 1.0


def _read(text: str) -> Fraction:
    signs = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8"}
    for sign, fraction in signs.items():
        text = text.replace(sign, fraction)
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def _rounded(count: float, unit: str) -> Fraction:
    """Round to the coarsest step that changes the amount little."""
    steps = _STEPS[unit]
    step = next((step for step in steps if step / 2 <= _STEP_SHARE * count), steps[-1])
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
