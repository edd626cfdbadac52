"""What goes in, line by line: the same lines make a batch's additions and a planned recipe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers import quantities
from makers.catalogue import FORMS, RIPENESS
from makers.plans import SPOON_G, TABLET_G, Plans
from makers.world import Floats, World


@dataclass(frozen=True)
class Line:
    """One line of a recipe; ``day`` counts from the start, solids come out on ``removed``."""

    row: int
    day: float
    kind: str
    ingredient: str
    amount: str
    form: str = ""
    skins: str = ""
    ripeness: str = ""
    removed: float | None = None
    cost: str = ""


PRICES = {"sugar": 1.1, "honey": 8.0, "fruit": 2.2}


def _plural(name: str) -> str:
    if name.endswith("y"):
        return f"{name[:-1]}ies"
    if name.endswith(("o", "ch")):
        return f"{name}es"
    return f"{name}s"


def _spelled(name: str, variant: int) -> str:
    uncounted = {"rhubarb", "elderflower", "pineapple", "pumpkin", "quince", "beetroot"}
    if variant % 3 == 0 or name in uncounted:
        return name
    plural = _plural(name)
    return plural if variant % 3 == 1 else plural.capitalize()


def lines(
    plans: Plans, world: World, rng: np.random.Generator, is_complete: bool = False
) -> list[Line]:
    """Return all lines of all plans, batch by batch in the order things went in.

    Makers leave cells blank; with ``is_complete`` only what goes without saying is left out.
    """
    variants = rng.integers(0, 60, (len(plans), 8))
    gaps = np.full((len(plans), 8), 0.5) if is_complete else rng.random((len(plans), 8))
    every: list[Line] = []
    for row in range(len(plans)):
        found = [
            *_fruit_lines(plans, world, row, variants[row], gaps[row]),
            *_bulk_lines(plans, row, variants[row]),
            *_powder_lines(plans, row, variants[row]),
            *_yeast_lines(plans, world, row),
        ]
        every += sorted(found, key=lambda line: line.day)
    return every


def _fruit_lines(
    plans: Plans, world: World, row: int, variants: np.ndarray, gaps: Floats
) -> list[Line]:
    found = []
    for part in range(2):
        kg = float(plans.fruit_kg[row, part])
        if kg <= 0:
            continue
        form, is_frozen = FORMS[plans.form[row, part]], bool(plans.is_frozen[row, part])
        is_told = is_frozen or gaps[part] > 0.05
        ripeness = RIPENESS[plans.ripeness[row, part]]
        is_known = ripeness != "ripe" or gaps[2 + part] < 0.4
        skins = "on" if plans.is_skins_on[row, part] else "off"
        about = "~" if plans.is_approximate[row, part] else ""
        free = gaps[6] < 0.45
        found.append(
            Line(
                row,
                0.0,
                "fruit",
                _spelled(world.fruits.names[plans.fruit[row, part]], int(variants[part])),
                about + quantities.weight(kg, int(plans.fruit_style[row, part]), int(variants[7])),
                form=f"{form}{' frozen' if is_frozen else ''}" if is_told else "",
                skins=skins if gaps[4 + part] > 0.08 else "",
                ripeness=ripeness if is_known else "",
                removed=float(plans.contact_days[row]) if gaps[7] > 0.12 else None,
                cost="0" if free else f"{PRICES['fruit'] * kg:.2f}",
            )
        )
    return found


def _bulk_lines(plans: Plans, row: int, variants: np.ndarray) -> list[Line]:
    is_imperial, style = bool(plans.is_imperial[row]), int(plans.sugar_style[row])
    target = quantities.target(float(plans.target_l[row]), is_imperial)
    water = {0: f"to {target}", 1: target}.get(int(plans.made[row]))
    if water is None:
        volume = float(plans.water_l[row])
        is_litres = plans.water_style[row] == 0
        water = quantities.litres(volume, 1) if is_litres else quantities.pints(volume, is_imperial)
    found = [Line(row, 0.0, "water", "water", water)]
    about = "~" if plans.is_sugar_approximate[row] else ""
    sweet = (
        (
            "sugar",
            ("white sugar", "sugar", "granulated sugar")[variants[2] % 3],
            0.0,
            plans.sugar_kg,
            about,
        ),
        ("honey", "honey", 0.0, plans.honey_kg, ""),
        ("sugar", "white sugar", float(plans.feed_day[row]), plans.feed_kg, ""),
    )
    for kind, name, day, kgs, mark in sweet:
        kg = float(kgs[row])
        if kg > 0:
            text = mark + quantities.weight(kg, style, int(variants[3]))
            found.append(Line(row, day, kind, name, text, cost=f"{PRICES[kind] * kg:.2f}"))
    return found


def _powder_lines(plans: Plans, row: int, variants: np.ndarray) -> list[Line]:
    yeast_day = float(plans.yeast_day[row])
    # Enzymes go in when the hot water has cooled.
    cooled = 0.0 if plans.extraction[row] == 0 else 1.0
    acid = "tartaric acid" if plans.is_tartaric[row] else "citric acid"
    food = "diammonium phosphate" if variants[4] % 2 else "DAP"
    food = "yeast nutrient" if plans.is_complex[row] else food
    amylase = ("amylase", "glucoamylase")[variants[5] % 2]
    powders = (
        ("acid", "acid", acid, 0.0),
        ("tannin", "tannin", "grape tannin", 0.0),
        ("pectic", "enzyme", "pectic enzyme", cooled),
        ("amylase", "enzyme", amylase, cooled),
        ("nutrient", "nutrient", food, yeast_day),
    )
    found = []
    for name, kind, ingredient, day in powders:
        grams = float(getattr(plans, f"{name}_g")[row])
        if grams > 0:
            text = quantities.powder(grams, bool(plans.is_spoons[row]), SPOON_G[name])
            found.append(Line(row, day, kind, ingredient, text))
    tablets = round(float(plans.sulphite_g[row]) / TABLET_G)
    if tablets:
        text = f"{tablets} tablet{'s' if tablets > 1 else ''}"
        found.append(Line(row, 0.0, "sulphite", "sulphite tablet", text))
    return found


def _yeast_lines(plans: Plans, world: World, row: int) -> list[Line]:
    name = world.yeasts.names[plans.yeast[row]]
    return [Line(row, float(plans.yeast_day[row]), "yeast", name, "1 packet", cost="1.00")]
