"""One row of old notes to the rows it becomes, with what became of each of its cells."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pipeline.logbook.importing.additions import place_addition
from pipeline.logbook.importing.cells import read_cell
from pipeline.logbook.importing.drafts import CellFate, Draft, fate_of
from pipeline.logbook.importing.outcome import Outcome, held, loaded, rejected
from pipeline.logbook.importing.plan import Answers, ColumnPlan
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.remarks import is_ditto, is_nothing, nothing
from pipeline.logbook.importing.settling import settle_additions
from pipeline.logbook.importing.sheet import Row
from pipeline.logbook.importing.vocabulary import read_name
from pipeline.logbook.numerals import tidy

_FAMILY = r"(?:gal|qt|quart|pt|pint|cup|fl)"
_UNIT_OF_US = re.compile(
    rf"\b(?:us|u\.s\.|american) ?{_FAMILY}|{_FAMILY}\w*\.? ?\(us", re.IGNORECASE
)
_UNIT_OF_UK = re.compile(
    rf"\b(?:imp|imperial|uk|british)\.? ?{_FAMILY}|{_FAMILY}\w*\.? ?\((?:imp|uk)", re.IGNORECASE
)
_POINTS_ABOVE = ("batch_id", "date", "additions.ingredient", "batches.started_on")


@dataclass
class RowReading:
    """A row while it is read.

    Attributes
    ----------
    drafts : dict
        Rows it becomes, by file and by what they are about.
    fates : list of CellFate
        One per filled cell.
    batch_id, day, day_number : str
        The batch it belongs to, its own date, its day after the start.
    """

    row: Row
    answers: Answers
    facts: Facts
    words: str = ""
    drafts: dict[tuple[str, str], Draft] = field(default_factory=dict)
    fates: list[CellFate] = field(default_factory=list)
    batch_id: str = ""
    day: str = ""
    day_number: str = ""
    loose_notes: list[str] = field(default_factory=list)

    def draft(self, file: str, about: str, when: str = "") -> Draft:
        """Return the row for a file and a purpose, begun if it is not there yet."""
        key = (file, about)
        if key not in self.drafts:
            self.drafts[key] = Draft(file, self.row.line, when=when, source=self.row.text)
        return self.drafts[key]

    def record(self, plan: ColumnPlan, written: str, outcome: Outcome, to: str = "") -> None:
        """Enter what became of a cell."""
        place = to or plan.to
        self.fates.append(
            fate_of(self.row.line, plan.heading, written, self.row.text, place, outcome)
        )


def read_row(row: Row, above: Sequence[str], answers: Answers, facts: Facts) -> RowReading:
    """Read one row.

    Parameters
    ----------
    row : Row
        Its cells.
    above : sequence of str
        The cells of the row above, ditto marks already followed.
    answers : Answers
        The plan that is followed.
    facts : Facts
        What is known of the sheet.
    """
    reading = RowReading(row, answers, _with_own_gallon(row, facts))
    reading.words = " ".join(
        cell for cell, plan in zip(row.cells, answers.columns, strict=True) if plan.to == "notes"
    )
    filled = [
        (at, plan, cell)
        for at, (plan, cell) in enumerate(zip(answers.columns, row.cells, strict=True))
        if cell.strip() or plan.kind
    ]
    for at, plan, cell in filled:
        _place(reading, at, plan, cell, above[at] if at < len(above) else "")
    settle_additions(reading)
    _finish(reading)
    return reading


def _with_own_gallon(row: Row, facts: Facts) -> Facts:
    """Take the gallon a row itself names, before the one that holds for the sheet."""
    text = " | ".join(row.cells)
    is_us, is_uk = bool(_UNIT_OF_US.search(text)), bool(_UNIT_OF_UK.search(text))
    if is_us == is_uk:
        return facts
    return replace(facts, gallon="us" if is_us else "imperial")


def _place(reading: RowReading, at: int, plan: ColumnPlan, cell: str, above: str) -> None:
    """Read one cell and put it where it belongs."""
    written = cell.strip()
    answer = reading.answers.of_cell(plan.heading, written, reading.row.text)
    text = answer or written
    followed = is_ditto(written) and plan.to in _POINTS_ABOVE and above
    if followed:
        text = above
    said = f"the mapping file says {answer}" if answer else "as above" if followed else ""
    if plan.file == "additions":
        place_addition(reading, at, plan, written, text, said)
        return
    if not written:
        return
    outcome = _outcome(reading, plan, text)
    if said and outcome.fate == "loaded":
        outcome = outcome._replace(rule="; ".join(part for part in (said, outcome.rule) if part))
    reading.record(plan, written, outcome)
    _put(reading, plan, written, outcome)


def _outcome(reading: RowReading, plan: ColumnPlan, text: str) -> Outcome:
    match plan.to:
        case "notes":
            return loaded(text)
        case "batch_id":
            return nothing(text) if is_nothing(text) else loaded(tidy(text))
        case "day":
            return _day_number(text)
        case "alcohol":
            return _alcohol(text)
        case _:
            return read_cell(text, plan, reading.facts, reading.words)


def _day_number(text: str) -> Outcome:
    digits = re.fullmatch(r"(?:d(?:ay)?|tag|jour|j) ?\.?(\d{1,4})|(\d{1,4}(?:\.\d)?)", text, re.I)
    if digits is None:
        return (
            nothing(text) if is_nothing(text) else held("not-a-day", f"'{text}' is no day number")
        )
    return loaded(digits[1] or digits[2], "day numbers count from the batch's start, no calendar")


def _alcohol(text: str) -> Outcome:
    """Keep alcohol as somebody wrote it in the notes; what the gravities give counts."""
    if is_nothing(text):
        return nothing(text)
    if text.startswith(("<", ">", "≤", "≥")):
        return rejected("bound-only", f"'{text}' is a bound, not the strength itself")
    return loaded(text, "kept in the notes as written: the gravities say the strength")


def _put(reading: RowReading, plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    """Put a read cell where it belongs; what could not be read goes into the notes."""
    if plan.to in _ABOUT_THE_ROW:
        _ABOUT_THE_ROW[plan.to](reading, plan, written, outcome)
    elif outcome.rule != "nothing":
        _into_draft(_draft_for(reading, plan), plan, written, outcome)


def _into_draft(draft: Draft, plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    if outcome.text:
        draft.cells[plan.column] = outcome.text
    draft.cells |= dict(outcome.more)
    if outcome.note:
        draft.notes.append(outcome.note)
    if outcome.fate != "loaded":
        draft.held[plan.column] = written
        draft.notes.append(f"{plan.heading} as written: {written}")
    elif not outcome.text:
        draft.notes.append(f"{plan.heading}: {written}")


def _put_batch(reading: RowReading, _plan: ColumnPlan, _written: str, outcome: Outcome) -> None:
    reading.batch_id = outcome.text


def _put_day(reading: RowReading, plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    reading.day = outcome.text
    if outcome.fate != "loaded":
        reading.loose_notes.append(f"{plan.heading} as written: {written}")


def _put_number(reading: RowReading, _plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    reading.day_number = outcome.text
    reading.loose_notes.append(f"day {written}")


def _put_notes(reading: RowReading, plan: ColumnPlan, written: str, _outcome: Outcome) -> None:
    is_notes = read_name(plan.heading).concept == "notes"
    reading.loose_notes.append(written if is_notes else f"{plan.heading}: {written}")


def _put_alcohol(reading: RowReading, _plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    if outcome.rule != "nothing":
        reading.loose_notes.append(f"alcohol as written: {written}")


_ABOUT_THE_ROW = {
    "batch_id": _put_batch,
    "date": _put_day,
    "day": _put_number,
    "notes": _put_notes,
    "alcohol": _put_alcohol,
}


def _draft_for(reading: RowReading, plan: ColumnPlan) -> Draft:
    if plan.file == "readings":
        return reading.draft("readings", plan.when, plan.when)
    if plan.file == "transfers":
        draft = reading.draft("transfers", plan.step)
        draft.cells["step"] = plan.step
        return draft
    return reading.draft(plan.file, "")


def _finish(reading: RowReading) -> None:
    """Drop readings that say nothing; give loose notes and the instrument to the right row."""
    for key in [key for key, draft in reading.drafts.items() if _is_idle(draft)]:
        del reading.drafts[key]
    if reading.answers.layout == "batches":
        reading.draft("batches", "").notes.extend(reading.loose_notes)
    else:
        entries = [draft for draft in reading.drafts.values() if draft.file != "batches"]
        target = entries[0] if entries else reading.draft("batches", "")
        target.notes.extend(reading.loose_notes)
    for draft in reading.drafts.values():
        if draft.file == "readings" and "gravity" in draft.cells:
            _instrument(draft, reading.words)


def _instrument(draft: Draft, words: str) -> None:
    """Take the instrument from the row's notes."""
    if "instrument" not in draft.cells and re.search(r"refract", words, re.IGNORECASE):
        draft.cells["instrument"] = "refractometer"


def _is_idle(draft: Draft) -> bool:
    return draft.file == "readings" and not draft.cells and not draft.notes
