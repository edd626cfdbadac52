"""What went in: amounts and names from columns of their own, from one cell, from a unit column."""

from typing import TYPE_CHECKING

from pipeline.logbook.importing.cells import read_cell
from pipeline.logbook.importing.drafts import Draft
from pipeline.logbook.importing.naming import (
    open_name,
    part_amount_and_name,
    read_ingredient,
    step_of,
    without_weight,
)
from pipeline.logbook.importing.outcome import Outcome, loaded
from pipeline.logbook.importing.plan import ColumnPlan
from pipeline.logbook.importing.quantities import read_amount
from pipeline.logbook.numerals import read_number, tidy

if TYPE_CHECKING:
    from pipeline.logbook.importing.row_reading import RowReading

BLANK = "left blank in the sheet: not known, not none"
LONG = "entry"


def place_addition(
    reading: "RowReading", at: int, plan: ColumnPlan, written: str, text: str, said: str
) -> None:
    """Put one cell about what went in into its draft."""
    if plan.column in ("amount", "unit") and not plan.kind:
        _long_amount(reading, plan, written, text, said)
    elif plan.column == "ingredient":
        _name(reading, at, plan, written, text)
    elif plan.column == "amount":
        _wide_amount(reading, at, plan, written, text, said)
    elif written:
        outcome = read_cell(text, plan, reading.facts)
        reading.record(plan, written, outcome)
        draft = reading.draft("additions", LONG)
        draft.cells[plan.column] = outcome.text
        keep(draft, plan, written, outcome)


def _slot(reading: "RowReading", at: int, plan: ColumnPlan) -> str:
    """Return what pairs the n-th column of names with the n-th of amounts of one kind."""
    if not plan.kind:
        return LONG
    before = reading.answers.columns[:at]
    same = [one for one in before if one.kind == plan.kind and one.column == plan.column]
    if plan.column == "amount" and plan.ingredient and plan.kind == "fruit":
        return f"{plan.ingredient} {at}"
    named = [one for one in same if not (one.column == "amount" and one.ingredient)]
    return f"{plan.kind} {len(named) if plan.kind == 'fruit' else at}"


def _name(reading: "RowReading", at: int, plan: ColumnPlan, written: str, text: str) -> None:
    if not written:
        return
    draft = reading.draft("additions", _slot(reading, at, plan))
    answer = reading.answers.ingredients.get(written, "")
    if not plan.kind and (step := step_of(answer or text)):
        reading.record(plan, written, loaded(step, f"'{written}' is the step {step}"))
        draft.cells["_step"] = step
        return
    outcome, found = read_ingredient(text, answer, plan.kind)
    is_event = not plan.kind and not found.kind and not answer and not draft.cells
    if is_event and not _has_amount(reading):
        # `stirred`, `reading`: an event without an amount is no addition.
        reading.record(plan, written, loaded(tidy(text), "an event without an amount: a note"))
        reading.loose_notes.append(f"{plan.heading}: {written}")
        del reading.drafts["additions", LONG]
        return
    reading.record(plan, written, outcome)
    draft.cells["kind"] = found.kind
    draft.cells["ingredient"] = outcome.text or (open_name(text) if found.is_open else "")
    draft.notes.append(f"written as {written}" if outcome.rule or outcome.fate == "held" else "")


def _has_amount(reading: "RowReading") -> bool:
    return any(
        plan.to in ("additions.amount", "additions.unit") and not plan.kind and cell.strip()
        for plan, cell in zip(reading.answers.columns, reading.row.cells, strict=True)
    )


def _long_amount(
    reading: "RowReading", plan: ColumnPlan, written: str, text: str, said: str
) -> None:
    """Gather amount and unit; they are read together once the whole row is known."""
    draft = reading.draft("additions", LONG)
    if written:
        draft.cells[f"_{plan.column}"] = text
        draft.cells[f"_{plan.column}_written"] = written
        draft.cells[f"_{plan.column}_said"] = said


def _wide_amount(
    reading: "RowReading", at: int, plan: ColumnPlan, written: str, text: str, said: str
) -> None:
    draft = reading.draft("additions", _slot(reading, at, plan))
    draft.cells.setdefault("kind", plan.kind)
    draft.cells.setdefault("ingredient", plan.ingredient)
    draft.cells.setdefault("amount", "")
    if not written:
        is_entry = reading.answers.layout == "entries"
        is_none = is_entry or reading.answers.of("blank_additions") == "none"
        draft.notes.append("_none" if is_none else BLANK)
        return
    if text == "none" or read_number(tidy(text)) == 0:
        reading.record(plan, written, loaded("", "0 in a column of additions: none went in"))
        draft.notes.append("_none")
        return
    outcome = read_amount(text, "amount", plan.unit, reading.facts)
    if outcome.fate != "loaded" and (parts := part_amount_and_name(text, reading.facts)):
        outcome = _named_parts(reading, draft, plan, parts)
    outcome = without_weight(outcome, plan.kind)
    outcome = with_said(outcome, said)
    reading.record(plan, written, outcome)
    draft.cells["amount"] = draft.cells["amount"] or outcome.text
    keep(draft, plan, written, outcome)


def _named_parts(reading: "RowReading", draft: Draft, plan: ColumnPlan, parts: list) -> Outcome:
    """Read `3 lb elderberry`, or several such in one cell, each into a row of its own."""
    outcomes = []
    for number, part in enumerate(parts):
        one = draft if number == 0 else reading.draft("additions", f"{part.name} {number}")
        outcome = read_amount(part.amount, "amount", plan.unit, reading.facts)
        answer = reading.answers.ingredients.get(part.name, "")
        _, found = read_ingredient(part.name, answer, plan.kind)
        one.cells |= {
            "kind": found.kind or plan.kind,
            "ingredient": found.name or open_name(part.name),
            "amount": outcome.text,
        }
        outcomes.append(outcome)
    worst = next((one for one in outcomes if one.fate != "loaded"), None)
    if worst is not None:
        return worst
    text = "; ".join(f"{one.text} {part.name}" for one, part in zip(outcomes, parts, strict=True))
    rules = [one.rule for one in outcomes if one.rule]
    draft.cells["amount"] = outcomes[0].text
    return loaded(text, "; ".join(["amount and name parted", *rules]))


def with_said(outcome: Outcome, said: str) -> Outcome:
    """Name the maker's answer among the rules applied to a loaded cell."""
    if not said or outcome.fate != "loaded":
        return outcome
    return outcome._replace(rule="; ".join(part for part in (said, outcome.rule) if part))


def keep(draft: Draft, plan: ColumnPlan, written: str, outcome: Outcome) -> None:
    """Keep in the notes what the amount column cannot hold."""
    if outcome.note:
        draft.notes.append(outcome.note)
    if outcome.fate != "loaded":
        draft.held[plan.column] = written
        draft.notes.append(f"{plan.heading} as written: {written}")
