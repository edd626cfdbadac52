"""What has to be asked about a sheet: each question a small function with its own reason to ask."""

from collections.abc import Callable, Iterator

from pipeline.logbook.importing.decimal_marks import find_marks
from pipeline.logbook.importing.draught import SHOWN, Draught
from pipeline.logbook.importing.ingredients import fruit_named_in
from pipeline.logbook.importing.plan import BY_BATCH, LEAVE, ColumnPlan, Question
from pipeline.logbook.importing.questions_when import dates, moments, steps, tasted
from pipeline.logbook.importing.sheet_cells import number_cells


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
        lines = ", ".join(str(line) for line in blank[:SHOWN])
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
        seen = _named_by_batch(draught) if plan.kind == "fruit" else ()
        other = f'"{BY_BATCH}" for the one that each batch is named after, ' if seen else ""
        yield Question(
            f"which {plan.kind}",
            f"Which {plan.kind} is it in the column '{plan.heading}'? One name for the whole "
            f'column, {other}or "leave".',
            (),
            seen,
        )


def _named_by_batch(draught: Draught) -> tuple[str, ...]:
    """Return which fruit each batch is named after, if every name speaks of one."""
    named = {
        name: fruit_named_in(name)
        for draft in draught.preview.drafts
        if draft.file == "batches" and (name := draft.cells.get("name") or draft.batch_id)
    }
    if not named or not all(named.values()):
        return ()
    return tuple(f"{name}: {fruit}" for name, fruit in named.items())[:SHOWN]


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
            tuple(blanks[:SHOWN]),
            "unknown",
        )


def _taster(draught: Draught) -> Iterator[Question]:
    columns = {plan.to for plan in draught.columns if plan.file == "tastings"}
    if columns and "tastings.taster" not in columns:
        yield Question(
            "taster",
            "Who tasted? Nothing in the sheet says it. A name or initials for the whole sheet, or "
            '"leave".',
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
    dates,
    _decimal,
    _gallon,
    _acid,
    _score,
    _batch,
    _which,
    _blank,
    moments,
    steps,
    tasted,
    _taster,
    _large_doses,
)
