"""The ways to fill a vessel: what of a recipe grows with its water, and in which steps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import polars as pl

from pipeline.advice.amounts import Amount, poured, resized
from pipeline.advice.edits import Edit
from pipeline.advice.edits.possible import amount_edit
from pipeline.advice.fill.texts import target_cell
from pipeline.errors import CannotSayError
from pipeline.logbook.numerals import Decimal

Keep = Literal["strength", "fruit", "proportions"]
KEEPS: tuple[Keep, ...] = ("strength", "fruit", "proportions")
SWEET = ("sugar", "honey")
STEP = 0.01  # by which everything together grows; finer is nothing
WITHIN = 0.015  # by which an amount may be rounded: of sugar, a tenth of a % vol
_SIDES = ("amount_kg", "amount_l")

Row = dict[str, Any]


@dataclass(frozen=True)
class Recipe:
    """A recipe that is to be filled.

    Parameters
    ----------
    lines : polars.DataFrame
        Its rows of `staged_recipes`.
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    decimal : {".", ","}
        How the logbook writes decimals.
    """

    lines: pl.DataFrame
    show: str = "metric"
    decimal: Decimal = "."

    @property
    def target_l(self) -> float:
        """The volume aimed at [L].

        Raises
        ------
        CannotSayError
            If no line says it.
        """
        said = self.lines["target_volume_l"].drop_nulls()
        if said.is_empty():
            raise CannotSayError(
                f"'{self.lines['recipe'][0]}' does not say how much wine it aims at. Write its "
                "target_volume on any one of its lines in recipes.csv."
            )
        return float(said[0])

    @property
    def water(self) -> Row:
        """The line of the water that is poured more or less of: the mark, else the largest.

        Raises
        ------
        CannotSayError
            If there is none.
        """
        rows = [
            row
            for row in self.lines.filter(pl.col("kind") == "water").iter_rows(named=True)
            if row["amount_l"]
        ]
        if not rows:
            raise CannotSayError(
                f"'{self.lines['recipe'][0]}' has no water to pour more or less of. Let all of it "
                "grow instead: --keep proportions."
            )
        return max(rows, key=lambda row: (bool(row["is_to_mark"]), row["amount_l"]))

    @property
    def sweet(self) -> list[Row]:
        """The lines of sugar and honey.

        Raises
        ------
        CannotSayError
            If there is none whose amount is known.
        """
        rows = [row for row in self.lines.iter_rows(named=True) if row["kind"] in SWEET]
        if not any(row["amount_kg"] for row in rows):
            raise CannotSayError(
                f"'{self.lines['recipe'][0]}' has no sugar that could keep the strength. Keep the "
                "fruit alone (--keep fruit), or let all of it grow (--keep proportions)."
            )
        return [row for row in rows if row["amount_kg"]]


@dataclass(frozen=True)
class Filled:
    """One size of a recipe: its changes, and the volume they are planned for [L]."""

    edits: tuple[Edit, ...]
    target_l: float


def with_water(recipe: Recipe, water_l: float, sugar: float) -> Filled:
    """Return a recipe with so much water [L] and so many times its sugar, not rounded."""
    edits = [amount_edit(recipe.water, Amount("", water_l))]
    if sugar != 1.0:
        edits += [amount_edit(row, Amount("", sugar * row["amount_kg"])) for row in recipe.sweet]
    return Filled(tuple(edits), recipe.target_l)


def measured_with_water(recipe: Recipe, water: Amount, sugar: float) -> Filled:
    """Return a recipe with that water and nearly so many times its sugar, as can be measured."""
    edits = [] if water.text == recipe.water["amount"] else [amount_edit(recipe.water, water)]
    if sugar != 1.0:
        edits += _resized(recipe, recipe.sweet, sugar)
    return Filled(tuple(edits), recipe.target_l)


def waters(recipe: Recipe, low_l: float, high_l: float) -> list[Amount]:
    """Return the measures of water between two that the maker could pour."""
    row = recipe.water
    found = poured(row["amount"], row["amount_l"], low_l, high_l, recipe.decimal)
    if found:
        return found
    # By weight, or in fluid ounces: in the steps that such an amount has.
    sizes = np.arange(low_l, high_l * (1 + STEP), STEP * low_l)
    weighed = [resized(row["amount"], row["amount_l"], size, recipe.decimal) for size in sizes]
    by_text = {amount.text: amount for amount in weighed if amount is not None}
    return sorted(by_text.values(), key=lambda amount: amount.si)


def in_proportion(recipe: Recipe, size: float) -> Filled:
    """Return a recipe so many times as large, as can be measured; packets stay as they are."""
    rows = [
        row
        for row in recipe.lines.iter_rows(named=True)
        if row["kind"] != "yeast" and any(row[side] for side in _SIDES)
    ]
    target_l = size * recipe.target_l
    edits = _resized(recipe, rows, size)
    before, after = (
        target_cell(litres, recipe.show, recipe.decimal) for litres in (recipe.target_l, target_l)
    )
    if after != before:
        cells = {"target_volume_l": target_l}
        edits.append(
            Edit(None, "recipe", None, "target_volume", before, after, target_l, cells=cells)
        )
    return Filled(tuple(edits), target_l)


def _resized(recipe: Recipe, rows: Sequence[Row], size: float) -> list[Edit]:
    found = []
    for row in rows:
        now = row["amount_kg"] if row["amount_kg"] is not None else row["amount_l"]
        amount = _near(row, now, size * now, recipe.decimal)
        if amount is not None and amount.text != row["amount"]:
            found.append(amount_edit(row, amount))
    return found


def _near(row: Row, now: float, wanted: float, decimal: Decimal) -> Amount | None:
    """Return the amount that can be measured nearest what is wanted; liquids as jugs have them."""
    if row["amount_kg"] is None:
        jugs = poured(row["amount"], now, 0.95 * wanted, 1.05 * wanted, decimal)
        if jugs:
            return min(jugs, key=lambda amount: abs(amount.si - wanted))
    return resized(row["amount"], now, wanted, decimal, WITHIN)


def sugar_that_keeps(
    total: Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]],
    wanted: float,
    start: np.ndarray,
    rounds: int = 2,
) -> np.ndarray:
    """Return how many times the sugar keeps what all of it makes per litre, by Newton's steps.

    Parameters
    ----------
    total : callable
        Sizes of the sugar (n,) to what all sugar, fermented or not, comes to (n,), and to the share
        of it that is poured and not the fruit's (n,).
    wanted : float
        What it should come to.
    start : array (n,)
        Sizes to begin with.
    rounds : int
        Steps taken; the relation is nearly a line, and what is left is less than a scale shows.
    """
    sizes = start
    for _ in range(rounds):
        found, share = total(sizes)
        slope = found * share / sizes
        sizes = np.maximum(sizes + (wanted - found) / slope, 0.02)
    return sizes
