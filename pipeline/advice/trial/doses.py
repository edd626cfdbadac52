"""Splits by weight: a little more or less of one thing, or a thing left out of one arm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from pipeline.advice.amounts import Amount, resized
from pipeline.advice.edits import Edit
from pipeline.advice.trial.plan import Planned, Split
from pipeline.enology.limits import limit

PECTIC = "pectic enzyme (powder)"
# Doses where the logbook has none, within what the table of additives gives; common practice.
PECTIC_G_L, NUTRIENT_G_L = 0.35, 0.5
TANNIN_STEP_G_L, LEAST_TANNIN_G_L = 0.2, 0.1
ACID_STEP_G_L = 1.0
LEAST_ACIDITY_G_L = 5.0  # [as tartaric] under which no arm is taken; common practice, no source
LOAD_STEP_KG_L = 0.1
FRUIT_SIZES = (0.6, 0.75, 1.3, 1.5)
SUGAR_STEP_G_L = 17.0  # for 1 % vol: the yield that the models hold, rounded
_NO_ENZYME = {"kind": "other", "ingredient_key": None}  # an enzyme counts as used at any weight
_OF_A_LINE = ("line", "form", "skins", "ripeness", "removed_day", "amount_l", "cost", "notes")
WEAK = 10.5  # [% vol] under which no arm is made weaker; common practice, no source


def load_splits(planned: Planned) -> Iterator[Split]:
    """Return the splits of the fruit: about 0.1 kg/L less of it, and more."""
    fruit = [line for line in planned.fruit if line["amount_kg"]]
    if not fruit:
        return
    load = sum(line["amount_kg"] for line in fruit) / planned.target_l
    sizes = [s for s in FRUIT_SIZES if planned.experience.has("fruit_load_kg_l", s * load)]
    for side in ([s for s in sizes if s < 1], [s for s in sizes if s > 1]):
        if not side:
            continue
        size = min(side, key=lambda s: abs(abs(s - 1) * load - LOAD_STEP_KG_L))
        edits = [_resized(line, size * line["amount_kg"]) for line in fruit]
        changed = tuple(edit for edit in edits if edit is not None)
        if len(changed) == len(fruit):
            labels = (_weights(e.before for e in changed), _weights(e.after for e in changed))
            yield Split("fruit_load", "fruit", labels, (), changed)


def _weights(texts: Iterator[str]) -> str:
    return f"{' and '.join(texts)} of fruit"


def enzyme_splits(planned: Planned) -> Iterator[Split]:
    """Return the split with pectic enzyme and without."""
    lines = [line for line in planned.of_kind("enzyme") if line["ingredient_key"] == PECTIC]
    if lines:
        out = tuple(_left_out(line, **_NO_ENZYME) for line in lines)
        yield Split("enzyme", "fruit", ("pectic enzyme", "no pectic enzyme"), (), out)
        return
    name = planned.often_called(PECTIC, "pectic enzyme")
    edit = _added(planned, "enzyme", name, PECTIC, PECTIC_G_L)
    yield Split("enzyme", "fruit", ("no pectic enzyme", "pectic enzyme"), (), (edit,))


def tannin_splits(planned: Planned) -> Iterator[Split]:
    """Return the split with tannin powder and without, or with more of a little."""
    lines, key = planned.of_kind("tannin"), "wine tannin (grape/oak)"
    if any(line["amount_kg"] is None for line in lines):
        return
    now = _grams(lines) / planned.target_l
    if now >= LEAST_TANNIN_G_L:
        out = tuple(_left_out(line) for line in lines)
        amounts = " and ".join(line["amount"] for line in lines)
        yield Split("tannin_added", "must", (f"{amounts} of tannin", "no tannin added"), (), out)
        return
    edit = _added(
        planned, "tannin", planned.often_called(key, "grape tannin"), key, TANNIN_STEP_G_L
    )
    labels = ("as the recipe says" if lines else "no tannin added", f"{edit.after} of tannin added")
    yield Split("tannin_added", "must", labels, (), (edit,))


def acid_splits(planned: Planned) -> Iterator[Split]:
    """Return the splits by 1 g/L of acid: more, and less where enough is left to keep it sound."""
    step = ACID_STEP_G_L * planned.target_l / 1000
    largest = max(planned.of_kind("acid"), key=lambda line: line["amount_kg"] or 0.0, default=None)
    if largest is None:
        key = "tartaric acid"
        more = _added(planned, "acid", planned.often_called(key, key), key, ACID_STEP_G_L)
        labels = ("no acid added", f"{more.after} of acid")
        yield Split("acidity", "must", labels, (), (more,))
        return
    weight = largest["amount_kg"] or 0.0
    edits = [_resized(largest, weight + step)]
    if planned.acidity - ACID_STEP_G_L >= LEAST_ACIDITY_G_L:
        none_left = weight - step < 0.2 * weight
        edits.append(_left_out(largest) if none_left else _resized(largest, weight - step))
    for edit in edits:
        if edit is not None:
            there = f"{edit.after} of acid" if edit.after else "no acid added"
            yield Split("acidity", "must", (f"{edit.before} of acid", there), (), (edit,))


def nutrient_splits(planned: Planned) -> Iterator[Split]:
    """Return the split with more nutrient, within the limit of ammonium phosphate."""
    lines = [line for line in planned.of_kind("nutrient") if line["amount_kg"]]
    room = limit("ammonium phosphate us").value - planned.phosphate_g_l
    if not lines:
        key = "diammonium phosphate (DAP)"
        name = planned.often_called(key, "diammonium phosphate")
        edit = _added(planned, "nutrient", name, key, min(NUTRIENT_G_L, room))
        yield Split(
            "nitrogen_shortfall", "must", ("no nutrient", f"{edit.after} of nutrient"), (), (edit,)
        )
        return
    line = lines[0]
    for size in (2.0, 1.5):
        more = _resized(line, size * line["amount_kg"])
        extra_g_l = 0.0 if more is None else 1000 * (more.after_si or 0.0) - _grams([line])
        if more is not None and 0 < extra_g_l / planned.target_l <= room:
            labels = (f"{more.before} of nutrient", f"{more.after} of nutrient")
            yield Split("nitrogen_shortfall", "must", labels, (), (more,))
            return


def sugar_splits(planned: Planned) -> Iterator[Split]:
    """Return the splits by 1 % vol of strength: stronger, and weaker where it is not weak."""
    lines = [line for line in planned.of_kind("sugar") if line["amount_kg"]]
    if not lines:
        return
    line = max(lines, key=lambda line: line["amount_kg"])
    step = SUGAR_STEP_G_L * planned.target_l / 1000
    steps = (step,) if planned.alcohol < WEAK else (step, -step)
    for wanted in (line["amount_kg"] + change for change in steps):
        edit = _resized(line, wanted) if wanted > 0.2 * line["amount_kg"] else None
        if edit is not None and edit.after != edit.before:
            labels = (f"{edit.before} of sugar", f"{edit.after} of sugar")
            yield Split("alcohol", "must", labels, (), (edit,))


def _grams(lines: list[dict[str, Any]]) -> float:
    return 1000 * sum(line["amount_kg"] or 0.0 for line in lines)


def _resized(line: dict[str, Any], wanted_kg: float) -> Edit | None:
    """Return the edit to about so much, as the maker writes amounts; None if it cannot be."""
    amount: Amount | None = None
    if line["amount_kg"] and wanted_kg > 0:
        amount = resized(line["amount"], line["amount_kg"], wanted_kg)
    if amount is None:
        return None
    cells = {"amount_kg": amount.si, "amount": amount.text}
    edit = _of(line, amount.text, amount.si)
    return replace(edit, cells=cells)


def _left_out(line: dict[str, Any], **cells: Any) -> Edit:
    return replace(_of(line, "", 0.0), cells={"amount_kg": 0.0, "amount": "", **cells})


def _of(line: dict[str, Any], after: str, after_si: float) -> Edit:
    return Edit(
        line["line"], line["kind"], line["ingredient"], "amount", line["amount"], after, after_si
    )


def _added(planned: Planned, kind: str, ingredient: str, key: str, grams_l: float) -> Edit:
    """Return a new line of so many grams per litre, in steps of half a gram."""
    grams = max(0.5 * round(2 * grams_l * planned.target_l), 0.5)
    yeast_day = min((line["day"] for line in planned.of_kind("yeast")), default=0.0)
    row = planned.lines[0] | {
        **dict.fromkeys(_OF_A_LINE),
        "kind": kind,
        "ingredient": ingredient,
        "ingredient_key": key,
        "amount": f"{grams:g} g",
        "day": yeast_day if kind == "nutrient" else 0.0,
        "is_to_mark": False,
        "is_frozen": False,
        "amount_kg": grams / 1000,
        "amount_error": 0.0,
    }
    return Edit(None, kind, ingredient, "amount", "", row["amount"], grams / 1000, row=row)
