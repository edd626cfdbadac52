"""Powders that a recipe does without and the logbook has used: acid, nutrient, pectic enzyme."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import polars as pl

from pipeline.advice.amounts import decimals_as_typed
from pipeline.advice.edits import Edit
from pipeline.advice.experience import Experience, Powder
from pipeline.logbook.numerals import Decimal

# Grams a litre of the target tried; the enzyme as the logbook usually doses it.
DOSES_G_L = {"acid": (1.0, 2.0, 3.0), "nutrient": (0.3, 0.6, 0.9)}


def added(lines: pl.DataFrame, experience: Experience, decimal: Decimal = ".") -> Iterator[Edit]:
    """Yield each powder that could be added, as a new line in grams.

    Parameters
    ----------
    lines : polars.DataFrame
        The recipe's rows of `staged_recipes`.
    experience : Experience
        What the logbook has used, and how much of it.
    decimal : {".", ","}
        How the logbook writes decimals.
    """
    first = lines.row(0, named=True)
    target = first["target_volume_l"]
    if not target:
        return
    for kind, powder in experience.powders.items():
        # An amylase does not stand in for a pectic enzyme; any acid does for another.
        alike = pl.col("ingredient_key") == powder.key if kind == "enzyme" else pl.lit(True)
        if not lines.filter(pl.col("kind") == kind, alike).is_empty():
            continue
        for dose in DOSES_G_L.get(kind, (1000 * powder.usual_kg_l,)):
            if dose <= 1000 * powder.most_kg_l:
                yield _new(first, _day(lines, kind), kind, powder, dose * target, decimal)


def _day(lines: pl.DataFrame, kind: str) -> float:
    """Return the day it goes in: nutrient with the yeast, the rest at the start."""
    yeast = lines.filter(pl.col("kind") == "yeast")["day"]
    return float(yeast[0]) if kind == "nutrient" and not yeast.is_empty() else 0.0


def _new(
    first: dict[str, Any], day: float, kind: str, powder: Powder, grams: float, decimal: Decimal
) -> Edit:
    rounded = round(2 * grams) / 2 if grams >= 1 else round(grams, 1)
    text = f"{decimals_as_typed(f'{rounded:g}', decimal)} g"
    blank = dict.fromkeys(first)
    whole = {name: first[name] for name in _WHOLE_RECIPE}
    row = blank | whole | {"day": day, "kind": kind, "ingredient": powder.name, "amount": text}
    row |= {"ingredient_key": powder.key, "amount_kg": rounded / 1000, "amount_error": 0.0}
    row |= {"is_to_mark": False, "is_frozen": False}
    return Edit(None, kind, powder.name, "amount", "", text, rounded / 1000, row=row)


_WHOLE_RECIPE = (
    *("yeast", "target_volume_l", "ferment_temperature_c", "sweeten_to_g_l"),
    *("rackings", "taste_day"),
)
