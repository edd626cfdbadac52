"""The day of every row: its own, or counted from the batch's start, or not known and left empty."""

import re
from datetime import date, timedelta

from pipeline.logbook.importing.dates import read_day
from pipeline.logbook.importing.drafts import Draft
from pipeline.logbook.importing.foreign import in_english_months
from pipeline.logbook.importing.plan import DATED, Answers
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.row_reading import RowReading

_DAY = re.compile(r"day ([0-9]+(?:\.[0-9])?)")
STEP_DONE = {"strain": "strained", "rack": "racked", "bottle": "bottled"}
_LONGEST = 400  # [days] a moment without a year lies within a year of the start, or stays open


def date_drafts(reading: RowReading, start: str) -> None:
    """Give every row of a reading its day, where the sheet says it."""
    for draft in reading.drafts.values():
        column = DATED[draft.file]
        if draft.cells.get(column):
            continue
        day = _day_of(draft, reading, start)
        if day:
            draft.cells[column] = day
        elif draft.when and draft.file == "readings":
            draft.notes.insert(0, f"when: {draft.when}")


def _day_of(draft: Draft, reading: RowReading, start: str) -> str:
    if draft.file == "batches":
        return start
    if draft.file == "readings" and draft.when:
        return moment(draft.when, start, reading.answers, reading.facts)
    if draft.file == "tastings" and reading.answers.layout == "batches":
        return moment("tasted", start, reading.answers, reading.facts)
    if draft.file == "transfers" and reading.answers.layout == "batches":
        step = STEP_DONE.get(draft.cells.get("step", ""), "")
        return moment(step, start, reading.answers, reading.facts)
    if reading.day:
        return reading.day
    if reading.day_number:
        return _after(start, reading.day_number)
    return start if reading.answers.layout == "batches" and draft.file == "additions" else ""


def moment(when: str, start: str, answers: Answers, facts: Facts) -> str:
    """Return the day that a heading's words mean for one batch, or nothing."""
    said = answers.of(f"when: {when}") or when
    if said == "start":
        return start
    if match := _DAY.fullmatch(said):
        return _after(start, match[1])
    found = read_day(said, facts.order, facts.today)
    if found.fate == "loaded":
        return found.text
    return _first_after(said, start, facts)


def _after(start: str, days: str) -> str:
    if not start:
        return ""
    try:
        return (date.fromisoformat(start[:10]) + timedelta(days=int(float(days)))).isoformat()
    except OverflowError:  # no calendar reaches that far: the row waits for its day
        return ""


def _first_after(said: str, start: str, facts: Facts) -> str:
    """Return the first such day after the start, for a moment without its year."""
    if not start:
        return ""
    began = date.fromisoformat(start[:10])
    for year in (began.year, began.year + 1):
        text = _with_year(said, year)
        found = read_day(text, facts.order, facts.today) if text else None
        if found is None or found.fate != "loaded":
            continue
        days = (date.fromisoformat(found.text[:10]) - began).days
        if 0 <= days <= _LONGEST:
            return found.text
    return ""


def _with_year(said: str, year: int) -> str:
    text = in_english_months(said).strip(". ")
    if re.fullmatch(r"[0-9]{1,2}[-/.][0-9]{1,2}", text):
        return f"{text.replace('.', '/').replace('-', '/')}/{year}"
    is_day_and_month = re.fullmatch(r"[0-9]{1,2}\D*[a-zA-Z]{3,}|[a-zA-Z]{3,}\.? ?[0-9]{1,2}", text)
    return f"{text} {year}" if is_day_and_month else ""
