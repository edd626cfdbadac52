"""Tannin and its grip: fruit × its own tannin × skins × days, with powder, levelling off.

How strong a fruit and the powder are, how soon it comes out, how much without skins and where the
grip levels off bend the curve; they are learnt as departures from what the trade expects, through
the tangent of the curve at where they were last found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy import sparse

from pipeline.learning.mixed.columns import Columns, Prior, scaled_columns, scaled_rows
from pipeline.learning.taste.inputs import PULP_SHARE, USUAL_LOAD, TasteInputs

# As the trade expects it: common practice, no source.
HALF_GRIP = 1.0  # [g/L] tannin at which half of the grip it can have is felt
POWDER = 1.5  # a gram of powder beside a gram of a fruit's tannin
CRUSHED = 0.2  # more tannin from crushed fruit
NUMBERS = ("powder", "half", "days", "pulp", "crushed")
DEPARTURES = {"powder": 0.6, "half": 0.5, "days": 0.7, "pulp": 0.6, "crushed": 0.2}
FRUITS = Prior(0.35, 0.4)  # logarithm of a fruit's own strength beside its class
FARTHEST = 1.2
STEP = 0.05


@dataclass(frozen=True)
class Shape:
    """Departures from the expected curve, in logarithms (`crushed` plain); fruit (fruits + 1,)."""

    powder: float = 0.0
    half: float = 0.0
    days: float = 0.0
    pulp: float = 0.0
    crushed: float = 0.0
    fruit: np.ndarray | None = None


@dataclass(frozen=True)
class Tannin:
    """Tannin by fruit (n, fruits + 1), in all [about g/L], and the grip it has, 0 to 1."""

    of_fruit: sparse.csr_array
    total: np.ndarray
    grip: np.ndarray
    steepness: np.ndarray  # of the grip, per g/L

    def fruit_share(self) -> sparse.csr_array:
        """Return each fruit's share of the tannin from fruit, (n, fruits + 1)."""
        total = np.asarray(self.of_fruit.sum(axis=1)).ravel()
        return sparse.csr_array(scaled_rows(self.of_fruit, 1.0 / np.maximum(total, 1e-9)))


def tannin(inputs: TasteInputs, shape: Shape) -> Tannin:
    """Work out the tannin of wines."""
    of_fruit = scaled_rows(_strengths(inputs, shape), _drawn(inputs, shape))
    total, half = _total(inputs, shape, np.asarray(of_fruit.sum(axis=1)).ravel()), _half(shape)
    return Tannin(of_fruit, total, total / (total + half), half / (total + half) ** 2)


def _strengths(inputs: TasteInputs, shape: Shape) -> sparse.csr_array:
    """Return what each fruit would give if all of it came out, by fruit (n, fruits + 1)."""
    tannic = inputs.tannic
    return tannic if shape.fruit is None else scaled_columns(tannic, np.exp(shape.fruit))


def _drawn(inputs: TasteInputs, shape: Shape) -> np.ndarray:
    """Return the share of it that comes out, times the fruit load (n,)."""
    number = inputs.number
    pulp = PULP_SHARE / (PULP_SHARE + (1 - PULP_SHARE) * np.exp(-shape.pulp))
    drawn = pulp + (1 - pulp) * number["skins"]
    drawn = drawn * (1 - np.exp2(-number["halvings"] * np.exp(shape.days)))
    drawn = drawn * (1 + (CRUSHED + shape.crushed) * number["crushed"])
    return number["load"] / USUAL_LOAD * drawn


def _total(inputs: TasteInputs, shape: Shape, of_fruit: np.ndarray) -> np.ndarray:
    return of_fruit + POWDER * np.exp(shape.powder) * inputs.number["tannin_added"]


def _half(shape: Shape) -> float:
    return HALF_GRIP * float(np.exp(shape.half))


def bend_columns(
    columns: Columns,
    inputs: TasteInputs,
    shape: Shape,
    slope: float,
    fruits: tuple[str, ...],
) -> np.ndarray:
    """Add the columns of the tangent and return what they stand for at the present shape (n,)."""
    here = np.zeros(len(inputs))
    # The same for every number: only how much of it comes out is bent, and the fruits add up.
    strength = np.asarray(_strengths(inputs, shape).sum(axis=1)).ravel()

    def grip(**bend: Any) -> np.ndarray:
        bent = replace(shape, **bend)
        total = _total(inputs, bent, strength * _drawn(inputs, bent))
        return total / (total + _half(bent))

    for name in NUMBERS:
        value = getattr(shape, name)
        column = slope * (grip(**{name: value + STEP}) - grip(**{name: value - STEP})) / (2 * STEP)
        columns.line(f"bend {name}", column, Prior(DEPARTURES[name]))
        here += column * value
    found = tannin(inputs, shape)
    block = scaled_rows(found.of_fruit, slope * found.steepness)
    columns.block("bend fruit", block, [*fruits, "?"], FRUITS)
    if shape.fruit is not None:
        here += block @ shape.fruit
    return here


def moved(columns: Columns, coefficients: np.ndarray) -> Shape:
    """Return the shape that the coefficients of the tangent point to."""
    numbers = {
        name: float(np.clip(coefficients[columns.terms[f"bend {name}"][0]], -FARTHEST, FARTHEST))
        for name in NUMBERS
    }
    fruit = np.clip(coefficients[columns.terms["bend fruit"]], -FARTHEST, FARTHEST)
    return Shape(**numbers, fruit=fruit)


def apart(one: Shape, other: Shape) -> float:
    """Return the largest difference between two shapes."""
    found = [abs(getattr(one, name) - getattr(other, name)) for name in NUMBERS]
    zero = 0.0 if other.fruit is None else other.fruit
    return max(*found, 0.0 if one.fruit is None else float(np.abs(one.fruit - zero).max()))
