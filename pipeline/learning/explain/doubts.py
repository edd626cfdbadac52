"""Reasons to doubt what is said of a factor."""

from __future__ import annotations

import numpy as np

from pipeline.counts import how_many
from pipeline.learning.estimate import Doubt
from pipeline.learning.explain.factors import MATRICES, Factor, varies
from pipeline.learning.taste import FEWEST_BATCHES, TasteModel

FEWEST_OF_KIND = 2  # tasted batches of a fruit or yeast, under which little is known of it
FEWEST_FOR_RANGE = 5  # other tasted batches, under which they span no range
OUTSIDE = 0.02  # share of the range by which a value may lie beyond it


def shared_doubts(model: TasteModel, factor: Factor, sets: list[list[str]]) -> list[Doubt]:
    """Return what stands against a factor in every batch."""
    found = []
    if model.batches < FEWEST_BATCHES:
        text = f"too few tasted batches ({model.batches}): what the trade expects, no verdict"
        found.append(Doubt("few_batches", text))
    if not varies(factor, model.inputs, tasted_rows(model)):
        found.append(Doubt("no_variation", "your tasted batches hardly differ in it"))
    for group in sets:
        if factor.name in group:
            others = " and ".join(name.replace("_", " ") for name in group if name != factor.name)
            text = f"changed together with {others}: only what they do together is known"
            found.append(Doubt("confounded", text))
    return found


def batch_doubts(model: TasteModel, factor: Factor, row: int) -> list[Doubt]:
    """Return what stands against a factor in one batch."""
    rows = tasted_rows(model)
    others = rows[rows != row]
    if factor.name in MATRICES:
        return _kind_doubts(model, factor, row, others)
    found = []
    for name in factor.inputs[:1]:
        values, sd = model.inputs.number[name], model.inputs.doubt[name][row]
        spread = model.usual.spread.get(name, 0.0)
        if spread > 0 and sd >= 0.99 * spread:
            found.append(Doubt("missing_input", "not noted for this batch: taken as usual"))
        elif others.size >= FEWEST_FOR_RANGE and _is_outside(values[row], values[others]):
            found.append(Doubt("outside_experience", "no other tasted batch went so far"))
    return found


def tasted_rows(model: TasteModel) -> np.ndarray:
    """Return the places of the batches that were tasted."""
    return np.unique(model.pours.must)


def _kind_doubts(model: TasteModel, factor: Factor, row: int, others: np.ndarray) -> list[Doubt]:
    part = model.inputs.fruit if factor.name == "fruit" else model.inputs.yeast
    own = part[[row]].toarray().ravel()
    if own.sum() < 0.5:
        return [Doubt("missing_input", "not noted for this batch")]
    alike = (part[others].toarray() @ own) > 0.25
    if alike.sum() >= FEWEST_OF_KIND:
        return []
    had_it = int(alike.sum())
    text = f"{'only ' if had_it else ''}{how_many(had_it)} of the other tasted batches had it"
    return [Doubt("few_batches", text)]


def _is_outside(value: float, others: np.ndarray) -> bool:
    low, high = float(others.min()), float(others.max())
    slack = OUTSIDE * (high - low)
    return bool(value < low - slack or value > high + slack)
