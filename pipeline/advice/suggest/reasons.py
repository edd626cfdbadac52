"""Why a change is suggested, and why others are not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.searching import SURE_ENOUGH, WORTH_AT_ALL, Tried
from pipeline.advice.suggest.yardstick import FULL, Wish
from pipeline.learning.estimate import Estimate

_FELT_STRENGTH = 0.4  # [% vol] that changes must move it by, for one to bring it back
_MISSED: dict[Wish, str] = {
    "full": "the vessel would be less full",
    "weaker": "the wine would be weaker than you want it",
    "stronger": "the wine would be stronger than you want it",
    "cost": "a bottle would cost more than you want to pay",
    "nutrient": "that is more phosphate than the usual legal ceiling",
}


def as_change(edit: Edit) -> dict[str, Any]:
    """Return an edit as answers print it, without what it does."""
    return {
        "line": edit.line,
        "kind": edit.kind,
        "ingredient": edit.ingredient,
        "field": edit.field,
        "from": edit.before,
        "to": edit.after,
        "to_si": edit.after_si,
    }


def why(singles: Tried, edit: Edit, effect: dict[str, Estimate], changes: Sequence[Edit]) -> str:
    """Say what a change is for, from what it does alone and from what the others do.

    Parameters
    ----------
    singles : Tried
        The single changes.
    edit : Edit
        The change.
    effect : dict of str to Estimate
        What it does alone.
    changes : sequence of Edit
        All that are suggested, this one among them.
    """
    harsh, volume = effect.get("harshness"), effect.get("finished_volume")
    parts = []
    if harsh is not None and harsh.high < 0:
        parts.append("your batches say it tastes less harsh")
    if volume is not None and volume.low > 0:
        is_short = singles.outcomes.share[0] < FULL
        parts.append("it fills more of the vessel" if is_short else "it gives more wine")
    if not parts and _brings_strength_back(singles, edit, changes):
        parts.append("it keeps the strength where you want it")
    score = effect.get("score")
    if not parts and score is not None and score.value > 0:
        parts.append("your batches made so scored better")
    return " and ".join(parts) or "it goes with the other changes"


def _brings_strength_back(singles: Tried, edit: Edit, changes: Sequence[Edit]) -> bool:
    """Tell whether a change moves the strength against what the others do to it."""
    strength = singles.outcomes.strength
    moved = {one: strength[singles.sets.index((one,))] - strength[0] for one in changes}
    others = sum(move for one, move in moved.items() if one is not edit)
    is_felt = min(abs(others), abs(moved[edit])) > _FELT_STRENGTH
    return bool(is_felt and moved[edit] * others < 0)


def not_changed(singles: Tried, changes: Sequence[Edit]) -> list[dict[str, Any]]:
    """Return what else was tried, the best of each kind, and why it was left alone.

    Parameters
    ----------
    singles : Tried
        The single changes.
    changes : sequence of Edit
        Those that are suggested.
    """
    made = {edit.place for edit in changes}
    best: dict[tuple[str, str], int] = {}
    for row, edits in enumerate(singles.sets):
        if len(edits) != 1 or edits[0].place in made or not np.isfinite(singles.worth[row]):
            continue
        kind = (edits[0].kind, edits[0].field)
        if kind not in best or singles.worth[row] > singles.worth[best[kind]]:
            best[kind] = row
    return [
        {
            "what": _named(singles.sets[row][0]),
            "why": _why_not(singles, row, is_alone=not changes),
            "change": as_change(singles.sets[row][0]),
        }
        for row in best.values()
    ]


def _named(edit: Edit) -> str:
    thing = edit.ingredient or ("" if edit.kind in ("recipe", edit.field) else edit.kind)
    field = "" if edit.field == "amount" else edit.field.replace("_", " ")
    return " ".join(f"{thing} {field} {edit.before or 'none'} to {edit.after or 'none'}".split())


def _why_not(tried: Tried, row: int, *, is_alone: bool) -> str:
    points = tried.yardstick.out_of / 20.0
    gain = float(tried.gain[row])
    if gain <= WORTH_AT_ALL * points:
        return "no better than as it is"
    missed = [text for wish, text in _MISSED.items() if tried.missed[wish][row]]
    if missed:
        return " and ".join(missed)
    if not tried.keeps_taste[row]:
        return "it would fill the vessel more, but taste worse"
    if tried.chance[row] < SURE_ENOUGH:
        return f"perhaps {gain:.1f} points better, but your batches cannot tell that from chance"
    return "no better together with anything else" if is_alone else "the changes above bring more"
