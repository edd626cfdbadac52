"""What has to be asked about days: their order in the sheet, and moments it gives no day for."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from pipeline.logbook.importing.dates import find_order
from pipeline.logbook.importing.draught import Draught
from pipeline.logbook.importing.moments import is_date_like
from pipeline.logbook.importing.plan import LEAVE, Question
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.sheet_cells import date_cells
from pipeline.logbook.importing.timing import STEP_DONE, moment


def dates(draught: Draught) -> Iterator[Question]:
    """Ask which number of a short date is the day."""
    order = find_order(date_cells(draught.sheet, draught.columns))
    if not order.is_needed and not order.proofs:
        return
    evidence = list(order.evidence())
    if order.is_mixed:
        evidence.append("both orders occur; a date that can be read both ways needs your answer")
    if order.proven is None:
        evidence.extend([*_headings_after_start(draught), *order.support()])
    yield Question(
        "dates",
        "Which number comes first in dates such as 03/04/2025?",
        ("day-first", "month-first", LEAVE),
        tuple(evidence),
        order.proven or ("" if order.is_needed else LEAVE),
    )


def _headings_after_start(draught: Draught) -> Iterator[str]:
    """Say which order puts the headings that are dates after the batches' starts."""
    starts = [d.day for d in draught.preview.drafts if d.file == "batches" and d.day]
    whens = [plan.when for plan in draught.columns if is_date_like(plan.when)]
    facts = Facts(date.today())
    for when in whens:
        if not starts or not re.fullmatch(r"[0-9]+[/.-][0-9]+[/.-][0-9]+", when):
            continue
        for order in ("month-first", "day-first"):
            found = moment(when, starts[0], draught.preview.answers, replace(facts, order=order))
            if found:
                days = (date.fromisoformat(found) - date.fromisoformat(starts[0])).days
                yield f"the heading {when} read {order} is day {days} of a batch begun {starts[0]}"


def moments(draught: Draught) -> Iterator[Question]:
    """Ask on which day a reading was taken that a heading only names, such as the final one."""
    whens = dict.fromkeys(plan.when for plan in draught.columns if plan.file == "readings")
    for when in whens:
        if when.startswith(("week", "month", "end")):
            said = "the final reading" if when == "end" else f"'{when}'"
            yield Question(
                f"when: {when}",
                f"On which day was {said} taken? Nothing in the sheet says it. Give a day counted "
                'from the start, such as "day 28", or "leave".',
            )


def steps(draught: Draught) -> Iterator[Question]:
    """Ask when wines were bottled, racked or strained of which only the volume is told."""
    if draught.preview.answers.layout != "batches":
        return
    plans = [plan for plan in draught.columns if plan.file == "transfers"]
    dated = {plan.step for plan in plans if plan.to == "transfers.moved_on"}
    for step in dict.fromkeys(plan.step for plan in plans):
        if step in STEP_DONE and step not in dated:
            yield Question(
                f"when: {STEP_DONE[step]}",
                f"When were the wines {STEP_DONE[step]}? Nothing in the sheet says it. Give a day "
                'counted from the start, such as "day 120", or "leave".',
            )


def tasted(draught: Draught) -> Iterator[Question]:
    """Ask when wines were tasted whose scores stand beside how they were made."""
    if draught.preview.answers.layout != "batches":
        return
    columns = {plan.to for plan in draught.columns if plan.file == "tastings"}
    if columns and "tastings.tasted_on" not in columns:
        yield Question(
            "when: tasted",
            "When were the wines tasted? Nothing in the sheet says it, and wine changes with age. "
            'Give a day counted from the start, such as "day 365", or "leave".',
        )
