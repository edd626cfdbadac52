"""The split batch of a recipe that would teach most, how to run it, what earlier ones settled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl

from pipeline.advice.cautions import cautions_due
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.experience import experience_of
from pipeline.advice.fit import untrusted
from pipeline.advice.predict import planned
from pipeline.advice.trial.arms import possible_splits
from pipeline.advice.trial.parts import arms_of, considered, learns, names_of, told_apart
from pipeline.advice.trial.plan import Planned, Split, usual_of
from pipeline.advice.trial.run import blind_sheet, how_to, log_as, tastings
from pipeline.advice.trial.settling import settled
from pipeline.advice.trial.weighing import Choice, Weighed, sets_together, weigh
from pipeline.advice.trial.words import NOTHING_TO_SPLIT, why_cannot, why_chosen
from pipeline.cellar import Cellar
from pipeline.cellar.plan import PlannedMusts
from pipeline.errors import HedgerowError
from pipeline.learning import Models
from pipeline.learning.estimate import Doubt
from pipeline.learning.explain.doubts import shared_doubts
from pipeline.learning.explain.factors import BY_NAME
from pipeline.learning.forecast import forecast
from pipeline.learning.taste import FEWEST_BATCHES
from pipeline.learning.trial import answer_fit, answered

USUAL_TARGET_L = 4.5  # [L] a gallon jar, where neither recipe nor logbook says; common practice
SEED = 1
MOST_TASTERS = 200


def answer(
    cellar: Cellar,
    models: Models,
    recipe: str,
    *,
    tasters: int | None = None,
    seed: int = SEED,
    pair: Sequence[str] = (),
) -> dict[str, Any]:
    """Choose the split batch of a planned recipe that would teach most.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    recipe : str
        Name as in recipes.csv.
    tasters : int, optional
        Who will mark both arms, 1 to 200; all of the logbook's if left out.
    seed : int
        Of the blind order.
    pair : sequence of str, optional
        Two batches that were the arms, to be judged whatever they are called.

    Returns
    -------
    dict
        ``recipe``, ``arms``, ``learns``, ``why`` as `hedgerow trial` prints them (no arms where the
        logbook cannot say), and beside them ``purpose``, ``factor``, ``split``, ``considered``,
        ``confounded``, ``how``, ``tastings``, ``sheet``, ``log_as``, ``settled``, ``doubts``,
        ``cautions``, ``next_step``.

    Raises
    ------
    UnknownNameError
        If recipes.csv has no such recipe, or the logbook no such batch.
    HedgerowError
        If the number of tasters is impossible.
    """
    plans = planned(cellar, [recipe])
    if tasters is not None and not 1 <= tasters <= MOST_TASTERS:
        raise HedgerowError(f"--tasters must be between 1 and {MOST_TASTERS}, got {tasters}.")
    earlier = settled(cellar, models, recipe, pair)
    purpose = answered(models.taste)
    if purpose is None or models.taste.batches < FEWEST_BATCHES:
        return _nothing(recipe, why_cannot(models.taste), purpose) | {"settled": earlier}
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    splits = possible_splits(_read(cellar, models, lines, plans))
    count = tasters or usual_tasters(models, purpose)
    bottle_l = float(cellar.settings()["bottle_l"])
    choice = weigh(models, lines, splits, bottle_l, purpose, count)
    if choice.chosen is None:
        return _nothing(recipe, NOTHING_TO_SPLIT, purpose) | {"settled": earlier}
    return _told(cellar, models, plans, lines, choice, (purpose, count, seed)) | {
        "settled": earlier
    }


def usual_tasters(models: Models, purpose: str) -> int:
    """Return how many people taste for this logbook."""
    tasters = answer_fit(models.taste, purpose).tasters
    return 1 if tasters is None else max(len(tasters.names), 1)


def _read(cellar: Cellar, models: Models, lines: pl.DataFrame, plans: PlannedMusts) -> Planned:
    """Describe the recipe by what its splits depend on."""
    must, batches = plans.musts.row(0, named=True), cellar.table("batches")
    expected = forecast(models, plans.musts, plans.must_fruits)
    additions, usual = cellar.table("must_lines"), usual_of(batches)
    target = must["target_volume_l"] or must["to_mark_l"] or usual.get("target_volume_l")
    return Planned(
        lines=lines.to_dicts(),
        target_l=target or USUAL_TARGET_L,
        acidity=float(expected["acidity"].mean[0]),
        alcohol=float(expected["alcohol"].mean[0]),
        sugar_g_l=float(expected["residual_sugar"].mean[0]),
        phosphate_g_l=must["ammonium_phosphate_g_l"] or 0.0,
        usual=usual,
        experience=experience_of(batches, additions),
        additions=additions.filter(~pl.col("is_planned")),
    )


def _nothing(recipe: str, why: str, purpose: str | None) -> dict[str, Any]:
    """Return the answer that no split can be chosen, with the reason."""
    return {
        "recipe": recipe,
        "arms": [],
        "learns": [],
        "why": why,
        "purpose": purpose,
        **dict.fromkeys(("factor", "split", "tastings", "sheet", "log_as", "next_step")),
        **{name: [] for name in ("considered", "confounded", "how", "doubts", "cautions")},
    }


def _told(
    cellar: Cellar,
    models: Models,
    plans: PlannedMusts,
    lines: pl.DataFrame,
    choice: Choice,
    about: tuple[str, int, int],
) -> dict[str, Any]:
    purpose, tasters, seed = about
    chosen = choice.weighed[0]
    sets = sets_together(models, choice)
    recipe, split = lines["recipe"][0], chosen.split
    names = names_of(split)
    taken = set(cellar.table("batches")["batch_id"])
    return {
        "recipe": recipe,
        "arms": arms_of(split),
        "learns": learns(choice, chosen, tasters),
        "why": why_chosen(choice, chosen, purpose, tasters),
        "purpose": purpose,
        "factor": split.factor,
        "split": split.way,
        "considered": [considered(one) for one in choice.weighed],
        "confounded": [told_apart(choice, group) for group in sets],
        "how": how_to(split),
        "tastings": tastings(choice, chosen, tasters),
        "sheet": blind_sheet(names, tasters, seed),
        "log_as": log_as(recipe, split, taken),
        "doubts": [d.as_dict() for d in _doubts(cellar, models, chosen, purpose, sets)],
        "cautions": [c.as_dict() for c in cautions_due(_circumstances(plans, lines, split))],
        "next_step": _next_step(split),
    }


def _doubts(
    cellar: Cellar, models: Models, chosen: Weighed, purpose: str, sets: list[list[str]]
) -> list[Doubt]:
    found = shared_doubts(models.taste, BY_NAME[chosen.split.factor], sets)
    refusal = untrusted(cellar, models).get(purpose)
    return [*found, Doubt("few_batches", refusal)] if refusal else found


def _circumstances(plans: PlannedMusts, lines: pl.DataFrame, split: Split) -> Circumstances:
    """Return what somebody will handle who makes both arms and tastes them."""
    fruits, must = plans.must_fruits, plans.musts.row(0, named=True)
    added = {edit.kind for edit in (*split.base, *split.other) if edit.row is not None}
    sugar = next((edit.after_si for edit in split.other if edit.field == "sweeten_to"), None)
    return Circumstances(
        fruits=set(fruits["fruit"]),
        has_stone_fruit=bool(fruits["is_stone_fruit"].any()),
        extraction=must["extraction"],
        kinds=set(lines["kind"]) | added,
        ripeness=set(lines["ripeness"].drop_nulls()),
        sugar_g_l=must["sweeten_to_g_l"] if sugar is None else sugar,
        steps=("drink",) if split.way == "glass" else ("ferment", "pulp", "jar", "drink"),
    )


def _next_step(split: Split) -> str:
    if split.way == "glass":
        return "Ask who will taste, print the sheet, and let somebody who does not taste pour."
    return "Find two vessels of one kind, and write both batches into the logbook the same day."
