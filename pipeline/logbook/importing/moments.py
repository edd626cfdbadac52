"""Headings that say when: `Day 0`, `d5`, `week 4`, `10/1`, `10/8/24`, `8 Oct`."""

import re
from functools import lru_cache
from typing import NamedTuple

from pipeline.logbook.dates import MONTHS
from pipeline.logbook.importing.foreign import in_english_months
from pipeline.logbook.importing.vocabulary import plain

_DAY_WORDS = "days|day|d|tage|tag|jours|jour|j|dias|dia|giorno|giorni|dagen|dag|dzien|dni|den"
_WEEK_WORDS = "weeks|week|wks|wk|w|wochen|woche|semaine|semaines|semana|settimana|tydzien|vecka"
_MONTH_WORDS = "months|month|mths|mth|monate|monat|mois|meses|mese|maand|miesiac|manad"
_COUNTED = re.compile(
    rf"(?:(?P<unit>{_DAY_WORDS}|{_WEEK_WORDS}|{_MONTH_WORDS}) ?#?\+? ?(?P<n>[0-9]{{1,3}})"
    rf"|(?P<n2>[0-9]{{1,3}}) ?(?P<unit2>{_DAY_WORDS}|{_WEEK_WORDS}|{_MONTH_WORDS}))"
)
_NUMBERS = r"[0-9]{1,2}[/.-][0-9]{1,2}(?:[/.-](?:[0-9]{4}|[0-9]{2}))?\.?"
_LETTERS = (
    r"[0-9]{1,2}(?:st|nd|rd|th)?[ .-]*[a-zA-Zäéûà]{3,9}\.?(?:[ ,-]*(?:[0-9]{4}|'?[0-9]{2}))?"
    r"|[a-zA-Zäéûà]{3,9}\.?[ -]*[0-9]{1,2}(?:st|nd|rd|th)?(?:[ ,]+(?:[0-9]{4}|'?[0-9]{2}))?"
)
_DATE = re.compile(rf"[0-9]{{4}}-[0-9]{{1,2}}-[0-9]{{1,2}}|{_NUMBERS}")
_LETTER_DATE = re.compile(_LETTERS)


class When(NamedTuple):
    """When a column was measured: `text` in plain words, and what is left of the heading."""

    text: str
    rest: str = ""


@lru_cache(maxsize=4096)
def when_of(heading: str) -> When | None:
    """Return the moment a heading says, or None.

    Examples
    --------
    >>> when_of("d5"), when_of("SG day 3"), when_of("10/8/24").text, when_of("sugar")
    (When(text='day 5', rest=''), When(text='day 3', rest='SG'), '10/8/24', None)
    """
    words = heading.strip()
    if (counted := _counted(plain(words))) is not None:
        return When(counted)
    if is_date_like(words):
        return When(words)
    return _at_one_end(words)


def _at_one_end(words: str) -> When | None:
    """Find a moment after or before the name of what was measured."""
    parts = words.split()
    for count in (1, 2, 3):
        if len(parts) <= count:
            return None
        ends = ((parts[-count:], parts[:-count]), (parts[:count], parts[count:]))
        for moment, rest in ends:
            text = " ".join(moment).strip("()[]:,-")
            found = _counted(plain(text)) or (text if is_date_like(text) else None)
            if found:
                return When(found, " ".join(rest).strip("()[]:,- "))
    return None


def _counted(text: str) -> str | None:
    if (match := _COUNTED.fullmatch(text)) is None:
        return None
    unit, number = match["unit"] or match["unit2"], int(match["n"] or match["n2"])
    if re.fullmatch(_DAY_WORDS, unit):
        return f"day {number}"
    return f"{'week' if re.fullmatch(_WEEK_WORDS, unit) else 'month'} {number}"


def is_date_like(text: str) -> bool:
    """Return whether a text has the shape of a date, with or without its year."""
    if _DATE.fullmatch(text):
        return True
    return _LETTER_DATE.fullmatch(text) is not None and any(
        word.lower() in MONTHS for word in re.findall("[a-zA-Z]+", in_english_months(text))
    )
