"""Reading a whole sheet by its answers, without writing anything."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from pipeline.logbook.contract import FILES
from pipeline.logbook.importing.cautions import find_cautions
from pipeline.logbook.importing.dates import find_order, read_day
from pipeline.logbook.importing.decimal_marks import find_marks
from pipeline.logbook.importing.drafts import CellFate, Draft
from pipeline.logbook.importing.plan import Answers
from pipeline.logbook.importing.previews import Preview, Waiting
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.remarks import is_ditto
from pipeline.logbook.importing.row_reading import RowReading, read_row
from pipeline.logbook.importing.sheet import Row, Sheet
from pipeline.logbook.importing.sheet_cells import date_cells, number_cells
from pipeline.logbook.importing.timing import date_drafts


def facts_of(sheet: Sheet, answers: Answers, today: date) -> Facts:
    """Return what the sheet proves and the maker has said, for reading its cells."""
    said = answers.of("dates")
    order = find_order(date_cells(sheet, answers.columns)).proven
    decimal = answers.of("decimal") or find_marks(number_cells(sheet, answers.columns)).proven
    return Facts(
        today=today,
        order="day-first" if said == "day-first" else "month-first" if said else order,
        decimal={"comma": ",", "point": "."}.get(decimal, decimal) or ".",
        gallon=answers.of("gallon"),
        ta_as=answers.of("ta_as"),
        score_out_of=answers.of("score_out_of"),
    )


def read_preview(
    sheet: Sheet,
    answers: Answers,
    *,
    known_batches: Collection[str] = (),
    logbook_scale: str = "",
    today: date | None = None,
) -> Preview:
    """Read a sheet by its answers, without writing anything.

    Parameters
    ----------
    sheet : Sheet
        The sheet as text.
    answers : Answers
        Which column is which, and what the maker has said.
    known_batches : collection of str
        Batches that the logbook has already; they get no second row in batches.csv.
    logbook_scale : str
        The top of the logbook's score scale, if it has one already.
    today : datetime.date, optional
        The day after which a date is in the future; by default the real one.
    """
    facts = facts_of(sheet, answers, today or date.today())
    facts = replace(facts, logbook_scale=logbook_scale)
    readings = _read_rows(sheet, answers, facts)
    drafts = _merged([draft for one in readings for draft in _drafts(one, facts)])
    if answers.layout == "entries":
        drafts = _batch_rows(drafts, answers, facts, known_batches) + drafts
    drafts = [draft for draft in drafts if draft.file != "batches" or _is_new(draft, known_batches)]
    fates = tuple(fate for one in readings for fate in one.fates)
    waiting = tuple(
        Waiting(draft.file, draft.batch_id, draft.line, tuple(missing), _says(draft))
        for draft in drafts
        if (missing := draft.missing())
    )
    return Preview(
        sheet, answers, tuple(drafts), fates, waiting, find_cautions(drafts, sheet, answers, facts)
    )


def _is_new(draft: Draft, known: Collection[str]) -> bool:
    return draft.batch_id not in known


def _says(draft: Draft) -> str:
    """Return what a row is about, for people."""
    parts = [draft.cells.get(name, "") for name in ("ingredient", "step", "gravity", "amount")]
    return " ".join(part for part in (*parts, draft.when) if part)


def _read_rows(sheet: Sheet, answers: Answers, facts: Facts) -> list[RowReading]:
    readings: list[RowReading] = []
    above: tuple[str, ...] = ()
    batch_above = ""
    for row in sheet.rows:
        reading = read_row(row, above, answers, facts)
        reading.batch_id = reading.batch_id or _batch_without_cell(answers, batch_above)
        batch_above = reading.batch_id
        above = _followed(row, above)
        readings.append(reading)
    return readings


def _followed(row: Row, above: tuple[str, ...]) -> tuple[str, ...]:
    """Return a row's cells with ditto marks replaced by what they point at."""
    return tuple(
        above[at] if is_ditto(cell) and at < len(above) else cell
        for at, cell in enumerate(row.cells)
    )


def _batch_without_cell(answers: Answers, above: str) -> str:
    """Return the batch of a row that names none: the maker's answer, never a guess."""
    if not any(plan.to == "batch_id" for plan in answers.columns):
        return answers.of("batch")
    return above if answers.of("blank_batch") == "above" else ""


def _drafts(reading: RowReading, facts: Facts) -> list[Draft]:
    """Return a row's drafts with batch and day; none if nothing says which batch it is."""
    if not reading.batch_id:
        reading.fates[:] = [_without_batch(fate) for fate in reading.fates]
        return []
    own = reading.drafts.get(("batches", ""))
    start = (own.cells.get("started_on", "") if own else "") or start_answer(
        reading.answers, reading.batch_id, facts
    )
    date_drafts(reading, start)
    drafts = list(reading.drafts.values())
    for draft in drafts:
        draft.cells = {"batch_id": reading.batch_id, **draft.cells}
        if draft.file == "tastings" and (taster := reading.answers.of("taster")):
            draft.cells.setdefault("taster", taster)
    return sorted(drafts, key=lambda draft: list(FILES).index(draft.file))


def _without_batch(fate: CellFate) -> CellFate:
    reason = "nothing says which batch this row belongs to"
    return fate._replace(fate="held", text="", rule="no-batch", reason=reason, readings=())


def start_answer(answers: Answers, batch_id: str, facts: Facts) -> str:
    """Return the start that the maker has given for a batch, or nothing."""
    said = answers.starts.get(batch_id, "").strip()
    found = read_day(said, facts.order, facts.today) if said else None
    return found.text if found is not None and found.fate == "loaded" else ""


def _merged(drafts: list[Draft]) -> list[Draft]:
    """Join several rows about one batch into one row of batches.csv."""
    first: dict[str, Draft] = {}
    kept = []
    for draft in drafts:
        if draft.file != "batches" or draft.batch_id not in first:
            kept.append(draft)
            if draft.file == "batches":
                first[draft.batch_id] = draft
            continue
        into = first[draft.batch_id]
        for column, text in draft.cells.items():
            if into.cells.setdefault(column, text) != text:
                into.notes.append(f"line {draft.line} says {column}: {text}")
        into.notes.extend(draft.notes)
    return kept


def _batch_rows(
    drafts: list[Draft], answers: Answers, facts: Facts, known: Collection[str]
) -> list[Draft]:
    """Return a row of batches.csv for every batch of a sheet of entries that the logbook lacks."""
    there = {draft.batch_id for draft in drafts if draft.file == "batches"} | set(known)
    rows: dict[str, Draft] = {}
    for draft in drafts:
        name = draft.batch_id
        if name in there or name in rows:
            continue
        start = start_answer(answers, name, facts)
        cells = {"batch_id": name, "started_on": start[:10]}
        rows[name] = Draft("batches", draft.line, cells, source=f"batch {name}")
    return list(rows.values())
