"""What a fruit, so much of it and so much water, will give: the planner of a vessel."""

from __future__ import annotations

from typing import Any

import numpy as np

from pipeline.advice.usual import (
    USUAL_TARGET_L,
    recipe_lines,
    usual_fruit,
    usual_sugar,
)
from pipeline.cellar import Cellar
from pipeline.cellar.plan import plan_musts
from pipeline.enology.fruit import vessel_for
from pipeline.learning import Models
from pipeline.learning.estimate import Estimate
from pipeline.learning.forecast import forecast_volume
from pipeline.learning.outcome import Outcome

WATERS = tuple(round(0.5 + 0.1 * step, 1) for step in range(11))  # [L/L of target] shown


def answer(
    cellar: Cellar, models: Models, fruit: str, fruit_kg: float, water_l: float, target_l: float
) -> dict[str, Any]:
    """Say how much wine a fruit load and a measure of water will give.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    fruit : str
        As the logbook's fruits are called; it is treated as this maker usually does.
    fruit_kg : float
        Its weight [kg].
    water_l : float
        Water beside the fruit [L].
    target_l : float
        Volume aimed at [L].

    Returns
    -------
    dict
        ``fruit``, ``target_l``, ``fruit_kg``, ``water_l``, ``sugar_kg`` (the usual), ``vessel_l``
        (smallest for the must with its fruit and foam), ``finished_volume`` (an estimate),
        ``finished_fraction`` (an estimate), ``chance_full`` (of at least the target), and ``curve``
        (``water_l``, ``finished_volume`` estimate) over other measures of water.
    """
    usual, sugar = usual_fruit(cellar, fruit), usual_sugar(cellar)
    # The models speak of shares of a target: every target is planned as the usual one.
    load, water = fruit_kg / target_l, water_l / target_l
    recipes = {
        str(number): [
            {"kind": "fruit", "amount_kg": load * USUAL_TARGET_L, **usual},
            {"kind": "sugar", "ingredient": "sugar", "amount_kg": sugar * USUAL_TARGET_L},
            {"kind": "water", "ingredient": "water", "amount_l": share * USUAL_TARGET_L},
        ]
        for number, share in enumerate((water, *WATERS))
    }
    plans = plan_musts(recipe_lines(cellar, recipes), float(cellar.settings()["bottle_l"]))
    row = {must: at for at, must in enumerate(plans.musts["must_id"])}
    outcome = forecast_volume(models, plans.musts, plans.must_fruits)
    must = plans.musts.row(row["0"], named=True)
    filled = sum(must[name] for name in ("water_l", "sugar_l", "fruit_displaced_l"))
    chosen = outcome.new_batch(row["0"])
    return {
        "fruit": fruit,
        "target_l": target_l,
        "fruit_kg": fruit_kg,
        "water_l": water_l,
        "sugar_kg": sugar * target_l,
        "vessel_l": float(vessel_for(filled * target_l / USUAL_TARGET_L)),
        "finished_volume": _litres(chosen, target_l),
        "finished_fraction": None if chosen is None else chosen.as_dict(),
        "chance_full": _chance_full(outcome, row["0"]),
        "curve": [
            {"water_l": share * target_l, "finished_volume": litres}
            for number, share in enumerate(WATERS, start=1)
            if (litres := _litres(outcome.new_batch(row[str(number)]), target_l)) is not None
        ],
    }


def _litres(share: Estimate | None, target_l: float) -> dict[str, Any] | None:
    if share is None:
        return None
    bounds = {name: getattr(share, name) * target_l for name in ("value", "low", "high")}
    return share.as_dict() | bounds | {"unit": "L"}


def _chance_full(outcome: Outcome, row: int) -> float | None:
    """Return the chance that a new batch gives the target or more."""
    chance = float(outcome.chance_above(1.0)[row])
    return chance if np.isfinite(chance) else None
