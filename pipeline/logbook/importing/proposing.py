"""A proposal for a sheet: what each column is, with the evidence, and what has to be asked."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from pipeline.errors import LogbookError
from pipeline.logbook.importing.columns import propose_columns
from pipeline.logbook.importing.drafts import CellFate, Draft
from pipeline.logbook.importing.draught import Draught
from pipeline.logbook.importing.plan import Answers, ColumnPlan, Layout, Question
from pipeline.logbook.importing.previewing import read_preview
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.questions import find_questions
from pipeline.logbook.importing.sheet import Sheet, read_sheet
from pipeline.logbook.importing.workbooks import read_workbook_sheets

_WORKBOOKS = (".xlsx", ".xlsm", ".xls", ".ods")
_MADE_OF = ("fruit", "sugar", "water", "juice", "honey")
# Held by these rules, a cell is freed by a question about the whole sheet.
_ASKED_ONCE = frozenset(
    {"which-gallon", "which-acid", "no-batch", "date-order", "which-substance", "ditto"}
)


class OpenCell(NamedTuple):
    """A cell that may mean several things; of rows that are wholly alike it stands for all."""

    heading: str
    written: str
    row: str
    lines: tuple[int, ...]
    reason: str
    readings: tuple[str, ...]


class OpenStart(NamedTuple):
    """A batch whose start the sheet does not say; `answer` where its first addition says it."""

    batch_id: str
    says: str
    answer: str


@dataclass(frozen=True)
class Proposal:
    """What is proposed for a sheet.

    Attributes
    ----------
    sheet : Sheet
        The sheet as text.
    columns, layout
        Which column is which, and whether a row is a batch or an entry.
    questions : tuple of Question
        What holds for the whole sheet, each with its evidence and, if any, an answer.
    starts, ingredients, cells
        What stays open about single batches, names and cells.
    """

    sheet: Sheet
    columns: tuple[ColumnPlan, ...]
    layout: Layout
    questions: tuple[Question, ...] = ()
    starts: tuple[OpenStart, ...] = ()
    ingredients: tuple[OpenCell, ...] = ()
    cells: tuple[OpenCell, ...] = ()

    def answers(self) -> Answers:
        """Return the answers as proposed; open questions stay open."""
        return Answers(
            self.columns,
            self.layout,
            {question.key: question.answer for question in self.questions},
            {start.batch_id: start.answer for start in self.starts},
            {name.written: "" for name in self.ingredients},
            {(cell.heading, cell.written, cell.row): "" for cell in self.cells},
        )


def read_sheets(data: bytes, name: str, codec: str | None = None) -> list[Sheet]:
    """Read the sheets of a file: one of a delimited file, every filled one of a workbook.

    Raises
    ------
    LogbookError
        If the file cannot be read, or holds nothing.
    """
    if not name.lower().endswith(_WORKBOOKS):
        return [read_sheet(data, name, codec)]
    sheets = read_workbook_sheets(data, name)
    if not sheets:
        raise LogbookError(f"{name} is empty. Choose the workbook that holds the notes.")
    return sheets


def propose(
    data: bytes,
    name: str,
    *,
    codec: str | None = None,
    known_batches: Collection[str] = (),
    today: date | None = None,
) -> Proposal:
    """Propose how to read a file; of a workbook, its first filled sheet.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, which tells a workbook from a text.
    codec : str, optional
        An encoding the maker has confirmed.
    known_batches : collection of str
        Batches the logbook has already.
    today : datetime.date, optional
        The day after which a date is in the future.

    Raises
    ------
    LogbookError
        If the file cannot be read.
    """
    sheet = read_sheets(data, name, codec)[0]
    return propose_sheet(sheet, known_batches=known_batches, today=today)


def propose_sheet(
    sheet: Sheet,
    answers: Answers | None = None,
    *,
    known_batches: Collection[str] = (),
    today: date | None = None,
) -> Proposal:
    """Propose how to read a sheet; what `answers` say already is kept and not asked again."""
    columns, layout = (answers.columns, answers.layout) if answers else propose_columns(sheet)
    first = answers or Answers(columns, layout)
    preview = read_preview(sheet, first, known_batches=known_batches, today=today)
    questions = find_questions(Draught(sheet, columns, preview))
    settled = replace(first, general={q.key: q.answer for q in questions} | first.general)
    preview = read_preview(sheet, settled, known_batches=known_batches, today=today)
    return Proposal(
        sheet,
        columns,
        layout,
        tuple(replace(q, answer=settled.general.get(q.key, "")) for q in questions),
        _starts(preview),
        _open_names(preview.fates),
        _open_cells(preview),
    )


def _starts(preview: Preview) -> tuple[OpenStart, ...]:
    """Return the batches whose start is not known, with what the sheet says about each."""
    made, entered = _first_days(preview, _MADE_OF), _first_days(preview, ())
    return tuple(
        _open_start(draft, preview.answers.layout, made.get(draft.batch_id, ""), entered)
        for draft in preview.drafts
        if draft.file == "batches" and not draft.day and draft.batch_id
    )


def _open_start(draft: Draft, layout: Layout, made: str, entered: dict[str, str]) -> OpenStart:
    name = draft.batch_id
    if made and layout == "entries":
        return OpenStart(name, f"its first fruit, sugar or water went in on {made}", made)
    if written := draft.held.get("started_on", ""):
        return OpenStart(name, f"the sheet says '{written}'", "")
    first = entered.get(name, "")
    return OpenStart(name, f"its first entry is of {first}" if first else "no day is given", "")


def _first_days(preview: Preview, kinds: Collection[str]) -> dict[str, str]:
    """Return the first day of each batch on which something of these kinds went in."""
    first: dict[str, str] = {}
    for draft in preview.drafts:
        day = draft.day[:10]
        if day and (not kinds or draft.cells.get("kind") in kinds):
            first[draft.batch_id] = min(day, first.get(draft.batch_id, day))
    return first


def _open_names(fates: Collection[CellFate]) -> tuple[OpenCell, ...]:
    """Gather the names that only the maker can settle, each once."""
    return _gathered(fate._replace(row="") for fate in fates if fate.rule == "which-substance")


def _open_cells(preview: Preview) -> tuple[OpenCell, ...]:
    """Gather the cells that are held or rejected one by one, and the doses to be confirmed."""
    stops = {caution.line for caution in preview.cautions if caution.is_blocking}
    amounts = {
        fate.row
        for fate in preview.fates
        if fate.to == "additions.amount" and fate.fate != "loaded"
    }
    units = {plan.heading for plan in preview.answers.columns if plan.to == "additions.unit"}
    return _gathered(
        fate
        for fate in preview.fates
        if (_is_open(fate) and not (fate.heading in units and fate.row in amounts))
        or (fate.line in stops and fate.to == "additions.amount" and fate.heading not in units)
    )


def _is_open(fate: CellFate) -> bool:
    return fate.fate != "loaded" and fate.rule not in _ASKED_ONCE and fate.rule != "nothing"


def _gathered(fates: Iterable[CellFate]) -> tuple[OpenCell, ...]:
    found: dict[tuple[str, str, str], OpenCell] = {}
    for fate in fates:
        key = fate.heading, fate.written, fate.row
        before = found.get(key)
        lines = (*before.lines, fate.line) if before else (fate.line,)
        reason = fate.reason or "its dose is very high: correct it here if it is a slip"
        found[key] = OpenCell(fate.heading, fate.written, fate.row, lines, reason, fate.readings)
    return tuple(found.values())
