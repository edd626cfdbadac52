"""Dates as makers write them: ISO 8601, or a month in letters; all-number dates only by rule.

`03/04/2026` is the third of April or the fourth of March: it is read only in a logbook that says
which comes first. A year has four digits, always.
"""

import re
from datetime import date, datetime, time
from typing import Literal

from pipeline.logbook.numerals import tidy
from pipeline.logbook.problems import Fault

DateOrder = Literal["day-first", "month-first"]
Moment = tuple[date, time | None]

MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january",
            "feb february",
            "mar march",
            "apr april",
            "may",
            "jun june",
            "jul july",
            "aug august",
            "sep sept september",
            "oct october",
            "nov november",
            "dec december",
        ),
        start=1,
    )
    for name in names.split()
}
EXAMPLE = "2026-11-25 or 25 Nov 2026"
FIRST_YEAR = 1900

_TIME = (
    r"(?:[ T,]+(?P<hour>[0-9]{1,2})[:.h](?P<minute>[0-9]{2})(?:[:.](?P<second>[0-9]{2})(?:\.0+)?)?"
    r" ?(?P<half>[ap]\.?m\.?)?)?"
)
_ISO = re.compile(
    r"(?P<year>[0-9]{4})([-/.])(?P<month>[0-9]{1,2})\2(?P<day>[0-9]{1,2})" + _TIME, re.IGNORECASE
)
_DAY_NAME = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? )?"
_DAY_MONTH = re.compile(
    _DAY_NAME
    + r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?(?: of)?"
    + r"[-/. ]*(?P<month>[a-z]+)\.?,?[-/. ]*(?P<year>[0-9]{4})"
    + _TIME,
    re.IGNORECASE,
)
_MONTH_DAY = re.compile(
    _DAY_NAME
    + r"(?P<month>[a-z]+)\.?[-/. ]*(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?,?[-/. ]+(?P<year>[0-9]{4})"
    + _TIME,
    re.IGNORECASE,
)
_NUMBERS = re.compile(
    r"(?P<first>[0-9]{1,2})([-/.])(?P<second_part>[0-9]{1,2})\2(?P<year>[0-9]{4})" + _TIME,
    re.IGNORECASE,
)
_SHORT_YEAR = re.compile(
    r"(?:[0-9]{1,2}[-/. ]+(?:[0-9]{1,2}|[a-z]+)\.?|[a-z]+\.? [0-9]{1,2},?)"
    r"[-/. ']+(?P<year>[0-9]{2})(?: .*)?",
    re.IGNORECASE,
)
_SERIAL = re.compile(r"[0-9]{5}(?:\.[0-9]+)?")
_ZONE = re.compile(r".*[0-9](?:Z|[+-][0-9]{2}:?[0-9]{2})", re.IGNORECASE)
# Spreadsheets count days from here (their 1900 was a leap year, which no later date notices).
_SPREADSHEET_DAY_ZERO = date(1899, 12, 30)


def read_date(text: str, order: DateOrder | None = None) -> Moment | Fault:
    """Read a date, with a time of day if one is given.

    Parameters
    ----------
    text : str
        The cell as typed, not blank.
    order : {"day-first", "month-first"}, optional
        How the logbook writes dates that are all numbers.
    """
    plain = tidy(text)
    for pattern in (_ISO, _DAY_MONTH, _MONTH_DAY):
        match = pattern.fullmatch(plain)
        if match and (month := _month(match["month"])) is not None:
            return _moment(match, int(match["year"]), month, int(match["day"]))
    if match := _NUMBERS.fullmatch(plain):
        return _all_numbers(match, order)
    return _refuse(plain)


def _month(text: str) -> int | None:
    return int(text) if text.isdigit() else MONTHS.get(text.lower())


def _moment(match: re.Match[str], year: int, month: int, day: int) -> Moment | Fault:
    try:
        found = date(year, month, day)
        clock = _clock(match)
    except ValueError:
        return Fault(
            "no-such-date",
            f"'{match[0]}' is not in the calendar or on the clock",
            f"such as {EXAMPLE} 18:30",
        )
    if year < FIRST_YEAR:
        return Fault(
            "no-such-date", f"a date must be in {FIRST_YEAR} or later", f"check the year {year}"
        )
    return found, clock


def _clock(match: re.Match[str]) -> time | None:
    if match["hour"] is None:
        return None
    hour = int(match["hour"])
    if match["half"] is not None:
        if not 1 <= hour <= 12:
            raise ValueError(hour)
        hour = hour % 12 + (12 if match["half"].lower().startswith("p") else 0)
    return time(hour, int(match["minute"]), int(match["second"] or 0))


def _all_numbers(match: re.Match[str], order: DateOrder | None) -> Moment | Fault:
    first, second, year = int(match["first"]), int(match["second_part"]), int(match["year"])
    if order is None:
        return _undecided(match[0], first, second, year)
    day, month = (first, second) if order == "day-first" else (second, first)
    found = _moment(match, year, month, day)
    if isinstance(found, Fault) and month > 12 >= day:
        return Fault(
            "date-order",
            f"this logbook writes dates {order} (logbook.toml), and there is no month {month}",
            f"{_iso(year, day, month)} if it was meant the other way round",
        )
    return found


def _undecided(text: str, first: int, second: int, year: int) -> Fault:
    readings = {_iso(year, second, first), _iso(year, first, second)} - {None}
    return Fault(
        "date-order",
        f"'{text}' does not say which number is the day",
        " or ".join(sorted(r for r in readings if r))
        + ', whichever was meant; or set dates = "day-first" or "month-first" in logbook.toml'
        if readings
        else f"such as {EXAMPLE}",
    )


def _iso(year: int, month: int, day: int) -> str | None:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return None


def _refuse(text: str) -> Fault:
    if _ZONE.fullmatch(text) and text[:4].isdigit():
        return Fault(
            "time-zone",
            "a time is the maker's own clock, without a time zone",
            text[:16].replace("T", " "),
        )
    if (short := _SHORT_YEAR.fullmatch(text)) is not None:
        return Fault(
            "short-year",
            f"a year has four digits; '{short['year']}' may be of any century",
            f"such as {EXAMPLE}",
        )
    if _SERIAL.fullmatch(text):
        days = int(float(text))
        found = date.fromordinal(_SPREADSHEET_DAY_ZERO.toordinal() + days)
        return Fault(
            "day-number",
            "this is a number; spreadsheets count days so when a date cell loses its form",
            f"{found.isoformat()}, if that is the day",
        )
    if text.startswith("#"):
        return Fault(
            "spreadsheet-error",
            "the spreadsheet wrote an error here",
            f"retype the date, such as {EXAMPLE}",
        )
    return Fault("not-a-date", "a date must be a day, a month and a year", f"such as {EXAMPLE}")


def write_date(moment: date | datetime) -> str:
    """Return a date, or date and time, as the contract writes it."""
    if isinstance(moment, datetime):
        return moment.strftime("%Y-%m-%d %H:%M:%S").removesuffix(":00")
    return moment.isoformat()
