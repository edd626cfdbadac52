"""What changing a planned recipe truly does: the same changes made to the simulator's own plans.

All changes of one recipe are brewed under the same luck, draw by draw, so that what tells two of
them apart is the change and not the day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from makers.brew import brew
from makers.catalogue import FORMS
from makers.maker import Maker
from makers.plans import Plans
from makers.taste import harshness, score
from makers.world import Floats, World

_POWDERS = {
    "acid": "acid_g",
    "tannin": "tannin_g",
    "nutrient": "nutrient_g",
    "sulphite": "sulphite_g",
}
_ADDED = _POWDERS | {"enzyme": "pectic_g"}


class Change(Protocol):
    """One change to a recipe, as `pipeline.advice.edits.Edit` is."""

    line: int | None
    kind: str
    field: str
    after: str
    after_si: float | None
    cells: dict[str, Any]
    row: dict[str, Any] | None


class SameLuck:
    """A generator whose draws are the same for every row."""

    def __init__(self, seed: int) -> None:
        self._rng = np.random.default_rng(seed)

    def __getattr__(self, name: str) -> Any:
        drawn = getattr(self._rng, name)

        def alike(*about: Any, size: Any = None) -> Floats:
            *numbers, last = about if size is None else (*about, size)
            rows, *rest = last if isinstance(last, tuple) else (last,)
            one = drawn(*numbers, size=(1, *rest))
            return np.repeat(one, rows, axis=0)

        return alike


@dataclass(frozen=True)
class Outcome:
    """What recipes truly come to on average; one entry each."""

    score: Floats
    finished_fraction: Floats
    alcohol: Floats
    bottled_l: Floats
    residual_sugar: Floats
    harshness: Floats


def true_outcome(plans: Plans, world: World, draws: int = 30, seed: int = 0) -> Outcome:
    """Return the expectation of plans over so many realisations, the same luck for all.

    The score is the mean of one glass from each taster, batches that stick counted in. As in the
    maker's own truth, strength and sweetness are those of batches that do not stick. Harshness is
    an even-handed taster's.
    """
    tasters = world.tasters
    sums, unstuck = np.zeros((4, len(plans))), np.zeros(len(plans))
    of_unstuck = np.zeros((2, len(plans)))
    for draw in range(draws):
        run = brew(plans, world, SameLuck([seed, draw]))  # type: ignore[arg-type]
        plain = np.zeros(len(plans))
        drivers = run.drivers.changed(own_harsh=plain, own_score=plain)
        merit = score(drivers)
        marks = 13.0 + tasters.scale.mean() * (merit - 13.0) - tasters.severity.mean()
        done = ~run.wine.is_stuck
        unstuck += done
        of_unstuck += np.where(done, (run.bottled.alcohol, drivers.residual_sugar), 0.0)
        sums += (marks, run.finished_fraction, run.bottled.bottled_l, harshness(drivers))
    marks, share, bottled_l, rough = sums / draws
    strength, sugar = of_unstuck / np.maximum(unstuck, 1)
    return Outcome(marks, share, strength, bottled_l, sugar, rough)


def changed_plans(
    maker: Maker, recipe: str, lines: Sequence[dict[str, Any]], sets: Sequence[Sequence[Change]]
) -> Plans:
    """Return one plan for each set of changes to a planned recipe.

    Parameters
    ----------
    maker : Maker
    recipe : str
        Its name in recipes.csv.
    lines : sequence of dict
        The recipe's lines as the program read them (`staged_recipes`).
    sets : sequence of sequence of Change
    """
    row = maker.planned_recipes.index(recipe)
    plans = maker.planned.take(np.full(len(sets), row))
    mark = np.where(plans.made == 0, plans.target_l, np.nan)
    by_line = {line["line"]: line for line in lines}
    fruits = [line["line"] for line in lines if line["kind"] == "fruit"]
    for at, changes in enumerate(sets):
        for change in changes:
            line = by_line.get(change.line)
            if change.row is not None:
                _add(plans, at, change)
            elif line is None:
                _whole(plans, at, change, maker.world)
            elif change.kind == "fruit":
                _fruit(plans, at, fruits.index(change.line), change, line)
            elif change.kind == "water" and line["is_to_mark"]:
                mark[at] = change.after_si
            else:
                _amount(plans, at, change, line)
    # A mark other than the target is brewed as the water that it comes to.
    other = np.isfinite(mark) & (np.abs(mark / plans.target_l - 1) > 1e-6)
    filled = plans.fruit_kg.sum(axis=1) / 1.04 + 0.62 * plans.sugar_kg + 0.70 * plans.honey_kg
    water_l = np.maximum(mark - filled, 0.2 * plans.target_l)
    return plans.changed(
        made=np.where(other, 2, plans.made), water_l=np.where(other, water_l, plans.water_l)
    )


def _ratio(change: Change, line: dict[str, Any]) -> float:
    now = line["amount_kg"] if line["amount_kg"] is not None else line["amount_l"]
    assert now
    assert change.after_si is not None
    return change.after_si / now


def _amount(plans: Plans, at: int, change: Change, line: dict[str, Any]) -> None:
    column = {"water": "water_l", "honey": "honey_kg", **_ADDED}.get(change.kind)
    if "amylase" in line["ingredient"]:
        column = "amylase_g"
    if change.kind == "sugar":
        column = "feed_kg" if line["day"] > 0 else "sugar_kg"
    assert column is not None, change
    getattr(plans, column)[at] *= _ratio(change, line)


def _fruit(plans: Plans, at: int, part: int, change: Change, line: dict[str, Any]) -> None:
    if change.field == "amount":
        plans.fruit_kg[at, part] *= _ratio(change, line)
    elif change.field == "skins":
        plans.is_skins_on[at, part] = change.after == "on"
    elif change.field == "form":
        plans.form[at, part] = FORMS.index(change.cells["form"])
        plans.is_frozen[at, part] = change.cells["is_frozen"]
    elif change.field == "removed_day":
        # The simulator has one time for all fruit: it moves by the share that stays so long.
        assert change.after_si is not None
        share = plans.fruit_kg[at, part] / plans.fruit_kg[at].sum()
        plans.contact_days[at] += share * (change.after_si - line["removed_day"])
    else:
        raise AssertionError(change)


def _whole(plans: Plans, at: int, change: Change, world: World) -> None:
    if change.field == "yeast":
        names = [name.casefold() for name in world.yeasts.names]
        plans.yeast[at] = names.index(change.after.casefold())
    elif change.field == "sweeten_to":
        plans.sweeten_g_l[at] = change.after_si
    elif change.field == "target_volume":
        plans.target_l[at] = change.after_si
    elif change.field == "ferment_temperature":
        plans.must_temperature_c[at] = change.after_si
    else:
        raise AssertionError(change)


def _add(plans: Plans, at: int, change: Change) -> None:
    assert change.after_si is not None
    assert change.row is not None
    getattr(plans, _ADDED[change.kind])[at] += 1000 * change.after_si
    if change.kind == "acid":
        plans.is_tartaric[at] = "tartaric" in change.row["ingredient"]
