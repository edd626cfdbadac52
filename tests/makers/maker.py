"""Simulate one maker: the world, the logbook's batches, the planned recipes and the truth."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl

from makers.brew import Run, brew
from makers.glasses import Glasses, hold_tastings
from makers.nature import NATURES
from makers.plans import Plans
from makers.plant import plant_alias, plant_cause
from makers.repeats import draw_batches, draw_planned, pressed_as_usual
from makers.truth import Truth, batch_columns, contributions, expectations, outcomes
from makers.world import Ints, World, draw_world

UNTIL = date(2026, 9, 30)
YEARS = 4


@dataclass
class Maker:
    """One simulated maker, ready to be written down."""

    seed: int
    world: World
    batch_ids: list[str]
    batch_recipes: list[str]
    started: Ints
    run: Run
    glasses: Glasses
    planned: Plans
    planned_recipes: list[str]
    until: int
    lost: float
    truth: Truth


def ordinals_to_dates(days: Ints) -> list[str]:
    """Return ISO dates for proleptic ordinals."""
    epoch = date(1970, 1, 1).toordinal()
    return [str(day) for day in (days - epoch).astype("datetime64[D]")]


def draw_calendar(plans: Plans, world: World, rng: np.random.Generator, until: int) -> Ints:
    """Return the day each batch starts: in the season of its fruit, or later if it was frozen."""
    months = np.array([kind.months for kind in world.fruits.kinds])[plans.fruit[:, 0]]
    length = (months[:, 1] - months[:, 0]) % 12 + 1
    day_of_year = (months[:, 0] - 1) * 30.4 + rng.uniform(0, 30.4, len(plans)) * length
    kept = np.where(plans.is_frozen[:, 0], rng.uniform(0, 200, len(plans)), 0.0)
    year = rng.integers(0, YEARS, len(plans))
    origin = date.fromordinal(until).replace(year=date.fromordinal(until).year - YEARS)
    offset = (day_of_year + kept - origin.timetuple().tm_yday) % 365.25
    return (origin.toordinal() + np.round(year * 365.25 + offset)).astype(np.int64)


def name_batches(started: Ints) -> list[str]:
    """Return ids such as ``2024-07``, counted within each year."""
    years = [day[:4] for day in ordinals_to_dates(started)]
    width = max(2, len(str(max(years.count(year) for year in set(years)))))
    seen: dict[str, int] = {}
    names = []
    for year in years:
        seen[year] = seen.get(year, 0) + 1
        names.append(f"{year}-{seen[year]:0{width}d}")
    return names


def _recipe_names(plans: Plans, world: World) -> list[str]:
    names = [*world.fruits.names, "none"]
    firsts: dict[int, str] = {}
    for recipe, fruit in zip(plans.recipe.tolist(), plans.fruit[:, 0].tolist(), strict=True):
        firsts.setdefault(recipe, f"{names[fruit]} {recipe + 1}")
    return [firsts[recipe] for recipe in plans.recipe.tolist()]


def simulate(
    seed: int,
    batches: int = 150,
    *,
    planned: int = 30,
    fruits: int = 18,
    yeasts: int = 7,
    tasters: int = 4,
    cause: str | None = None,
    alias: tuple[str, str] | None = None,
    lost: float = 0.0,
    until: date = UNTIL,
    draws: int = 200,
    nature: str = "everyday",
) -> Maker:
    """Return a maker; the same arguments give the same maker.

    Parameters
    ----------
    seed
        Seed of everything random.
    batches, planned, fruits, yeasts, tasters
        How many; fruits beside the usual second fruits.
    cause
        Factor to plant as the one cause of harshness of one batch (``plant.CAUSES``).
    alias
        Two factors that never vary apart, e.g. ``("fruit", "skins")``, ``("enzyme", "freezing")``.
    lost
        Share of dosing rows whose amount is written so that it cannot be read.
    until
        Last day of the logbook.
    draws
        Realisations behind each expectation of a planned recipe.
    nature
        The world the maker lives in (``nature.NATURES``).
    """
    rng = np.random.default_rng(seed)
    world = draw_world(rng, fruits, yeasts, tasters, NATURES[nature])
    plans = draw_batches(world, rng, batches)
    if alias is not None:
        plans = plant_alias(plans, alias, world)
    started = draw_calendar(plans, world, rng, until.toordinal())
    order = np.argsort(started, kind="stable")
    plans, started = plans.take(order), started[order]
    row = None
    if cause is not None:
        row = plant_cause(plans, cause, world, rng, started < until.toordinal() - 500)
    future = draw_planned(world, rng, planned, plans)
    return record(
        seed,
        world,
        plans,
        started,
        future,
        rng,
        until=until.toordinal(),
        lost=lost,
        draws=draws,
        caused=(row, cause),
        alias=alias,
    )


def record(
    seed: int,
    world: World,
    plans: Plans,
    started: Ints,
    planned: Plans,
    rng: np.random.Generator,
    *,
    until: int,
    lost: float = 0.0,
    draws: int = 200,
    caused: tuple[int | None, str | None] = (None, None),
    alias: tuple[str, str] | None = None,
    names: tuple[list[str], list[str]] | None = None,
) -> Maker:
    """Brew and taste what was planned, and keep the truth beside it."""
    run = brew(plans, world, rng)
    ids = name_batches(started)
    recipes, planned_recipes = names or (
        _recipe_names(plans, world),
        [f"plan {name}" for name in _recipe_names(planned, world)],
    )
    always = np.array([caused[0]] if caused[0] is not None else [], dtype=np.int64)
    glasses = hold_tastings(run.drivers, started, until, world, rng, always)
    if len(glasses.age_days):
        usual = float(np.median(glasses.age_days))
        planned = planned.changed(taste_day=np.full(len(planned), usual))
    few = int(np.clip(20_000 // max(len(plans), 1), 4, 60))
    truth = Truth(
        batches=pl.DataFrame(
            {
                "batch_id": ids,
                "recipe": recipes,
                **batch_columns(run, world),
                **expectations(plans, world, rng, few),
            }
        ).fill_nan(None),
        planned=_planned_frame(planned, planned_recipes, world, rng, draws),
        fruits=_fruit_frame(run, world),
        yeasts=world.yeast_frame(),
        tasters=world.taster_frame(),
        contributions=pl.DataFrame({"batch_id": ids, **contributions(run.drivers)}),
        cause=None if caused[0] is None or caused[1] is None else (ids[caused[0]], caused[1]),
        aliases=[] if alias is None else [alias],
    )
    return Maker(
        seed,
        world,
        ids,
        recipes,
        started,
        run,
        glasses,
        planned,
        planned_recipes,
        until,
        lost,
        truth,
    )


def _planned_frame(
    planned: Plans, names: list[str], world: World, rng: np.random.Generator, draws: int
) -> pl.DataFrame:
    if len(planned) == 0:
        return pl.DataFrame({"recipe": names})
    made = brew(pressed_as_usual(planned, world, rng), world, rng)
    realised = {f"realised_{key}": value for key, value in outcomes(made, world, rng).items()}
    expected = expectations(planned, world, rng, draws, is_planned=True)
    return pl.DataFrame(
        {"recipe": names, **expected, **realised, "is_stuck": made.wine.is_stuck}
    ).fill_nan(None)


def _fruit_frame(run: Run, world: World) -> pl.DataFrame:
    """Return the true traits, and the litres a kg gave in batches of that fruit alone."""
    alone = run.plans.fruit_kg[:, 1] == 0
    given = pl.DataFrame(
        {
            "fruit": [world.fruits.names[k] for k in run.plans.fruit[alone, 0]],
            "net": (run.must.net_l / run.must.fruit_kg.sum(axis=1))[alone],
        }
    )
    seen = given.group_by("fruit").agg(batches_alone=pl.len(), litres_per_kg=pl.col("net").mean())
    return world.fruit_frame().join(seen, on="fruit", how="left")
