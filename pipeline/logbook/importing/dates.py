"""Dates of old notes: the order of day and month with its evidence, short years, missing years."""

import re
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from pipeline.logbook.dates import DateOrder, read_date
from pipeline.logbook.importing.foreign import in_english_months
from pipeline.logbook.importing.outcome import Outcome, held, loaded, rejected
from pipeline.logbook.numerals import tidy
from pipeline.logbook.problems import Fault

_NUMBERS = re.compile(
    r"(?P<a>[0-9]{1,2})(?P<s>[-/. ]+)(?P<b>[0-9]{1,2})[-/. ]+'?(?P<y>[0-9]{4}|[0-9]{2})"
    r"(?P<rest>[ T].*)?"
)
# Of bounded parts: in a cell of a hundred pages each could begin and end anywhere.
_SHORT_YEAR = re.compile(r"^(?P<day>.{0,40}[a-zA-Z].{0,40}?[ ,.'/-]{1,9})'?(?P<y>[0-9]{2})$")
_NO_YEAR = re.compile(r"(?P<a>[0-9]{1,2})[-/. ](?P<b>[0-9]{1,2})\.?")
_DAY_MONTH = re.compile(r"[0-9]{1,2}\.?(?:st|nd|rd|th)?[ .-]*[a-zA-Z]{3,9}\.?")
_MONTH_NUMBER = re.compile(r"[a-zA-Z]{3,9}\.? ?'?(?P<n>[0-9]{1,2})")
_YEAR = re.compile(r"(?:19|20)[0-9]{2}")
_MONTH_YEAR = re.compile(r"(?:[a-zA-Z]{3,9}\.?|[0-9]{1,2})[ /.-]+(?:19|20)[0-9]{2}")
_ORDERS: tuple[DateOrder, ...] = ("day-first", "month-first")
_PROOFS_SHOWN = 3


class Proof(NamedTuple):
    """A date that can be read one way only."""

    text: str
    line: int
    order: DateOrder

    def sentence(self) -> str:
        """Return the evidence in words."""
        words = "day" if self.order == "day-first" else "month"
        return f"'{self.text}' in line {self.line} proves {words} first"


class Order(NamedTuple):
    """What the sheet's dates prove: an order, that both occur, or nothing.

    `is_needed` says that some date can be read both ways.
    """

    proven: DateOrder | None
    is_mixed: bool
    is_needed: bool
    proofs: tuple[Proof, ...]
    has_only_stops: bool = False

    def evidence(self) -> tuple[str, ...]:
        """Return the proofs in words, some of each order."""
        shown: list[str] = []
        for order in _ORDERS:
            of_order = [proof for proof in self.proofs if proof.order == order]
            shown.extend(proof.sentence() for proof in of_order[:_PROOFS_SHOWN])
        return tuple(shown)

    def support(self) -> tuple[str, ...]:
        """Return what speaks for an order without proving it."""
        if not self.has_only_stops:
            return ()
        return (
            "only full stops between the numbers, which is mostly written day first: that supports "
            "it and does not prove it",
        )


def find_order(cells: Iterable[tuple[int, str]]) -> Order:
    """Find which number comes first in the dates of a sheet.

    Parameters
    ----------
    cells : iterable of (line, text)
        Every cell of the columns that hold dates, and headings that are dates.
    """
    proofs: list[Proof] = []
    is_needed = False
    marks: set[str] = set()
    for line, text in cells:
        match = _NUMBERS.fullmatch(tidy(text))
        if match is None:
            continue
        marks.add(match["s"])
        first, second = int(match["a"]), int(match["b"])
        if first > 12 >= second:
            proofs.append(Proof(text.strip(), line, "day-first"))
        elif second > 12 >= first:
            proofs.append(Proof(text.strip(), line, "month-first"))
        elif first != second:
            is_needed = True
    orders = {proof.order for proof in proofs}
    proven = next(iter(orders)) if len(orders) == 1 else None
    return Order(proven, len(orders) > 1, is_needed, tuple(proofs), marks == {"."})


def looks_like_day(text: str) -> bool:
    """Return whether a cell has the shape of a date, complete or not."""
    plain = tidy(in_english_months(text))
    if _NUMBERS.fullmatch(plain) or _YEAR.fullmatch(plain):
        return True
    if not isinstance(read_date(plain, "day-first"), Fault):
        return True
    if re.fullmatch(r"[0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}\.[0-9]{1,2}\.", plain):
        return True
    return re.search(r"[a-zA-Z]{3}", plain) is not None and (
        _MONTH_YEAR.fullmatch(plain) is not None
        or _is_month(_MONTH_NUMBER.fullmatch(plain), plain)
        or _is_month(_DAY_MONTH.fullmatch(plain), plain)
    )


def _is_month(match: re.Match[str] | None, text: str) -> bool:
    from pipeline.logbook.dates import MONTHS

    words = re.findall(r"[a-zA-Z]+", text)
    return match is not None and any(word.lower() in MONTHS for word in words)


def read_day(text: str, order: DateOrder | None, today: date) -> Outcome:
    """Read a date of old notes, or say why it stays open.

    Parameters
    ----------
    text : str
        The cell as typed, not blank.
    order : {"day-first", "month-first"}, optional
        What the sheet's own dates prove or the maker has said.
    today : datetime.date
        A short year that would lie in the future is not read.
    """
    plain = tidy(in_english_months(text))
    if match := _NUMBERS.fullmatch(plain):
        return _all_numbers(match, order, today)
    if (match := _SHORT_YEAR.fullmatch(plain)) and not _MONTH_NUMBER.fullmatch(plain):
        return _short_year(f"{match['day']}20{match['y']}", today, match["y"])
    found = read_date(plain, order)
    if not isinstance(found, Fault):
        return loaded(_iso(found), "" if plain == tidy(text) else "month in another language")
    return _incomplete(plain, order) or _refused(found)


def _iso(found: tuple) -> str:
    day, clock = found
    return day.isoformat() if clock is None else f"{day.isoformat()} {clock:%H:%M}"


def _all_numbers(match: re.Match[str], order: DateOrder | None, today: date) -> Outcome:
    first, second = int(match["a"]), int(match["b"])
    readings = _readings(match)
    if first > 12 or second > 12 or first == second:
        order = "day-first" if first > 12 or first == second else "month-first"
    if order is None:
        return held(
            "date-order",
            f"'{match[0]}' does not say which number is the day, and the sheet's other dates do "
            "not settle it",
            [text for text in readings.values() if text],
        )
    text = readings[order]
    if text is None:
        return rejected("no-such-date", f"'{match[0]}' is not in the calendar")
    if date.fromisoformat(text[:10]) > today:
        return held("future", f"{text} has not come yet; check the year", [])
    rule = f"{order.replace('-', ' ')}"
    if len(match["y"]) == 2:
        rule += f"; the year '{match['y']} read as 20{match['y']}"
    return loaded(text, rule)


def _readings(match: re.Match[str]) -> dict[DateOrder, str | None]:
    year = match["y"] if len(match["y"]) == 4 else f"20{match['y']}"
    time = (match["rest"] or "").strip()
    found: dict[DateOrder, str | None] = {}
    for order in _ORDERS:
        read = read_date(f"{match['a']}/{match['b']}/{year} {time}".strip(), order)
        found[order] = None if isinstance(read, Fault) else _iso(read)
    return found


def _short_year(text: str, today: date, year: str) -> Outcome:
    found = read_date(text)
    if isinstance(found, Fault):
        return _refused(found)
    if found[0] > today:
        return held("future", f"{found[0].isoformat()} has not come yet; check the year", [])
    return loaded(_iso(found), f"the year '{year} read as 20{year}")


def _incomplete(text: str, order: DateOrder | None) -> Outcome | None:
    """Refuse dates without a year or a day: neither is made up."""
    if _YEAR.fullmatch(text):
        return rejected("year-only", "only the year is given, so days cannot be counted from it")
    if _MONTH_YEAR.fullmatch(text):
        return rejected("month-only", "only the month is given, so days cannot be counted from it")
    if (match := _MONTH_NUMBER.fullmatch(text)) and _is_month(match, text):
        number = match["n"]
        return held(
            "no-year",
            f"'{text}' may be day {number} of a year that is not given, or the month of the year "
            f"20{number.zfill(2)}",
            [],
        )
    if _NO_YEAR.fullmatch(text) or (
        (found := _DAY_MONTH.fullmatch(text)) and _is_month(found, text)
    ):
        doubt = "" if order or not _NO_YEAR.fullmatch(text) else ", nor which number is the day"
        return rejected("no-year", f"'{text}' does not say the year{doubt}")
    return None


def _refused(fault: Fault) -> Outcome:
    if fault.rule == "day-number" and fault.hint:
        return held(fault.rule, fault.message, [fault.hint.split(",")[0]])
    return rejected(fault.rule, fault.message)
