"""Tasting sheets and planned recipes: header and rows of text."""

from __future__ import annotations

import numpy as np

from makers import quantities
from makers.doses import lines
from makers.maker import Maker, ordinals_to_dates
from makers.pages import Page, as_text
from makers.taste import ATTRIBUTES

RECIPE_COLUMNS = (
    "recipe",
    "day",
    "kind",
    "ingredient",
    "amount",
    "form",
    "skins",
    "ripeness",
    "removed_day",
    "cost",
    "notes",
    "yeast",
    "target_volume",
    "ferment_temperature",
    "sweeten_to",
    "gallon",
    "rackings",
    "taste_day",
)


def tasting_rows(maker: Maker) -> Page:
    """Return tastings.csv, evening by evening."""
    glasses = maker.glasses
    rng = np.random.default_rng([maker.seed, 2])
    names = maker.world.tasters.names
    days = ordinals_to_dates(glasses.day)
    short = maker.run.wine.shortfall
    cells = {name: as_text(glasses.intensities[name], "g") for name in ATTRIBUTES}
    is_blank = rng.random((len(glasses.day), len(ATTRIBUTES))) < 0.02
    smells = rng.random(len(glasses.day)) < 0.75
    rows = []
    for k, batch in enumerate(glasses.batch.tolist()):
        sweet = glasses.sweetened_g_l[k]
        sheet = ["" if is_blank[k, j] else cells[name][k] for j, name in enumerate(ATTRIBUTES)]
        rows.append(
            (
                maker.batch_ids[batch],
                days[k],
                names[glasses.taster[k]],
                "" if np.isnan(sweet) else f"{sweet:g} g/L",
                "yes" if glasses.is_blind[k] else "no",
                *sheet,
                f"{glasses.score[k]:g}",
                "sulphury" if short[batch] > 0.6 and smells[k] else "",
                "",
            )
        )
    order = np.lexsort((glasses.taster, glasses.batch, glasses.day))
    header = (
        "batch_id",
        "tasted_on",
        "taster",
        "sweetened_to",
        "blind",
        *ATTRIBUTES,
        "score",
        "faults",
        "notes",
    )
    return header, [rows[k] for k in order.tolist()]


def recipe_rows(maker: Maker, rng: np.random.Generator) -> Page:
    """Return recipes.csv; what holds for the whole recipe stands on its first line."""
    plans, world = maker.planned, maker.world
    seen: set[int] = set()
    rows = []
    for line in lines(plans, world, rng, is_complete=True):
        whole: tuple[str, ...] = ("",) * 7
        if line.row not in seen:
            seen.add(line.row)
            whole = _whole(maker, line.row)
        removed = "" if line.removed is None else f"{line.removed:g}"
        rows.append(
            (
                maker.planned_recipes[line.row],
                f"{line.day:g}",
                line.kind,
                line.ingredient,
                line.amount,
                line.form,
                line.skins,
                line.ripeness,
                removed,
                line.cost,
                "",
                *whole,
            )
        )
    return RECIPE_COLUMNS, rows


def _whole(maker: Maker, row: int) -> tuple[str, ...]:
    plans, habits = maker.planned, maker.world.habits
    return (
        maker.world.yeasts.names[plans.yeast[row]],
        quantities.target(float(plans.target_l[row]), bool(plans.is_imperial[row])),
        quantities.temperature(float(plans.must_temperature_c[row]), habits.fahrenheit),
        f"{plans.sweeten_g_l[row]:g} g/L" if plans.sweeten_g_l[row] > 0 else "",
        "",
        str(plans.rackings[row]),
        f"{plans.taste_day[row]:.0f}",
    )
