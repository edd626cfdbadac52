"""Which fruit loads fill the vessel: finished volume against load, per fruit and way of making."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.usual import (
    USUAL_TARGET_L,
    recipe_lines,
    usual_fruit,
    usual_sugar,
    usual_water,
)
from pipeline.cellar import Cellar
from pipeline.cellar.plan import plan_musts
from pipeline.counts import how_many
from pipeline.errors import UnknownNameError
from pipeline.learning import Models
from pipeline.learning.estimate import Doubt, estimate_from
from pipeline.learning.forecast import forecast_volume
from pipeline.learning.outcome import Outcome
from pipeline.learning.volume import litres_per_kg

FULL = 0.95  # expected finished share of the target from which a vessel counts as full
MADE = ("to_mark", "on_top", "as_logged")
LOADS = tuple(round(0.1 * step, 1) for step in range(1, 9))  # [kg/L of target]
WATERS = (0.7, 1.3)  # [L/L of target] between which the water for a full vessel is found
WATER_LOADS = (0.2, 0.3, 0.4, 0.5, 0.6)
FEWEST_BATCHES = 3
FEWEST_IN_ALL = 12


def answer(cellar: Cellar, models: Models, fruit: str | None = None) -> dict[str, Any]:
    """Answer which fruit loads give full volume.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    fruit : str, optional
        Only this one.

    Returns
    -------
    dict
        The machine form of `hedgerow volume`, the fruits of most batches first.

    Raises
    ------
    UnknownNameError
        If no batch of the logbook has that fruit.
    """
    counts = _counts(cellar)
    if fruit is not None and fruit not in counts:
        known = ", ".join(counts) or "none yet"
        raise UnknownNameError(
            f"No batch in this logbook has the fruit '{fruit}'. Its fruits: {known}."
        )
    fruits = list(counts) if fruit is None else [fruit]
    given = litres_per_kg(models.volume, models.musts)
    outcome, rows = _tried(cellar, models, fruits)
    return {
        "fruits": [
            _fruit(models, name, counts[name], given.get(name), outcome, rows) for name in fruits
        ]
    }


def _counts(cellar: Cellar) -> dict[str, int]:
    """Return the fruits of the logbook, most batches first."""
    logged = cellar.table("must_fruits").filter(~pl.col("is_planned"), pl.col("kg") > 0)
    counts = logged.group_by("fruit").len().sort(["len", "fruit"], descending=[True, False])
    return dict(counts.iter_rows())


def _tried(
    cellar: Cellar, models: Models, fruits: list[str]
) -> tuple[Outcome, dict[tuple[str, str, float], int]]:
    """Return the finished share of every fruit, way of making and load, and where each stands."""
    sugar = usual_sugar(cellar) * USUAL_TARGET_L
    recipes = {}
    for fruit in fruits:
        usual, water = usual_fruit(cellar, fruit), usual_water(cellar, fruit)
        cases = [(made, load) for made in MADE for load in LOADS]
        cases += [(f"water {share}", load) for share in WATERS for load in WATER_LOADS]
        for made, load in cases:
            recipes[f"{fruit}|{made}|{load}"] = [
                {"kind": "fruit", "amount_kg": load * USUAL_TARGET_L, **usual},
                {"kind": "sugar", "ingredient": "sugar", "amount_kg": sugar},
                _water(made, water),
            ]
    plans = plan_musts(recipe_lines(cellar, recipes), float(cellar.settings()["bottle_l"]))
    ids = plans.musts["must_id"].to_list()
    keys = [name.split("|") for name in ids]
    rows = {(fruit, made, float(load)): row for row, (fruit, made, load) in enumerate(keys)}
    return forecast_volume(models, plans.musts, plans.must_fruits), rows


def _water(made: str, usual_share: float) -> dict[str, Any]:
    share = {"to_mark": 1.0, "on_top": 1.0, "as_logged": usual_share}.get(made)
    if share is None:
        share = float(made.removeprefix("water "))
    return {
        "kind": "water",
        "ingredient": "water",
        "amount_l": share * USUAL_TARGET_L,
        "is_to_mark": made == "to_mark",
    }


def _fruit(
    models: Models,
    fruit: str,
    batches: int,
    given: tuple[float, float] | None,
    outcome: Outcome,
    rows: dict[tuple[str, str, float], int],
) -> dict[str, Any]:
    litres = None
    if given is not None:
        litres = estimate_from(*given, "L/kg", batches, models.volume.degrees)
    return {
        "fruit": fruit,
        "batches": batches,
        "litres_per_kg": None if litres is None else litres.as_dict(),
        "curve": [
            {"made": made, "fruit_load": load, "finished_fraction": found.as_dict()}
            for made in MADE
            for load in LOADS
            if (found := outcome.new_batch(rows[fruit, made, load])) is not None
        ],
        "full_volume": [_full(fruit, made, outcome, rows) for made in MADE],
        "water_for_full": [
            water
            for load in WATER_LOADS
            if (water := _water_for_full(fruit, load, outcome, rows)) is not None
        ],
        "doubts": [doubt.as_dict() for doubt in _doubts(models, fruit, batches)],
    }


def _full(
    fruit: str, made: str, outcome: Outcome, rows: dict[tuple[str, str, float], int]
) -> dict[str, Any]:
    """Return the loads that are expected to fill the vessel."""
    share = np.array([outcome.mean[rows[fruit, made, load]] for load in LOADS])
    fills = share >= FULL
    always, never = bool(fills.all()), not fills.any()
    is_some = not always and not never
    return {
        "made": made,
        "largest_load": _crossing(share, fills) if is_some and fills[0] else None,
        "smallest_load": _crossing(share, fills) if is_some and fills[-1] else None,
        "always": always,
        "never": bool(never),
    }


def _crossing(share: np.ndarray, fills: np.ndarray) -> float:
    """Return the load at which the expected share passes through full, between two loads tried."""
    at = int(np.flatnonzero(fills[1:] != fills[:-1])[0])
    step = (FULL - share[at]) / (share[at + 1] - share[at])
    return float(LOADS[at] + step * (LOADS[at + 1] - LOADS[at]))


def _water_for_full(
    fruit: str, load: float, outcome: Outcome, rows: dict[tuple[str, str, float], int]
) -> dict[str, Any] | None:
    """Return the water from which the expected finished wine is the target itself."""
    few, much = (rows[fruit, f"water {share}", load] for share in WATERS)
    rise = (outcome.mean[much] - outcome.mean[few]) / (WATERS[1] - WATERS[0])
    water = WATERS[0] + (1.0 - outcome.mean[few]) / rise
    near = few if abs(water - WATERS[0]) < abs(water - WATERS[1]) else much
    found = estimate_from(
        float(water),
        float(outcome.sd[near] / rise),
        "L/L",
        outcome.batches,
        outcome.degrees,
        (0.0, np.inf),
    )
    if found is None:
        return None
    return {"fruit_load": load, "water_per_litre_of_target": found.as_dict()}


def _doubts(models: Models, fruit: str, batches: int) -> list[Doubt]:
    found = []
    if models.volume.batches < FEWEST_IN_ALL:
        text = f"too few batches have a volume ({models.volume.batches}): mostly physics speaks"
        found.append(Doubt("few_batches", text))
    elif batches < FEWEST_BATCHES:
        seen = f"{fruit} is in {how_many(batches)} of your batches"
        text = f"{seen}: it is drawn towards the average fruit"
        found.append(Doubt("few_batches", text))
    return found
