"""Adjustments to a recipe: up to three changes worth more than noise, each with its effect."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.cautions import cautions_due, first_of_each
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.edits import Edit
from pipeline.advice.edits.possible import possible_edits
from pipeline.advice.experience import experience_of
from pipeline.advice.fit import untrusted
from pipeline.advice.predict import planned, predictions
from pipeline.advice.suggest.reasons import as_change, not_changed, why
from pipeline.advice.suggest.searching import Asked, Found, Tried, search
from pipeline.advice.suggest.wanted import Wanted
from pipeline.advice.suggest.yardstick import SLACK
from pipeline.advice.vessel import smallest_vessel
from pipeline.cellar import Cellar
from pipeline.cellar.plan import PlannedMusts
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate
from pipeline.learning.forecast import forecast

EFFECTS = ("alcohol", "residual_sugar", "harshness", "score")
FELT = {"alcohol": 0.1, "residual_sugar": 1.0, "harshness": 0.05}  # smaller goes unsaid
FELT_SHARE = 0.005  # of the target; less goes unsaid


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
        Besides, ``chance_better`` (that all changes together are for the better), ``limits`` (what
        was held to, with whether it ``is_met`` and ``is_asked``), ``kept`` (what was not to be
        changed) and ``vessel_l`` (the smallest vessel for the changed must).

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    return answers(cellar, models, [recipe], wanted)[0]


def answers(
    cellar: Cellar, models: Models, recipes: Sequence[str], wanted: Wanted | None = None
) -> list[dict[str, Any]]:
    """Suggest changes to several planned recipes, each as `answer` does, in a fraction of the time.

    Raises
    ------
    UnknownNameError
        If recipes.csv does not have one of them.
    """
    wanted = wanted or Wanted()
    found = look(cellar, models, recipes, wanted)
    refusal = untrusted(cellar, models).get("score")
    rows = [0 if refusal else one.row for one in found]
    both = _before_and_after(cellar, models, recipes, found, rows)
    return [
        _answer(recipe, one, row, told, wanted, refusal)
        for recipe, one, row, told in zip(recipes, found, rows, both, strict=True)
    ]


def _answer(
    recipe: str,
    found: Found,
    row: int,
    both: dict[str, Any],
    wanted: Wanted,
    refusal: str | None,
) -> dict[str, Any]:
    changes = found.best.sets[row]
    return {
        "recipe": recipe,
        **both,
        "changes": [_change(found.singles, edit, changes) for edit in changes],
        "chance_better": float(found.best.chance[row]) if changes else None,
        "limits": _kept(found.best, row, wanted),
        "kept": sorted(wanted.keep),
        "vessel_l": smallest_vessel(found.best.plans.musts.row(row, named=True)),
        "not_changed": [{"what": "the recipe", "why": refusal}]
        if refusal
        else not_changed(found.singles, changes),
        "cautions": first_of_each([*both["after"]["cautions"], *_of_the_wish(wanted)]),
    }


def look(cellar: Cellar, models: Models, recipes: Sequence[str], wanted: Wanted) -> list[Found]:
    """Search planned recipes for changes worth making, whether the models are trusted or not.

    Raises
    ------
    UnknownNameError
        If recipes.csv does not have one of them.
    """
    planned(cellar, list(recipes))
    every = cellar.table("staged_recipes")
    experience = experience_of(cellar.table("batches"), cellar.table("must_lines"))
    asked = []
    for recipe in recipes:
        lines = every.filter(pl.col("recipe") == recipe)
        edits = possible_edits(lines, experience, cellar.settings()["decimal"] or ".")
        asked.append(Asked(lines, [edit for edit in edits if wanted.allows(edit)]))
    return search(cellar, models, asked, wanted)


def _before_and_after(
    cellar: Cellar,
    models: Models,
    recipes: Sequence[str],
    found: Sequence[Found],
    rows: Sequence[int],
) -> list[dict[str, Any]]:
    tried = [one.best for one in found]
    chosen = [
        one.plans.take([0, row] if row else [0]) for one, row in zip(tried, rows, strict=True)
    ]
    plans = PlannedMusts(
        pl.concat([one.musts for one in chosen]), pl.concat([one.must_fruits for one in chosen])
    )
    # Told as `predict` tells them, doubt about amounts included.
    expected = forecast(models, plans.musts, plans.must_fruits)
    told, base = [], 0
    for recipe, one, row in zip(recipes, tried, rows, strict=True):
        places = {recipe: base, f"{recipe}, changed": base + bool(row)}
        before, after = predictions(cellar, models, plans, expected, places, one.lines)
        told.append({"before": before, "after": after})
        base += 1 + bool(row)
    return told


def _change(singles: Tried, edit: Edit, changes: tuple[Edit, ...]) -> dict[str, Any]:
    row = singles.sets.index((edit,))
    effect = {
        name: found
        for name in EFFECTS
        if (found := singles.forecast[name].change(0, row)) is not None and _is_felt(name, found)
    }
    share = singles.forecast["finished_fraction"].change(0, row)
    target = float(singles.forecast.musts["target_l"][0])
    if share is not None and np.isfinite(target) and abs(share.value) > FELT_SHARE:
        effect["finished_volume"] = Estimate(
            share.value * target, share.low * target, share.high * target, "L", share.batches
        )
    return as_change(edit) | {
        "why": why(singles, edit, effect, changes),
        "effect": {name: found.as_dict() for name, found in effect.items()},
    }


def _is_felt(name: str, change: Estimate) -> bool:
    """Tell whether a change is large enough to be worth a word; the score always is."""
    return name == "score" or abs(change.value) >= FELT[name]


def _kept(tried: Tried, row: int, wanted: Wanted) -> list[dict[str, Any]]:
    """Return what was held to, whether asked for or by default, and whether it is met."""
    yardstick, found = tried.yardstick, tried.outcomes
    low, high = yardstick.strength
    limits: list[tuple[str, float | None, float | None, np.ndarray, bool]] = [
        ("alcohol", low, high, found.strength, wanted.strength is not None),
        ("finished_fraction", yardstick.full_needed, None, found.share, wanted.full is not None),
    ]
    if wanted.cost_per_bottle is not None:
        limits.append(
            ("cost_per_bottle", None, wanted.cost_per_bottle, found.cost_per_bottle, True)
        )
    return [
        {
            "measure": name,
            "low": least,
            "high": most,
            "value": float(values[row]),
            "is_met": bool((least or 0.0) <= values[row] + SLACK)
            and bool(values[row] <= (np.inf if most is None else most) + SLACK),
            "is_asked": is_asked,
        }
        for name, least, most, values, is_asked in limits
    ]


def _of_the_wish(wanted: Wanted) -> list[str]:
    """Return what must be said of what is wanted, whatever comes of it."""
    strongest = None if wanted.strength is None else wanted.strength[1]
    due = cautions_due(Circumstances(wanted_alcohol=strongest))
    return [caution.as_text() for caution in due]
