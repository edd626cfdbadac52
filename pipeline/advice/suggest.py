"""Adjustments to a recipe: up to three changes worth more than noise, each with its effect."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.cautions import CAUTIONS
from pipeline.advice.edits import Edit, apply_edits, possible_edits
from pipeline.advice.experience import experience_of
from pipeline.advice.fit import untrusted
from pipeline.advice.predict import planned, predict
from pipeline.cellar import Cellar
from pipeline.cellar.plan import PlannedMusts, plan_musts
from pipeline.enology.limits import limit
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate
from pipeline.learning.forecast import Forecast, forecast

MOST_CHANGES = 3
FULL = 0.95  # finished share of the target that counts as a full vessel
SHORT_COSTS = 20.0  # [points] that an empty vessel would cost; 5 % short weighs as one point
WORTH_A_CHANGE = 0.2  # [points of 20] under which no one would notice; common practice, no source
SURE_ENOUGH = 1.28  # standard deviations: nine chances in ten that the change is for the better
STRENGTH_MAY_MOVE = 1.0  # [% vol] from the recipe's own, which the maker chose
PAIRED, TRIPLED = 12, 8  # best single changes that are tried together
EFFECTS = ("alcohol", "residual_sugar", "harshness", "score")
FELT = {"alcohol": 0.1, "residual_sugar": 1.0, "harshness": 0.05}  # smaller goes unsaid


@dataclass(frozen=True)
class Tried:
    """Recipes tried out: the base first, then one for each set of edits."""

    sets: list[tuple[Edit, ...]]
    plans: PlannedMusts
    forecast: Forecast
    utility: np.ndarray
    sd: np.ndarray
    is_allowed: np.ndarray


def answer(cellar: Cellar, models: Models, recipe: str) -> dict[str, Any]:
    """Suggest up to three changes to a planned recipe.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        Name as in recipes.csv.

    Returns
    -------
    dict
        The machine form of `hedgerow suggest`; no changes where nothing is better than noise.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe.
    """
    planned(cellar, [recipe])
    refusal = untrusted(cellar, models).get("score")
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    experience = experience_of(cellar.table("batches"), cellar.table("must_lines"))
    edits = possible_edits(lines, experience)
    singles = _try(cellar, models, lines, [(edit,) for edit in edits])
    together = _try(cellar, models, lines, _sets(singles))
    best = 0 if refusal else _best(together)
    changes = together.sets[best] if best else ()
    return {
        "recipe": recipe,
        **_before_and_after(cellar, models, lines, changes),
        "changes": [_change(cellar, models, lines, edit) for edit in changes],
        "not_changed": [{"what": "the recipe", "why": refusal}]
        if refusal
        else _not_changed(singles, changes),
        "cautions": _cautions(changes),
    }


def _try(
    cellar: Cellar, models: Models, lines: pl.DataFrame, sets: list[tuple[Edit, ...]]
) -> Tried:
    sets = [(), *sets]
    every = [apply_edits(lines, edits, f"{number:05d}") for number, edits in enumerate(sets)]
    plans = plan_musts(pl.concat(every), float(cellar.settings()["bottle_l"]))
    expected = forecast(models, plans.musts, plans.must_fruits)
    utility, sd = _utility(expected, float(cellar.settings()["score_out_of"]))
    return Tried(sets, plans, expected, utility, sd, _allowed(plans.musts, expected))


def _utility(expected: Forecast, out_of: float) -> tuple[np.ndarray, np.ndarray]:
    """Return score less what a vessel short of full costs, and the spread of its gain over base."""
    score, share = expected["score"], expected["finished_fraction"]
    short = np.maximum(FULL - share.mean, 0.0)
    utility = score.mean - SHORT_COSTS * out_of / 20.0 * short
    gains = [score.change(0, row) for row in range(score.mean.size)]
    sd = np.array([np.nan if gain is None else _sd(gain) for gain in gains])
    return utility, sd


def _sd(estimate: Estimate) -> float:
    return (estimate.high - estimate.low) / (2 * 1.645)


def _allowed(musts: pl.DataFrame, expected: Forecast) -> np.ndarray:
    """Tell which recipes keep a full vessel full, the strength about as it was, and the limits."""
    share, strength = expected["finished_fraction"].mean, expected["alcohol"].mean
    phosphate = musts["ammonium_phosphate_g_l"].fill_null(0).to_numpy()
    ceiling = max(limit("ammonium phosphate us").value, float(phosphate[0]))
    is_full = share >= min(FULL, float(share[0])) - 0.005
    is_as_strong = np.abs(strength - strength[0]) <= STRENGTH_MAY_MOVE
    return np.asarray(is_full & is_as_strong & (phosphate <= ceiling + 1e-9))


def _sets(singles: Tried) -> list[tuple[Edit, ...]]:
    """Return the singles, and the best of them in pairs and triples."""
    order = np.argsort(-np.nan_to_num(singles.utility, nan=-np.inf))
    ranked = [
        singles.sets[row] for row in order if row and singles.utility[row] > singles.utility[0]
    ]
    best = [edits[0] for edits in ranked]
    found: list[tuple[Edit, ...]] = [(edit,) for edit in best]
    for size, count in ((2, PAIRED), (MOST_CHANGES, TRIPLED)):
        found += [
            edits
            for edits in combinations(best[:count], size)
            if len({edit.place for edit in edits}) == size
        ]
    return found


def _best(tried: Tried) -> int:
    """Return the set worth making, the base (0) where none is; every change must earn its place."""
    gain = tried.utility - tried.utility[0]
    worth = gain - WORTH_A_CHANGE * np.array([len(edits) for edits in tried.sets])
    sure = gain >= SURE_ENOUGH * tried.sd
    worth = np.where(tried.is_allowed & sure & np.isfinite(worth), worth, -np.inf)
    worth[0] = 0.0
    return int(np.argmax(worth))


def _before_and_after(
    cellar: Cellar, models: Models, lines: pl.DataFrame, changes: tuple[Edit, ...]
) -> dict[str, Any]:
    name = lines["recipe"][0]
    both = pl.concat(
        [apply_edits(lines, (), name), apply_edits(lines, changes, f"{name}, changed")]
    )
    plans = plan_musts(both, float(cellar.settings()["bottle_l"]))
    before, after = predict(cellar, models, plans, both)
    return {"before": before, "after": after}


def _change(cellar: Cellar, models: Models, lines: pl.DataFrame, edit: Edit) -> dict[str, Any]:
    tried = _try(cellar, models, lines, [(edit,)])
    effect = {name: tried.forecast[name].change(0, 1) for name in EFFECTS}
    effect = {name: found for name, found in effect.items() if _is_felt(name, found)}
    share = tried.forecast["finished_fraction"].change(0, 1)
    target = tried.plans.musts["target_volume_l"][0]
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
    for row, edits in enumerate(singles.sets[1:], start=1):
        if edits[0].place in made or not np.isfinite(singles.utility[row]):
            continue
        kind = (edits[0].kind, edits[0].field)
        if kind not in best or singles.utility[row] > singles.utility[best[kind]]:
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
    gain = float(tried.utility[row] - tried.utility[0])
    if gain <= WORTH_A_CHANGE:
        return "no better than as it is"
    if not tried.is_allowed[row]:
        return "the vessel would be less full, or the wine stronger or weaker than you chose"
    if gain < SURE_ENOUGH * tried.sd[row]:
        return f"perhaps {gain:.1f} points better, but your batches cannot tell that from chance"
    return "the changes above bring more"


def _cautions(changes: tuple[Edit, ...]) -> list[str]:
    triggers = []
    if any(edit.field == "sweeten_to" and (edit.after_si or 0) > 0 for edit in changes):
        triggers = ["bottle_pressure", "sulphite", "sorbate"]
    return [CAUTIONS[name].as_text() for name in triggers]
