"""What has to be asked about a sheet: each question a small function with its own reason to ask."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from pipeline.logbook.importing.dates import find_order
from pipeline.logbook.importing.decimal_marks import find_marks
from pipeline.logbook.importing.moments import is_date_like
from pipeline.logbook.importing.plan import LEAVE, ColumnPlan, Question
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.sheet_cells import date_cells, number_cells
from pipeline.logbook.importing.timing import moment

_SHOWN = 4


@dataclass(frozen=True)
class Draught:
    """A sheet read once with no answers, to see what is left open."""

    sheet: Sheet
    columns: tuple[ColumnPlan, ...]
    preview: Preview

    def held_by(self, rule: str) -> tuple[str, ...]:
        """Return the cells that a rule holds, with their lines."""
        cells = [fate for fate in self.preview.fates if fate.rule == rule and fate.fate == "held"]
        return tuple(f"'{cell.written}' in line {cell.line}" for cell in cells[:_SHOWN])


def find_questions(draught: Draught) -> tuple[Question, ...]:
    """Return everything to ask about a sheet, in the order to ask it."""
    return tuple(question for rule in _RULES for question in rule(draught))


def _encoding(draught: Draught) -> Iterator[Question]:
    sheet = draught.sheet
    if sheet.codec and not sheet.codec.startswith("utf"):
        yield Question(
            "encoding",
            "The file's letters are read as Windows-1252, which is a guess. Do these cells look "
            'right? If not, give another, such as "iso8859-2" or "cp1250".',
            (),
            tuple(f"'{cell}'" for cell in sheet.samples),
            sheet.codec,
        )


def _dates(draught: Draught) -> Iterator[Question]:
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
    from dataclasses import replace
    from datetime import date

    from pipeline.logbook.importing.quantities import Facts

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


def _decimal(draught: Draught) -> Iterator[Question]:
    marks = find_marks(number_cells(draught.sheet, draught.columns))
    if marks.proven in ("", "."):
        return
    yield Question(
        "decimal",
        "Which is the decimal mark of this sheet?",
        (",", ".", "mixed"),
        marks.evidence,
        marks.proven,
    )


def _gallon(draught: Draught) -> Iterator[Question]:
    if cells := draught.held_by("which-gallon"):
        yield Question(
            "gallon",
            "Which gallon (and quart, pint, cup) is it where a cell does not say: US, 3.785 L, or "
            "imperial, 4.546 L? The way it is spelt does not tell.",
            ("us", "imperial", LEAVE),
            cells,
        )


def _acid(draught: Draught) -> Iterator[Question]:
    if cells := draught.held_by("which-acid"):
        yield Question(
            "ta_as",
            "Which acid is the titratable acidity expressed as, where a cell does not say? 4.5 g/L "
            "as sulphuric is 6.9 g/L as tartaric.",
            ("tartaric", "malic", "citric", "sulphuric", LEAVE),
            cells,
        )


def _score(draught: Draught) -> Iterator[Question]:
    if any(plan.to == "tastings.score" for plan in draught.columns):
        yield Question(
            "score_out_of",
            "Out of how many points are the scores? A logbook has one scale, and scores are never "
            'rescaled. Give the top, such as "20", or "leave".',
            (),
            draught.held_by("which-scale") + draught.held_by("other-scale"),
        )


def _batch(draught: Draught) -> Iterator[Question]:
    at = next((i for i, plan in enumerate(draught.columns) if plan.to == "batch_id"), None)
    if at is None:
        yield Question(
            "batch",
            "No column names the batch. If the whole sheet is about one batch, which is it?",
        )
        return
    blank = [row.line for row in draught.sheet.rows if not row.cells[at].strip()]
    if blank:
        lines = ", ".join(str(line) for line in blank[:_SHOWN])
        yield Question(
            "blank_batch",
            "Some rows name no batch. Do they belong to the batch above?",
            ("above", LEAVE),
            (f"blank in line {lines}",),
        )


def _which(draught: Draught) -> Iterator[Question]:
    named = {plan.kind for plan in draught.columns if plan.to == "additions.ingredient"}
    asked: set[str] = set()
    for plan in draught.columns:
        is_open = plan.to == "additions.amount" and plan.kind and not plan.ingredient
        if not is_open or plan.kind in named | asked or _names_in_cells(draught, plan):
            continue
        asked.add(plan.kind)
        yield Question(
            f"which {plan.kind}",
            f"Which {plan.kind} is it in the column '{plan.heading}'? One name for the whole "
            'column, or "leave".',
        )


def _names_in_cells(draught: Draught, plan: ColumnPlan) -> bool:
    """Whether the cells of a column name what they are an amount of, as `3 lb elderberry` does."""
    return any(
        draft.file == "additions"
        and draft.cells.get("kind") == plan.kind
        and f"{plan.kind} (which one" not in draft.cells.get("ingredient", "")
        for draft in draught.preview.drafts
    )


def _blank(draught: Draught) -> Iterator[Question]:
    blanks = [
        f"'{plan.heading}' in line {row.line}"
        for at, plan in enumerate(draught.columns)
        if plan.to == "additions.amount" and plan.kind
        for row in draught.sheet.rows
        if not row.cells[at].strip()
    ]
    if blanks and draught.preview.answers.layout == "batches":
        yield Question(
            "blank_additions",
            "What does a blank mean in the columns of what went in: not known, or none?",
            ("unknown", "none"),
            tuple(blanks[:_SHOWN]),
            "unknown",
        )


def _when(draught: Draught) -> Iterator[Question]:
    whens = dict.fromkeys(plan.when for plan in draught.columns if plan.file == "readings")
    for when in whens:
        if when.startswith(("week", "month", "end")):
            said = "the final reading" if when == "end" else f"'{when}'"
            yield Question(
                f"when: {when}",
                f"On which day was {said} taken? Nothing in the sheet says it. Give a day counted "
                'from the start, such as "day 28", or "leave".',
            )


def _large_doses(draught: Draught) -> Iterator[Question]:
    stops = [caution for caution in draught.preview.cautions if caution.is_blocking]
    if stops:
        yield Question(
            "large_doses",
            "Nothing is written until you have looked at these doses. Is that what really went in? "
            'Answer "yes", or correct the cell under [[cells]].',
            ("yes",),
            tuple(f"line {stop.line}, {stop.batch_id}: {stop.text}" for stop in stops),
        )


_RULES: tuple[Callable[[Draught], Iterator[Question]], ...] = (
    _encoding,
    _dates,
    _decimal,
    _gallon,
    _acid,
    _score,
    _batch,
    _which,
    _blank,
    _when,
    _large_doses,
)
