"""The plan of steps as a calendar file (iCalendar, RFC 5545), written by a library."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event


def calendar_of(sheet: dict[str, Any], describe: Callable[[dict], str]) -> bytes:
    """Return the steps of a sheet as all-day events.

    Parameters
    ----------
    sheet : dict
        As `pipeline.advice.sheet.answer` gives it.
    describe : callable
        Writes one step's text for people, in their units.

    Returns
    -------
    bytes
        The file. The same recipe started on the same day gives the same event names, so that a
        calendar into which it is read twice holds it once.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//hedgerow//plan of steps//EN")
    calendar.add("version", "2.0")
    for number, step in enumerate(sheet["steps"]):
        calendar.add_component(_event(sheet, number, step, describe(step)))
    return bytes(calendar.to_ical())


def _event(sheet: dict[str, Any], number: int, step: dict[str, Any], text: str) -> Event:
    first = date.fromisoformat(step["date"])
    name = f"hedgerow:{sheet['recipe']}:{sheet['start']}:{step['code']}:{number}"
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE_URL, name)}@hedgerow")
    event.add("dtstamp", datetime.now(UTC))
    event.add("dtstart", first)
    event.add("dtend", first + timedelta(days=1))
    event.add("summary", f"{sheet['recipe']}: {step['title']}")
    event.add("description", text)
    event.add("transp", "TRANSPARENT")
    if step["until"]:
        days = (date.fromisoformat(step["until"]) - first).days + 1
        event.add("rrule", {"freq": "daily", "count": days})
    return event
