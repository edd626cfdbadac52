"""The same plans written three ways: exactly, in spoons and `~`, and with things left unsaid.

What is written roughly comes out a little different each time it is made; of a plan that does not
say how warm or how much nutrient, this maker does as in some batch of the logbook.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np

from makers.brew import brew
from makers.maker import Maker
from makers.plans import Plans, join
from makers.recipes import write_amounts
from makers.repeats import pressed_as_usual
from makers.world import Floats
from makers.write import write

WAYS = ("exactly", "roughly", "unsaid")
UNWEIGHED = "1 packet"


def in_three_ways(maker: Maker) -> Maker:
    """Return the maker with each planned recipe three times, its name headed by the way."""
    plans = maker.planned
    written = [_written(plans, is_rough=way == "roughly") for way in WAYS]
    names = [f"{way} {name}" for way in WAYS for name in maker.planned_recipes]
    return replace(maker, planned=join(written), planned_recipes=names)


def _written(plans: Plans, *, is_rough: bool) -> Plans:
    has_fruit = plans.fruit_kg > 0
    return write_amounts(
        plans.changed(
            is_approximate=has_fruit & is_rough,
            is_sugar_approximate=np.full(len(plans), is_rough),
            is_spoons=np.full(len(plans), is_rough),
        )
    )


def write_three_ways(maker: Maker, folder: Path) -> Path:
    """Write the logbook, and take out of recipes.csv what is left unsaid."""
    write(maker, folder)
    path = folder / "recipes.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        if row["recipe"].startswith("unsaid "):
            row["ferment_temperature"] = ""
            row["amount"] = UNWEIGHED if row["kind"] == "nutrient" else row["amount"]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return folder


def realised(maker: Maker, rounds: int, rng: np.random.Generator) -> dict[str, Floats]:
    """Return what the planned recipes come to, each made so many times, (rounds, recipes).

    Batches that stick have no finished gravity and no alcohol.
    """
    found: dict[str, list[Floats]] = {}
    for _ in range(rounds):
        run = brew(_as_done(maker, rng), maker.world, rng)
        unstuck = ~run.wine.is_stuck
        seen = {
            "original_gravity": run.must.start_gravity,
            "final_gravity": np.where(unstuck, run.wine.gravity, np.nan),
            "alcohol": np.where(unstuck, run.bottled.alcohol, np.nan),
            "finished_fraction": run.finished_fraction,
        }
        for name, values in seen.items():
            found.setdefault(name, []).append(values)
    return {name: np.array(values) for name, values in found.items()}


def _as_done(maker: Maker, rng: np.random.Generator) -> Plans:
    """Settle what is unsaid as in a batch of the logbook, and press as this maker does."""
    plans, logged = maker.planned, maker.run.plans
    unsaid = np.array([name.startswith("unsaid ") for name in maker.planned_recipes])
    like = rng.integers(0, len(logged), len(plans))
    fed_g_l = (logged.nutrient_g / logged.target_l)[like]
    is_open = unsaid & (plans.nutrient_g > 0)
    return pressed_as_usual(
        plans.changed(
            must_temperature_c=np.where(
                unsaid, logged.must_temperature_c[like], plans.must_temperature_c
            ),
            nutrient_g=np.where(is_open, fed_g_l * plans.target_l, plans.nutrient_g),
        ),
        maker.world,
        rng,
    )
