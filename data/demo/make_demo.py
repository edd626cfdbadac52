"""Make the demo logbook: four years of an invented wine circle in an invented place.

Run ``python data/demo/make_demo.py`` in a checkout; the seed is fixed, so the same files come out.
The wines are brewed by the simulator in ``tests/makers``; README.md lists what is planted.
"""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1] / "tests")]

from club import PLANNED, RECIPES, Recipe  # noqa: E402
from makers.brew import brew  # noqa: E402
from makers.catalogue import EXTRACTIONS, FORMS, MADE, PRESSED  # noqa: E402
from makers.maker import Maker, record  # noqa: E402
from makers.plans import GALLON_L, POUND_KG, SPOON_G, TABLET_G, Plans  # noqa: E402
from makers.recipes import draw_recipes, write_amounts  # noqa: E402
from makers.world import (  # noqa: E402
    Habits,
    Ints,
    World,
    draw_fruits,
    draw_habits,
    draw_tasters,
    draw_yeasts,
)
from makers.write import pages_of, save  # noqa: E402
from remarks import add_remarks, name_jars, stabilise  # noqa: E402
from slips import slip  # noqa: E402

SEED = 20221001
UNTIL = date(2026, 9, 30)
FIRST = date(2022, 10, 1)
YEASTS = ("Lantern", "Millrace", "Hobnail", "Wherry", "Tollgate", "Dovecote", "Sexton")
TOLERANCES = (15.8, 11.5, 14.9, 16.2, 15.3, 15.0, 16.4)
SETTINGS = """\
# The wine circle of Nether Thrumbling, which does not exist.
gallon = "imperial"
currency = "GBP"
show = "imperial"
score_out_of = 20

[hydrometer]
calibrated_at = "20 C"

[counts]
"yeast packet" = "5 g"
"sulphite tablet" = "0.44 g"
"""


def demo_world(rng: np.random.Generator) -> World:
    """Return the club's world, with its truths planted: see README.md."""
    names = sorted({recipe.fruit for recipe in RECIPES} | {"sultana"})
    fruits = draw_fruits(rng, len(names), names)
    fruits.hold_l_kg[fruits.index("banana")] = 1.3
    fruits.juice_l_kg[fruits.index("banana")] = 0.62
    fruits.hold_l_kg[fruits.index("elderflower")] = 0.2
    for name, tannin in (("elderberry", 3.4), ("sloe", 3.4), ("damson", 2.6)):
        fruits.tannin[fruits.index(name)] = tannin
    yeasts = draw_yeasts(rng, len(YEASTS))
    yeasts.names, yeasts.tolerance = list(YEASTS), np.array(TOLERANCES)
    yeasts.residue = np.minimum(yeasts.residue, 0.012)
    tasters = draw_tasters(rng, 4)
    tasters.harsh_offset -= tasters.harsh_offset.mean()
    return World(fruits, yeasts, tasters, demo_habits(rng))


def demo_habits(rng: np.random.Generator) -> Habits:
    """Return how the club works: imperial jars, pounds and ounces, two rackings as a rule."""
    habits = draw_habits(rng)
    habits.imperial, habits.fahrenheit, habits.calibrated_at_c = True, False, 20.0
    habits.styles = np.array([0.5, 0.3, 0.15, 0.05])
    habits.topping, habits.taste_days, habits.sample_l = 0.16, 235.0, 0.012
    return habits


def plans_of(recipes: list[Recipe], world: World, rng: np.random.Generator) -> Plans:
    """Return one plan per entry: the recipe as it stands in the book."""
    n = len(recipes)
    base = draw_recipes(world, rng, n)
    gallon = np.array([GALLON_L[recipe.gallon == "imperial"] for recipe in recipes])
    none = len(world.fruits.kinds)
    second = [world.fruits.index(r.second[0]) if r.second[0] else none for r in recipes]
    pounds = np.array([[recipe.pounds, recipe.second[1]] for recipe in recipes])

    def column(values: list[object], kind: type = float) -> np.ndarray:
        return np.array(values, dtype=kind)

    def both(values: list[object], kind: type) -> np.ndarray:
        return np.repeat(column(values, kind)[:, None], 2, axis=1)

    plans = base.changed(
        fruit=np.stack([[world.fruits.index(r.fruit) for r in recipes], second], axis=1),
        fruit_kg=pounds * POUND_KG,
        form=both([FORMS.index(r.form) for r in recipes], int),
        is_frozen=both([r.frozen for r in recipes], bool),
        is_skins_on=both([r.skins for r in recipes], bool),
        is_imperial=column([r.gallon == "imperial" for r in recipes], bool),
        target_l=gallon,
        made=column([MADE.index(r.made) for r in recipes], int),
        water_l=np.where([r.made == "measured" for r in recipes], 0.875 * gallon, gallon),
        acid_g=column([r.acid_tsp * SPOON_G["acid"] for r in recipes]),
        is_tartaric=np.zeros(n, dtype=bool),
        tannin_g=column([r.tannin_tsp * SPOON_G["tannin"] for r in recipes]),
        nutrient_g=rng.choice([2.8, 2.8, 2.3, 1.2], n),
        pectic_g=column([1.6 * r.enzyme for r in recipes]),
        amylase_g=column([1.6 * r.amylase for r in recipes]),
        honey_kg=np.zeros(n),
        is_spoons=rng.random(n) < 0.4,
        sulphite_g=rng.choice([0, 1, 1, 1], n) * TABLET_G,
        yeast=column([YEASTS.index(r.yeasts[0]) for r in recipes], int),
        extraction=column([EXTRACTIONS.index(r.extraction) for r in recipes], int),
        contact_days=column([r.days[0] for r in recipes]),
        pressed=column([PRESSED.index(r.pressed) for r in recipes], int),
        must_temperature_c=rng.normal(20.5, 1.4, n),
    )
    return write_amounts(plans)


def sweetened_to_aim(plans: Plans, aimed: np.ndarray, world: World) -> Plans:
    """Return the plans with sugar for the strength aimed at: the club has made these before."""
    for _ in range(6):
        wine = brew(plans, world, np.random.default_rng(SEED)).wine
        factor = np.clip(aimed * 16.6 / wine.hexose_g_l, 0.2, 3.0)
        plans = plans.changed(sugar_kg=plans.sugar_kg * factor, feed_kg=plans.feed_kg * factor)
    return write_amounts(plans)


def club_batches(world: World, rng: np.random.Generator) -> tuple[Plans, Ints, list[str]]:
    """Return plans, starting days and recipe names of all batches, by date."""
    entries = [(recipe, k) for recipe in RECIPES for k in range(recipe.times)]
    recipes = [recipe for recipe, _ in entries]
    n = len(recipes)
    plans = plans_of(recipes, world, rng)
    plans = plans.changed(
        contact_days=np.array([float(r.days[k % len(r.days)]) for r, k in entries]),
        yeast=np.array([YEASTS.index(str(rng.choice(r.yeasts))) for r in recipes]),
        fruit_kg=plans.fruit_kg * np.exp(rng.normal(0.0, 0.07, (n, 1))),
        taste_day=world.habits.taste_days * np.exp(rng.normal(0.0, 0.25, n)),
        top_share=np.where(rng.random(n) < world.habits.topping, rng.uniform(0.2, 0.6, n), 0.0),
        nutrient_g=np.where(rng.random(n) < 0.08, 0.0, plans.nutrient_g),
        recipe=np.array([RECIPES.index(r) for r in recipes]),
    )
    aimed = np.array([r.aimed for r in recipes]) + rng.normal(0.0, 0.5, n)
    plans = sweetened_to_aim(plans, aimed, world)
    years = np.array([(k * 4 // r.times + int(rng.integers(0, 2))) % 4 for r, k in entries])
    started = np.array(
        [start_day(r, int(y), rng) for (r, _), y in zip(entries, years, strict=True)]
    )
    order = np.argsort(started, kind="stable")
    return plans.take(order), started[order], [recipes[k].name for k in order]


def start_day(recipe: Recipe, year: int, rng: np.random.Generator) -> int:
    """Return a day in the recipe's months, in the given year of the club."""
    first, last = recipe.months
    span = (last - first) % 12 + 1
    month = (first - 1 + int(rng.integers(0, span))) % 12 + 1
    calendar_year = FIRST.year + year + (month < FIRST.month)
    return date(calendar_year, month, int(rng.integers(3, 28))).toordinal()


def make_maker() -> Maker:
    """Return the club with everything true of it."""
    rng = np.random.default_rng(SEED)
    world = demo_world(rng)
    plans, started, names = club_batches(world, rng)
    planned = plans_of(list(PLANNED), world, rng).changed(recipe=np.arange(len(PLANNED)))
    planned = sweetened_to_aim(planned, np.array([recipe.aimed for recipe in PLANNED]), world)
    return record(
        SEED,
        world,
        plans,
        started,
        planned,
        rng,
        until=UNTIL.toordinal(),
        names=(names, [recipe.name for recipe in PLANNED]),
    )


def make(folder: Path) -> Maker:
    """Write the demo logbook into the folder."""
    maker = make_maker()
    pages = pages_of(maker)
    rng = np.random.default_rng([SEED, 3])
    stabilise(pages, maker, rng)
    name_jars(pages, rng)
    add_remarks(pages, rng)
    slip(pages)
    (folder / "logbook.toml").write_text(SETTINGS, encoding="utf-8")
    for name, page in pages.items():
        save(folder / f"{name}.csv", *page)
    return maker


if __name__ == "__main__":
    make(HERE)
