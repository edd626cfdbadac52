"""Adjustments to a recipe: up to three changes worth more than noise, each with its effect."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.cautions import cautions_due, first_of_each
from pipeline.advice.circumstances import Circumstances
from pipeline.advice.edits import Edit
from pipeline.advice.edits_possible import possible_edits
from pipeline.advice.experience import experience_of
from pipeline.advice.fit import untrusted
from pipeline.advice.predict import planned, predictions
from pipeline.advice.search import SURE_ENOUGH, WORTH_AT_ALL, Found, Tried, search
from pipeline.advice.wanted import Wanted
from pipeline.cellar import Cellar
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate

EFFECTS = ("alcohol", "residual_sugar", "harshness", "score")
FELT = {"alcohol": 0.1, "residual_sugar": 1.0, "harshness": 0.05}  # smaller goes unsaid


def answer(
    cellar: Cellar, models: Models, recipe: str, wanted: Wanted | None = None
) -> dict[str, Any]:
    """Suggest up to three changes to a planned recipe.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        Name as in recipes.csv.
    wanted : Wanted, optional
        What the maker wants whatever is changed.

    Returns
    -------
    dict
        The machine form of `hedgerow suggest`; no changes where nothing is better than noise.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    wanted = wanted or Wanted()
    found = look(cellar, models, recipe, wanted)
    refusal = untrusted(cellar, models).get("score")
    row = 0 if refusal else found.row
    changes = found.best.sets[row]
    both = _before_and_after(cellar, models, recipe, found.best, row)
    return {
        "recipe": recipe,
        **both,
        "changes": [_change(found.singles, edit) for edit in changes],
        "chance_better": float(found.best.chance[row]) if changes else None,
        "not_changed": [{"what": "the recipe", "why": refusal}]
        if refusal
        else _not_changed(found.singles, changes),
        "cautions": first_of_each([*both["after"]["cautions"], *_of_the_wish(wanted)]),
    }


def look(cellar: Cellar, models: Models, recipe: str, wanted: Wanted) -> Found:
    """Search a planned recipe for changes worth making, whether the models are trusted or not.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    planned(cellar, [recipe])
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    experience = experience_of(cellar.table("batches"), cellar.table("must_lines"))
    edits = possible_edits(lines, experience, cellar.settings()["decimal"] or ".")
    return search(cellar, models, lines, [e for e in edits if wanted.allows(e)], wanted)


def _before_and_after(
    cellar: Cellar, models: Models, recipe: str, tried: Tried, best: int
) -> dict[str, Any]:
    rows = {recipe: 0, f"{recipe}, changed": best}
    before, after = predictions(cellar, models, tried.plans, tried.forecast, rows, tried.lines)
    return {"before": before, "after": after}


def _change(singles: Tried, edit: Edit) -> dict[str, Any]:
    row = singles.sets.index((edit,))
    effect = {name: singles.forecast[name].change(0, row) for name in EFFECTS}
    effect = {name: found for name, found in effect.items() if _is_felt(name, found)}
    share = singles.forecast["finished_fraction"].change(0, row)
    target = singles.plans.musts["target_volume_l"][0]
    if share is not None and target is not None and abs(share.value) > 0.005:
        effect["finished_volume"] = Estimate(
            share.value * target, share.low * target, share.high * target, "L", share.batches
        )
    return {
        "line": edit.line,
        "kind": edit.kind,
        "ingredient": edit.ingredient,
        "field": edit.field,
        "from": edit.before,
        "to": edit.after,
        "to_si": edit.after_si,
        "why": _why(effect),
        "effect": {name: found.as_dict() for name, found in effect.items() if found is not None},
    }


def _is_felt(name: str, change: Estimate | None) -> bool:
    """Tell whether a change is large enough to be worth a word; the score always is."""
    return change is not None and (name == "score" or abs(change.value) >= FELT[name])


def _why(effect: dict[str, Estimate | None]) -> str:
    """Say what the change is for, from its own effects."""
    score, harsh = effect.get("score"), effect.get("harshness")
    volume = effect.get("finished_volume")
    parts = []
    if harsh is not None and harsh.high < 0:
        parts.append("your batches say it tastes less harsh")
    if volume is not None and volume.low > 0:
        parts.append("it fills more of the vessel")
    if not parts and score is not None and score.value > 0:
        parts.append("your batches made so scored better")
    return " and ".join(parts) or "it goes with the other changes"


def _not_changed(singles: Tried, changes: tuple[Edit, ...]) -> list[dict[str, str]]:
    """Return what else was tried, best of its kind, and why it was left alone."""
    made = {edit.place for edit in changes}
    best: dict[tuple[str, str], int] = {}
    for row, edits in enumerate(singles.sets):
        if len(edits) != 1:
            continue
        if edits[0].place in made or not np.isfinite(singles.worth[row]):
            continue
        kind = (edits[0].kind, edits[0].field)
        if kind not in best or singles.worth[row] > singles.worth[best[kind]]:
            best[kind] = row
    return [
        {"what": _named(singles.sets[row][0]), "why": _reason(singles, row)}
        for row in best.values()
    ]


def _named(edit: Edit) -> str:
    thing = edit.ingredient or ("" if edit.kind in ("recipe", edit.field) else edit.kind)
    field = "" if edit.field == "amount" else edit.field.replace("_", " ")
    return " ".join(f"{thing} {field} {edit.before or 'none'} to {edit.after or 'none'}".split())


def _reason(tried: Tried, row: int) -> str:
    gain = float(tried.gain[row])
    if gain <= WORTH_AT_ALL:
        return "no better than as it is"
    if not tried.is_allowed[row]:
        return "the vessel would be less full, or the wine stronger or weaker than you chose"
    if tried.chance[row] < SURE_ENOUGH:
        return f"perhaps {gain:.1f} points better, but your batches cannot tell that from chance"
    return "the changes above bring more"


def _of_the_wish(wanted: Wanted) -> list[str]:
    """Return what must be said of what is wanted, whatever comes of it."""
    strongest = None if wanted.strength is None else wanted.strength[1]
    due = cautions_due(Circumstances(wanted_alcohol=strongest))
    return [caution.as_text() for caution in due]
