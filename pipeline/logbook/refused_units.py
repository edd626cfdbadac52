"""Refusals that concern the unit of a quantity cell: missing, unknown, mixed, of another kind."""

import difflib
from typing import TYPE_CHECKING

from pipeline.logbook.numerals import NUMBER, VULGAR_FRACTIONS, number_value
from pipeline.logbook.problems import Fault
from pipeline.logbook.units import UNIT_NAMES, Unit, find_unit

if TYPE_CHECKING:
    from pipeline.logbook.quantity import Expects

# What is often written for a unit and is not read, because it may be another one.
_UNITS_MEANT = {
    "cc": "mL",
    "gr": "g",
    "grs": "g",
    "t": "tsp or tbsp, whichever it was",
    "ppt": "g/L",
    "#": "lb",
}
_FIRST_DAY, _LAST_DAY = 30000, 59999


def must_be(expects: "Expects") -> str:
    """Return what a cell of a column must be, in words; the hint gives the example."""
    with_unit = "" if expects.bare is not None else " with a unit"
    return f"{expects.noun} must be a number{with_unit}"


def no_unit(text: str, expects: "Expects") -> Fault | None:
    """Refuse a number that nothing gives a unit."""
    match = NUMBER[expects.decimal].fullmatch(text.lstrip("~≈-+ "))
    if match is None or expects.bare is not None:
        return None
    hint = _unit_hint(text, expects)
    if _FIRST_DAY <= (number_value(match) or 0) <= _LAST_DAY:
        hint = f"{hint}; it may also be a date that a spreadsheet made of a fraction"
    return Fault("no-unit", f"{must_be(expects)}; this one has no unit", hint)


def _unit_hint(text: str, expects: "Expects") -> str:
    if "celsius" in expects.dimensions:
        return f"{text} C or {text} F, whichever it was"
    units = [part.split()[-1] for part in expects.example.split(" or ")]
    return " or ".join(f"{text} {unit}" for unit in units) + ", whichever it was"


def strange_fraction(text: str, expects: "Expects") -> Fault | None:
    """Refuse fractions such as `1/0` or `1 3/2`."""
    match = NUMBER[expects.decimal].match(text.lstrip("~≈- "))
    if match is None or number_value(match) is not None:
        return None
    return Fault("fraction", f"'{match[0]}' is no fraction; {must_be(expects)}", "such as 1 1/2")


def unknown_unit(text: str, expects: "Expects") -> Fault | None:
    """Refuse a number followed by what is no unit, or by a unit and something more."""
    match = NUMBER[expects.decimal].match(text.lstrip("~≈- "))
    if match is None:
        return None
    number, rest = match[0].strip(), text.lstrip("~≈- ")[match.end() :].strip()
    if not rest or rest[0].isdigit() or rest[0] in VULGAR_FRACTIONS or rest[0] in ".,":
        return None
    if (unit := _leading_unit(rest)) is not None:
        return _more_after_unit(number, unit, rest[len(unit) :].strip(), expects)
    if expects.bare is not None:
        return Fault("words", f"{must_be(expects)} only", f"{number}, and the words in the notes")
    if rest.startswith("("):
        hint = f"{_unit_hint(number, expects)}, and the words in the notes"
        return Fault("no-unit", f"{must_be(expects)}; this one has no unit", hint)
    return Fault(
        "unknown-unit",
        f"'{rest}' is not a unit that is known here; {must_be(expects)}",
        _unit_meant(number, rest, expects),
    )


def _more_after_unit(number: str, unit: str, more: str, expects: "Expects") -> Fault:
    if NUMBER[expects.decimal].fullmatch(more):
        return Fault(
            "no-unit",
            f"the last number has no unit; {must_be(expects)}",
            f"{number} {unit} {more} and its unit",
        )
    return Fault(
        "words",
        f"only numbers and units are read here; '{more}' is neither",
        f"{number} {unit}, and the words in the notes",
    )


def _unit_meant(number: str, rest: str, expects: "Expects") -> str:
    word = rest.lower().split()[0].rstrip(".")
    if word in _UNITS_MEANT:
        return f"{number} {_UNITS_MEANT[word]}"
    close = difflib.get_close_matches(word, list(UNIT_NAMES), n=1, cutoff=0.75)
    return f"{number} {UNIT_NAMES[close[0]]}" if close else f"such as {expects.example}"


def _leading_unit(rest: str) -> str | None:
    words = rest.split()
    for count in range(min(3, len(words) - 1), 0, -1):
        unit = " ".join(words[:count])
        if find_unit(unit) is not None:
            return unit
    return None


def refuse_mixed(text: str, expects: "Expects") -> Fault:
    """Refuse parts that cannot be added up, such as a weight and a volume."""
    return Fault(
        "mixed-units",
        f"'{text}' adds up things that do not add up; {must_be(expects)}",
        f"one amount in one kind of unit, such as {expects.example}",
    )


def refuse_unexpected(expects: "Expects", unit: Unit) -> Fault:
    """Refuse a unit of another kind than the column holds."""
    return Fault(
        "wrong-unit",
        f"'{unit.name}' is not a unit for {expects.noun}; {must_be(expects)}",
        f"such as {expects.example}",
    )
