"""What went in, once its whole row is read: amount with unit, name with kind, step with volume."""

import re
from typing import TYPE_CHECKING

from pipeline.logbook.importing.additions import BLANK, LONG, keep, with_said
from pipeline.logbook.importing.drafts import Draft
from pipeline.logbook.importing.ingredients import fruit_named_in
from pipeline.logbook.importing.naming import open_name, with_pieces, without_weight
from pipeline.logbook.importing.outcome import Outcome, held, loaded
from pipeline.logbook.importing.plan import BY_BATCH
from pipeline.logbook.importing.quantities import read_amount

if TYPE_CHECKING:
    from pipeline.logbook.importing.row_reading import RowReading

_GATHERED = (
    *("_amount", "_amount_written", "_amount_said", "_unit", "_unit_written", "_unit_said"),
    "_step",
)
_BOTTLES = re.compile(r"([0-9]+) ?(?:bottles?|flaschen|bouteilles|btl\.?)?", re.IGNORECASE)


def settle_additions(reading: "RowReading") -> None:
    """Read the amount of an entry, now that its unit and its name are known."""
    for key in [key for key, draft in reading.drafts.items() if "_none" in draft.notes]:
        del reading.drafts[key]
    _drop_blank_pairs(reading)
    for wide in reading.drafts.values():
        if wide.file == "additions" and wide.cells.get("kind") and "amount" in wide.cells:
            _name_if_open(reading, wide)
    draft = reading.drafts.get(("additions", LONG))
    if draft is not None:
        _settle_entry(reading, draft)


def _settle_entry(reading: "RowReading", draft: Draft) -> None:
    """Read amount and unit of an entry together, as an addition or as a step."""
    plans = {plan.column: plan for plan in reading.answers.columns if plan.file == "additions"}
    taken = {name: draft.cells.pop(name, "") for name in _GATHERED}
    amount, unit, step = taken["_amount"], taken["_unit"], taken["_step"]
    heading_unit = plans["amount"].unit if "amount" in plans else ""
    if taken["_amount_said"] and read_amount(amount, "amount", "", reading.facts).fate == "loaded":
        unit = ""  # the maker's answer says its own unit
    if step:
        outcome = _as_step(reading, step, f"{amount} {unit}".strip())
        del reading.drafts["additions", LONG]
        left = [f"{column}: {text}" for column, text in draft.cells.items() if text]
        reading.drafts["transfers", step].notes.extend([*left, *draft.notes])
        draft = reading.drafts["transfers", step]
    else:
        outcome = _entry_amount(reading, draft, amount, unit, heading_unit)
        draft.cells["amount"] = outcome.text
    outcome = with_said(outcome, taken["_amount_said"])
    place = "transfers.volume_after" if step else "additions.amount"
    written = {column: taken[f"_{column}_written"] for column in ("amount", "unit")}
    for column, text in written.items():
        if text:
            reading.record(plans[column], text, outcome, place)
    if any(written.values()):
        plan = plans["amount" if written["amount"] else "unit"]
        keep(draft, plan, " ".join(written.values()).strip(), outcome)


def _as_step(reading: "RowReading", step: str, text: str) -> Outcome:
    """Make an entry such as `racked, 4.1 L` or `bottled, 5 bottles` a step with its volume."""
    draft = reading.draft("transfers", step)
    draft.cells["step"] = step
    if not text:
        return loaded("")
    if step == "bottle" and (bottles := _BOTTLES.fullmatch(text)):
        draft.cells["bottles"] = bottles[1]
        return loaded(bottles[1], "a number of bottles")
    outcome = read_amount(text, "volume", "", reading.facts)
    if outcome.text:
        draft.cells["volume_after"] = outcome.text
    return outcome


def _name_if_open(reading: "RowReading", draft: Draft) -> None:
    """Name what a column of amounts is about by its answer, or say that nobody knows."""
    if not draft.cells.get("ingredient"):
        kind = draft.cells["kind"]
        said = reading.answers.of(f"which {kind}")
        if said == BY_BATCH:
            said = fruit_named_in(_batch_called(reading))
        draft.cells["ingredient"] = said or open_name(kind)


def _batch_called(reading: "RowReading") -> str:
    """Return what the row calls its batch: by its name if it has one, else by its id."""
    batch = reading.drafts.get(("batches", ""))
    return (batch.cells.get("name", "") if batch else "") or reading.batch_id


def _entry_amount(
    reading: "RowReading", draft: Draft, amount: str, unit: str, heading_unit: str
) -> Outcome:
    if not amount:
        return held("no-amount", "a unit without an amount", ()) if unit else loaded("")
    text = f"{amount} {unit}".strip()
    name = draft.cells.get("ingredient", "")
    outcome = read_amount(text, "amount", "" if unit else heading_unit, reading.facts)
    outcome = with_pieces(amount, name, outcome)
    return without_weight(outcome, draft.cells.get("kind", ""))


def _drop_blank_pairs(reading: "RowReading") -> None:
    """Drop a fruit's amount left blank where its name is blank as well."""
    for key, draft in list(reading.drafts.items()):
        is_blank = draft.notes == [BLANK] and not draft.cells.get("ingredient")
        if draft.file == "additions" and is_blank and _has_name_column(reading, draft):
            del reading.drafts[key]


def _has_name_column(reading: "RowReading", draft: Draft) -> bool:
    kind = draft.cells.get("kind")
    return any(
        plan.column == "ingredient" and plan.kind == kind for plan in reading.answers.columns
    )
