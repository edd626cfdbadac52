"""What looks wrong or dangerous in old notes, before they are written: said, never corrected."""

import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from pipeline.enology.alcohol import alcohol_from_gravities
from pipeline.enology.gravity import gravity_from_brix
from pipeline.enology.limits import limit
from pipeline.enology.nitrogen import DAP_NITROGEN_MG_PER_G
from pipeline.enology.stabilising import SORBIC_PER_SORBATE
from pipeline.enology.sulphite_doses import SINGLE_DOSE_CAUTION_MG_L, SO2_PER_GRAM
from pipeline.logbook.importing.doses import Span, dose_span, volume_span
from pipeline.logbook.importing.drafts import Draft
from pipeline.logbook.importing.plan import Answers
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.sheet import Sheet

_TABLET_G = Span(0.44, 0.55)  # [g] sulphite tablets; common practice, no source
_DAP_CEILING_G_L = 0.96  # [g/L] 27 CFR 24.246, from memory; a ceiling for makers who sell
_SUGAR_L_KG = 0.618  # [L/kg] volume of dissolved sugar, 27 CFR 24.181
_ALCOHOL_GAP = 1.0  # [% vol] beyond this a written strength and the gravities disagree


class Caution(NamedTuple):
    """Something to look at; `is_blocking` keeps everything from being written until confirmed."""

    line: int
    batch_id: str
    text: str
    is_blocking: bool = False


def find_cautions(
    drafts: Sequence[Draft], sheet: Sheet, answers: Answers, facts: Facts
) -> tuple[Caution, ...]:
    """Return what looks wrong, row by row."""
    found: list[Caution] = [*_same_rows(sheet), *_two_starts(drafts)]
    ordered = sorted(drafts, key=lambda draft: draft.line)
    for _, group in groupby(ordered, key=lambda draft: draft.line):
        row = list(group)
        found.extend(_dose(row))
        found.extend(_more_than_it_holds(row))
        found.extend(_strength(row))
    found.extend(_two_scales(ordered))
    if facts.gallon and answers.of("gallon"):
        found.extend(_other_gallon(ordered, facts.gallon))
    return tuple(found)


def _same_rows(sheet: Sheet) -> Iterator[Caution]:
    """Say which rows stand there twice: two entries alike, or one copied."""
    first: dict[str, int] = {}
    for row in sheet.rows:
        if row.text in first:
            text = f"the same as line {first[row.text]}, cell for cell; both are read"
            yield Caution(row.line, row.cells[0].strip(), text)
        first.setdefault(row.text, row.line)


def _two_starts(drafts: Sequence[Draft]) -> Iterator[Caution]:
    """Say where one batch has two starts: perhaps two batches of one name."""
    for draft in drafts:
        for note in draft.notes:
            if draft.file == "batches" and re.match(r"line [0-9]+ says started_on:", note):
                text = f"{note}: are these two batches of one name?"
                yield Caution(draft.line, draft.batch_id, text)


def _dose(row: Sequence[Draft]) -> Iterator[Caution]:
    """Warn of a dose beyond the usual ceilings, worked out with the row's own volume."""
    spans = [volume_span(draft.cells.get("volume", "")) for draft in row]
    volume = next((span for span in spans if span is not None), None)
    for draft in row:
        if draft.file != "additions" or draft.cells.get("kind") not in _DOSED:
            continue
        grams = _grams(draft)
        if grams is None:
            continue
        if volume is None:
            if draft.cells["kind"] == "sulphite":
                yield Caution(
                    draft.line,
                    draft.batch_id,
                    "no volume stands beside this sulphite, so its dose cannot be worked out; the "
                    "volume of another row is not taken for it",
                )
            continue
        yield from _DOSED[draft.cells["kind"]](draft, grams, volume)


def _grams(draft: Draft) -> Span | None:
    amount = _text_of(draft, "amount")
    if re.search(r"tab", amount) and (count := re.match(r"[0-9]+(?:\.[0-9]+)?", amount)):
        return _TABLET_G.times(float(count[0]))
    return dose_span(amount, draft.cells.get("ingredient", ""), draft.cells.get("kind", ""))


def _text_of(draft: Draft, column: str) -> str:
    """Return a cell as it would be written, or as it stands in the sheet if it is held."""
    return draft.cells.get(column) or draft.held.get(column, "")


def _sulphite(draft: Draft, grams: Span, volume: Span) -> Iterator[Caution]:
    name = draft.cells.get("ingredient", "")
    potassium = SO2_PER_GRAM["potassium metabisulphite"]
    sodium = SO2_PER_GRAM["sodium metabisulphite"]
    share = Span(potassium, sodium)
    if "not known" not in name:
        is_sodium = re.match(r"na\b|sodium", name) is not None
        share = Span(sodium, sodium) if is_sodium else Span(potassium, potassium)
    so2 = grams.over(volume).both(share).times(1e3)
    if so2.high > SINGLE_DOSE_CAUTION_MG_L:
        yield Caution(
            draft.line,
            draft.batch_id,
            f"STOP: this sulphite is {so2.text()} mg/L sulphur dioxide in one dose; more than "
            f"{SINGLE_DOSE_CAUTION_MG_L:g} mg/L at once (common practice) is almost always a slip "
            "of the spoon or of the volume, and sulphite can set off asthma",
            is_blocking=True,
        )


def _sorbate(draft: Draft, grams: Span, volume: Span) -> Iterator[Caution]:
    sorbic = grams.over(volume).times(1e3 * SORBIC_PER_SORBATE)
    ceiling = limit("sorbic acid oiv")
    if sorbic.high >= 0.95 * ceiling.value:
        yield Caution(
            draft.line,
            draft.batch_id,
            f"{sorbic.text()} mg/L sorbic acid; the usual ceiling is {ceiling.sentence()}",
        )


def _nutrient(draft: Draft, grams: Span, volume: Span) -> Iterator[Caution]:
    name = draft.cells.get("ingredient", "")
    if re.search(r"\bdap\b|di ?-?ammonium", name) is None:
        return
    dose = grams.over(volume)
    if dose.high > _DAP_CEILING_G_L:
        nitrogen = dose.times(DAP_NITROGEN_MG_PER_G)
        yield Caution(
            draft.line,
            draft.batch_id,
            f"{dose.text(2)} g/L of diammonium phosphate ({nitrogen.text()} mg/L nitrogen) is "
            f"above {_DAP_CEILING_G_L} g/L, the usual ceiling (27 CFR 24.246, from memory); "
            "check the amount",
        )


_DOSED = {"sulphite": _sulphite, "sorbate": _sorbate, "nutrient": _nutrient}


def _more_than_it_holds(row: Sequence[Draft]) -> Iterator[Caution]:
    """Warn where water and sugar alone are more than the volume the row gives."""
    batch = next((draft for draft in row if draft.file == "batches"), None)
    if batch is None:
        return
    target = volume_span(_text_of(batch, "target_volume"))
    parts = {draft.cells.get("kind"): draft for draft in row if draft.file == "additions"}
    if target is None or "water" not in parts or "sugar" not in parts:
        return
    water_text = _text_of(parts["water"], "amount")
    water = volume_span(water_text)
    sugar = dose_span(_text_of(parts["sugar"], "amount"), "white sugar", "sugar")
    if water is None or sugar is None or water_text.startswith("to "):
        return
    total = water.low + _SUGAR_L_KG * sugar.low / 1e3
    if total > target.low * 1.02:
        yield Caution(
            batch.line,
            batch.batch_id,
            f"water and dissolved sugar alone are {total:.2f} L, more than the volume of "
            f"{target.low:.2f} L: both cannot hold; was the water made up *to* that mark?",
        )


def _strength(row: Sequence[Draft]) -> Iterator[Caution]:
    """Warn where the written strength and the one from the gravities disagree."""
    gravities = {draft.when: draft.cells.get("gravity", "").lstrip("~") for draft in row}
    notes = " ".join(note for draft in row for note in draft.notes)
    said = re.search(r"alcohol as written: ([0-9]+(?:\.[0-9]+)?) ?%?(?:;|$| )", notes + " ")
    start, end = _number(gravities.get("start")), _number(gravities.get("end"))
    if said is None or start is None or end is None or not end < start:
        return
    worked_out = float(alcohol_from_gravities(start, end))
    if abs(worked_out - float(said[1])) > _ALCOHOL_GAP:
        yield Caution(
            row[0].line,
            row[0].batch_id,
            f"{said[1]} % alcohol is written, and the gravities give {worked_out:.1f} %; the "
            "gravities count",
        )


def _number(text: str | None) -> float | None:
    return float(text) if text and re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", text) else None


def _two_scales(drafts: Sequence[Draft]) -> Iterator[Caution]:
    """Say where a held reading, read as Brix, agrees with a gravity of the same moment."""
    readings = [draft for draft in drafts if draft.file == "readings"]
    for held in readings:
        written = held.held.get("gravity", "")
        brix = _number(written)
        if brix is None or brix > 40:
            continue
        as_brix = float(gravity_from_brix(brix))
        for other in readings:
            value = _number(other.cells.get("gravity"))
            is_same = other.batch_id == held.batch_id and _moment(other) == _moment(held)
            if is_same and value is not None and abs(value - as_brix) <= 0.002:
                yield Caution(
                    held.line,
                    held.batch_id,
                    f"{written} Brix is {as_brix:.4f}, and line {other.line} of the same day says "
                    f"{value:.3f}: that supports Brix and does not prove it",
                )


def _moment(draft: Draft) -> str:
    days = [note for note in draft.notes if note.startswith("day ")]
    return draft.day or " ".join(days)


def _other_gallon(drafts: Sequence[Draft], gallon: str) -> Iterator[Caution]:
    """Say which rows name the other gallon than the answer: there the row counts."""
    other = re.compile(r"\bus\b" if gallon == "imperial" else r"\bimp", re.IGNORECASE)
    for line in dict.fromkeys(draft.line for draft in drafts):
        row = [draft for draft in drafts if draft.line == line]
        cells = [text for draft in row for text in draft.cells.values()]
        if any(other.search(text) and re.search(r"[0-9]", text) for text in cells):
            yield Caution(
                line,
                row[0].batch_id,
                f"the answer says {gallon} gallons, and this row names the other kind itself: here "
                "the row counts",
            )
