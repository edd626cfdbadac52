"""Why a quantity cell is refused, and what to type instead.

Each rule is one small function: it looks at a cell that is not a quantity and returns the reason
if it is the one, else nothing. They are tried in order, from the most telling to the general.
"""

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from pipeline.logbook.problems import Fault
from pipeline.logbook.refused_units import must_be, no_unit, strange_fraction, unknown_unit

if TYPE_CHECKING:
    from pipeline.logbook.quantity import Expects

_MONTHS = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
_MONTH_NUMBER = {name: number for number, name in enumerate(_MONTHS.split("|"), start=1)}
_DAY_MONTH = re.compile(
    rf"([0-9]{{1,4}})[- .]*({_MONTHS})[a-z]*\.?(?:[- .,]+[0-9]+)?", re.IGNORECASE
)
_MONTH_DAY = re.compile(
    rf"({_MONTHS})[a-z]*\.?[- .]*([0-9]{{1,4}})(?:[- .,]+[0-9]+)?", re.IGNORECASE
)
_ISO_DATE = re.compile(r"[0-9]{4}-([0-9]{1,2})-([0-9]{1,2})(?:[ t].*)?", re.IGNORECASE)
_DAY = "(?:0?[1-9]|[12][0-9]|3[01])"
_SLASH_DATE = re.compile(
    rf"(?:{_DAY}([/.-]){_DAY}\1(?:[0-9]{{2}}){{1,2}}|[0-9]{{4}}/{_DAY}/{_DAY})(?: .*)?"
)
_NOTHING_WORDS = frozenset(
    {"-", "--", "–", "—", "n/a", "na", "none", "nil", "?", "??", "unknown", "nan"}
)
_NUMBER_TEXT = r"[0-9½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒.,/ ]*[0-9½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒]"
_RANGE = re.compile(
    rf"{_NUMBER_TEXT}[^0-9]{{0,12}}? ?(?:[-–—]|to|or|\.\.+) ?{_NUMBER_TEXT}", re.IGNORECASE
)
_HYPHENATED = re.compile(r"([0-9]+)-([0-9]+/[0-9]+)( .*)?")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])")


def refuse(text: str, expects: "Expects") -> Fault:
    """Return the first reason that fits a cell which is not a quantity."""
    for rule in _RULES:
        if (fault := rule(text, expects)) is not None:
            return fault
    return Fault("not-a-quantity", must_be(expects), f"such as {expects.example}")


def _spreadsheet_error(text: str, expects: "Expects") -> Fault | None:
    if not text.startswith("#"):
        return None
    return Fault(
        "spreadsheet-error",
        f"the spreadsheet wrote an error here; {must_be(expects)}",
        f"retype the cell, such as {expects.example}",
    )


def _formula(text: str, expects: "Expects") -> Fault | None:
    if not text.startswith(("=", "@")):
        return None
    return Fault(
        "formula",
        f"formulas are not worked out; {must_be(expects)}",
        f"type the result, such as {expects.example}",
    )


def _date_shaped(text: str, expects: "Expects") -> Fault | None:
    pair = _day_and_month(text)
    if pair is None and not _SLASH_DATE.fullmatch(text):
        return None
    hint = f"retype it as text with its unit, such as {expects.example}"
    if pair is not None:
        day, month = pair
        hint = f"if it was the fraction {month}/{day} or {day}/{month}, {hint}"
    return Fault(
        "date-shaped",
        "this is a date; spreadsheets turn fractions into dates, which are not guessed back",
        hint,
    )


def _day_and_month(text: str) -> tuple[int, int] | None:
    if match := _DAY_MONTH.fullmatch(text):
        return int(match[1]), _MONTH_NUMBER[match[2].lower()]
    if match := _MONTH_DAY.fullmatch(text):
        return int(match[2]), _MONTH_NUMBER[match[1].lower()]
    if match := _ISO_DATE.fullmatch(text):
        return int(match[2]), int(match[1])
    return None


def _nothing(text: str, expects: "Expects") -> Fault | None:
    if text.lower() not in _NOTHING_WORDS:
        return None
    return Fault(
        "not-a-quantity",
        f"'{text}' is no number; {must_be(expects)}",
        "leave the cell empty if unknown",
    )


def _doubtful(text: str, expects: "Expects") -> Fault | None:
    if "?" not in text:
        return None
    sure = text.replace("?", "").strip()
    return Fault(
        "question-mark",
        f"a question mark leaves the number open; {must_be(expects)}",
        f"{sure} if you are sure, ~{sure} if it is rough" if sure else None,
    )


def _bound_only(text: str, expects: "Expects") -> Fault | None:
    if not text.startswith(("<", ">", "≤", "≥")):
        return None
    return Fault(
        "bound-only",
        f"'{text[0]}' gives a bound, not a number; {must_be(expects)}",
        "leave the cell empty and put this in the notes",
    )


def _hyphenated_fraction(text: str, _expects: "Expects") -> Fault | None:
    if (match := _HYPHENATED.fullmatch(text)) is None:
        return None
    meant = f"{match[1]} {match[2]}{match[3] or ''}"
    return Fault("range", f"'{text}' may be a range or one number: neither is guessed", meant)


def _range(text: str, expects: "Expects") -> Fault | None:
    if not _RANGE.match(text.lstrip("~≈-")):
        return None
    return Fault(
        "range",
        f"a range is not one number and is not averaged; {must_be(expects)}",
        f"one number, with ~ before it if it is rough, such as ~{expects.example.split(' or ')[0]}",
    )


def _other_decimal_mark(text: str, expects: "Expects") -> Fault | None:
    other = "," if expects.decimal == "." else "."
    if not re.search(rf"[0-9]\{other}[0-9]", text):
        return None
    swapped = text.replace(other, expects.decimal)
    if expects.decimal == ",":
        return Fault(
            "decimal-mark",
            "this logbook writes decimals with a comma (logbook.toml), so a point is not read",
            swapped,
        )
    hint = swapped
    if _THOUSANDS.search(text) and expects.noun != "a gravity":
        hint = f"{swapped} or {text.replace(',', '')}, whichever was meant"
    return Fault(
        "decimal-mark",
        "a comma is not read as a decimal mark unless logbook.toml says so",
        f'{hint}; or set decimal = "," in logbook.toml',
    )


_RULES: tuple[Callable[[str, "Expects"], Fault | None], ...] = (
    _spreadsheet_error,
    _formula,
    _date_shaped,
    _nothing,
    _doubtful,
    _bound_only,
    _hyphenated_fraction,
    _range,
    _other_decimal_mark,
    no_unit,
    strange_fraction,
    unknown_unit,
)
