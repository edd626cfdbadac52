"""One quantity cell: `4.5 lb`, `1 lb 14 oz`, `½ tsp`, `~1.5 kg`, `to 1 gal`, `22.5 Bx`.

    cell     = [ "to" ] [ rough ] term { [ "and" | "+" | "," ] [ rough ] term }
    term     = number unit
    rough    = "~" | "≈" | "about" | "approx" | "approximately" | "circa" | "ca"

What is not exactly this is refused with a reason (`pipeline.logbook.refusals`), never repaired.
"""

import re
from typing import NamedTuple

from pipeline.logbook.numerals import NUMBER, Decimal, number_value, tidy
from pipeline.logbook.problems import Fault
from pipeline.logbook.refusals import refuse
from pipeline.logbook.refused_units import refuse_mixed, refuse_unexpected
from pipeline.logbook.units import SPOONS, UNITS, Dimension, Unit, find_unit

_ROUGH = re.compile(
    r"(?:[~≈]|(?:about|approx|approximately|circa|ca)(?![a-z])\.?) ?", re.IGNORECASE
)
_MARK = re.compile(r"(?:(?:made )?up )?to (?:the )?(?=[~≈a-z0-9.])", re.IGNORECASE)
_JOIN = re.compile(r" ?(?:\+|&|,|and(?![a-z])) ?| ?", re.IGNORECASE)
_UNIT_TEXT = re.compile(r" ?(?P<unit>[^0-9½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒~≈+&,?<>=-]*)")
_TRAILING_JOIN = re.compile(
    r"(?: and| about| approx\.?| ca\.?| circa| approximately)$", re.IGNORECASE
)


class Expects(NamedTuple):
    """What kind of quantity a column holds, and how to speak of it.

    `bare` is the unit of a number without one: the heading's, or the contract's default.
    """

    noun: str
    dimensions: frozenset[Dimension]
    example: str
    bare: Unit | None = None
    decimal: Decimal = "."
    may_be_mark: bool = False


class Quantity(NamedTuple):
    """What a cell says, before anything is known about the batch it belongs to.

    `us` and `imperial` are the size in kg, L, °C, °F, °Bx, SG, g/L or pieces under either gallon;
    they differ only if the cell uses a unit that depends on it.
    """

    dimension: Dimension
    us: float
    imperial: float
    is_rough: bool = False
    is_to_mark: bool = False
    is_spoon: bool = False
    is_cup: bool = False
    piece: str | None = None


class _Term(NamedTuple):
    number: float
    unit: Unit


def read_quantity(text: str, expects: Expects) -> Quantity | Fault:
    """Read one quantity cell, or say why it cannot be read.

    Parameters
    ----------
    text : str
        The cell as typed, not blank.
    expects : Expects
        What the column holds.
    """
    plain = tidy(text)
    mark = _MARK.match(plain)
    body = plain[mark.end() :] if mark else plain
    terms, is_rough = _terms(body, expects)
    if not terms and mark and expects.may_be_mark:
        return refuse(body, expects._replace(noun="a mark", example="to 4.5 L or to 1 gal"))
    if not terms:
        return refuse(plain, expects)
    if mark and not expects.may_be_mark:
        return Fault(
            "to-mark",
            f"only water is made up to a mark; {expects.noun} must be the amount itself",
            f"{body}",
        )
    dimensions = {term.unit.dimension for term in terms}
    if len(dimensions) > 1 or (len(terms) > 1 and not dimensions <= {"mass", "volume"}):
        return refuse_mixed(plain, expects)
    if not dimensions <= expects.dimensions:
        return refuse_unexpected(expects, terms[0].unit)
    return _add_up(terms, is_rough=is_rough, is_to_mark=mark is not None)


def _terms(body: str, expects: Expects) -> tuple[list[_Term], bool]:
    """Split a cell into its terms; none if any part of it is not understood."""
    terms: list[_Term] = []
    is_rough = False
    at = 0
    while at < len(body):
        if terms:
            at = _end(_JOIN, body, at)
        rough_ends = _end(_ROUGH, body, at)
        is_rough, at = is_rough or rough_ends > at, rough_ends
        sign = -1.0 if not terms and body.startswith("-", at) else 1.0
        number = NUMBER[expects.decimal].match(body, at + (sign < 0))
        value = number_value(number) if number else None
        if number is None or value is None:
            return [], False
        unit_text, at = _unit_text(body, number.end())
        unit = find_unit(unit_text) if unit_text else expects.bare
        is_alone = not terms and at == len(body)
        if unit is None or (not unit_text and not is_alone):
            return [], False
        terms.append(_Term(sign * value, unit))
    return terms, is_rough


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    return match.end() if match else at


def _unit_text(body: str, at: int) -> tuple[str, int]:
    """Return the text between a number and the next one, and where it ends."""
    match = _UNIT_TEXT.match(body, at)
    if match is None:
        return "", at
    text = match["unit"].rstrip()
    if text.startswith("."):
        return "", at
    end = match.start("unit") + len(text)
    if end < len(body) and (joined := _TRAILING_JOIN.search(text)):
        text = text[: joined.start()]
        end = match.start("unit") + len(text)
    # A full stop that begins the next number, as in `1 lb .5 oz`, is no part of this unit.
    if text.endswith(" .") and body[end : end + 1].isdigit():
        text, end = text[:-2], end - 1
    return text, end


def _add_up(terms: list[_Term], *, is_rough: bool, is_to_mark: bool) -> Quantity:
    names = {term.unit.name for term in terms}
    first = terms[0].unit
    return Quantity(
        dimension=first.dimension,
        us=sum(term.number * term.unit.us for term in terms),
        imperial=sum(term.number * term.unit.imperial for term in terms),
        is_rough=is_rough,
        is_to_mark=is_to_mark,
        is_spoon=bool(names & SPOONS),
        is_cup=names <= SPOONS | {"cup"},
        piece=first.name if first.dimension == "count" else None,
    )


def write_quantity(value: float, unit: str, decimal: Decimal = ".") -> str:
    """Return a quantity cell that reads back as `value`.

    Parameters
    ----------
    value : float
        The number, in `unit`.
    unit : str
        A name from `pipeline.logbook.units.UNITS`, or "us gal", "imp pt" and the like.
    decimal : {".", ","}
        The logbook's decimal mark.
    """
    if find_unit(unit) is None:
        raise ValueError(f"a unit must be one of {', '.join(UNITS)}, got {unit!r}")
    number = f"{value:.12f}".rstrip("0").rstrip(".").replace(".", decimal)
    return f"{number or '0'} {unit}"
