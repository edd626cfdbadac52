"""Factors that a logbook cannot tell apart, found from its batches and from the posterior.

Two signs, either is enough:

- the design: over the tasted batches one factor follows from the other (they are used together or
  not at all; a fruit always had its skins on), so that only their joint effect was ever seen;
- the posterior: of how a pair's joint contribution divides, in the direction that their sum says
  nothing about, the glasses leave as much doubt as there was before any glass, although they did
  teach something about the sum.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pipeline.learning.explain.factors import FACTORS
from pipeline.learning.explain.shares import Shares
from pipeline.learning.musts import Musts
from pipeline.learning.taste.inputs import TasteInputs, Usual

SAME = 0.97  # correlation from which two factors count as one
SAME_AMOUNT = 0.99  # the same between a fruit or yeast and an amount: one odd batch may reach 0.97
FEWEST = 8  # batches that know both, under which nothing is said
FEWEST_WITH = 2  # batches with a fruit or yeast, and without, for it to be one with a factor
WITHIN = 0.02  # share of a factor's variance inside fruits under which fruit decides it
NOTHING_LEARNT = 0.97  # of the doubt about the division still there
SOMETHING_LEARNT = 0.5  # of the doubt about the sum still there
WORTH_SAYING = 0.05  # [points] smaller contributions are not worth dividing

# How the heaviest fruit of a batch was treated: what a second fruit had would blur it.
OF_MAIN_FRUIT = {
    "skins": "skins_share",
    "crushing": "crushed_share",
    "freezing": "frozen_share",
    "ripeness": "unripe_share",
}
Form = tuple[np.ndarray, np.ndarray]  # values, and which of them are known


@dataclass(frozen=True)
class Logged:
    """What is needed of the batches looked at: factors as logged, fruit, yeast and recipe."""

    forms: dict[str, list[Form]]
    labels: dict[str, list[str | None]]
    recipe: list[str | None]


def logged(musts: Musts, inputs: TasteInputs, usual: Usual, rows: np.ndarray) -> Logged:
    """Describe these batches by every factor as it was logged."""
    treated = _of_main_fruit(musts)
    forms = {}
    for factor in FACTORS:
        if factor.name in OF_MAIN_FRUIT:
            values = treated[factor.name][rows]
            forms[factor.name] = _forms(np.nan_to_num(values), np.isfinite(values))
        elif factor.inputs:
            name = factor.inputs[0]
            doubt, spread = inputs.doubt[name][rows], usual.spread.get(name, 0.0)
            known = (doubt < 0.99 * spread) | (doubt == 0)
            forms[factor.name] = _forms(inputs.number[name][rows], known)
    labels = {
        "fruit": [musts.main_fruit[row] for row in rows],
        "yeast": [musts.yeast[row] for row in rows],
    }
    return Logged(forms, labels, [musts.recipe[row] for row in rows])


def design_pairs(batches: Logged) -> list[tuple[str, str]]:
    """Return pairs of factors of which one follows from the other over these batches."""
    forms, found = batches.forms, []
    for one, other in combinations(forms, 2):
        if any(_is_same(a, b) for a in forms[one] for b in forms[other]):
            found.append((one, other))
    for label in batches.labels:
        found += [
            (label, name)
            for name in forms
            if any(_follows(batches, label, form) for form in forms[name])
        ]
    if _is_one_to_one(batches):
        found.append(("fruit", "yeast"))
    return found


def posterior_pairs(shares: Shares) -> list[tuple[str, str]]:
    """Return pairs whose joint contribution is known while its division is not."""
    found = []
    known_before = ((shares.row**2) @ shares.prior).clip(1e-12)
    for i, j in combinations(range(len(shares.names)), 2):
        if min(known_before[i], known_before[j]) < WORTH_SAYING**2:
            continue
        total = shares.row[i] + shares.row[j]
        division = shares.row[i] / known_before[i] - shares.row[j] / known_before[j]
        if _left(shares, total) < SOMETHING_LEARNT and _left(shares, division) > NOTHING_LEARNT:
            found.append((shares.names[i], shares.names[j]))
    return found


def joined(pairs: list[tuple[str, str]]) -> list[list[str]]:
    """Join pairs that share a factor into sets, each in the order of the fixed names."""
    sets: list[set[str]] = []
    for pair in pairs:
        touching = [group for group in sets if group & set(pair)]
        sets = [group for group in sets if not group & set(pair)]
        sets.append(set(pair).union(*touching))
    order = {factor.name: k for k, factor in enumerate(FACTORS)}
    return [sorted(group, key=order.__getitem__) for group in sets]


def _left(shares: Shares, row: np.ndarray) -> float:
    """Return the share of the variance along a row that the glasses have not taken away."""
    after = float(row @ shares.covariance @ row)
    return after / max(float(row**2 @ shares.prior), 1e-12)


def _of_main_fruit(musts: Musts) -> dict[str, np.ndarray]:
    """Return how the heaviest fruit of each must was treated, NaN where not noted."""
    lines = musts.lines
    order = np.lexsort((lines.load, lines.must))
    last = np.searchsorted(lines.must[order], np.arange(len(musts)), side="right") - 1
    found = {}
    for name, column in OF_MAIN_FRUIT.items():
        values = np.full(len(musts), np.nan)
        if order.size:
            at = order[np.maximum(last, 0)]
            is_own = lines.must[at] == np.arange(len(musts))
            values = np.where(is_own, lines.number[column][at], np.nan)
        found[name] = values
    return found


def _forms(values: np.ndarray, known: np.ndarray) -> list[Form]:
    """Return a factor as its value and, where it is often nought, as used or not."""
    unused = int((values[known] <= 0).sum())
    if 0 < unused < known.sum():
        return [(values, known), ((values > 0).astype(float), known)]
    return [(values, known)]


def _is_same(one: Form, other: Form) -> bool:
    both = one[1] & other[1]
    return _correlation(one[0][both], other[0][both]) >= SAME


def _follows(batches: Logged, label: str, form: Form) -> bool:
    """Tell whether fruit or yeast decides a factor: one of them always has it, or each its own."""
    kinds = np.array([kind or "" for kind in batches.labels[label]])
    known = form[1] & (kinds != "")
    kinds, values = kinds[known], form[0][known]
    for kind, count in zip(*np.unique(kinds, return_counts=True), strict=True):
        if min(count, kinds.size - count) >= FEWEST_WITH:
            is_kind = (kinds == kind).astype(float)
            least = SAME if np.unique(values).size == 2 else SAME_AMOUNT
            if _correlation(is_kind, values) >= least:
                return True
    recipes = np.array([recipe or f"({k})" for k, recipe in enumerate(batches.recipe)])[known]
    return _decides(kinds, recipes, values)


def _decides(kinds: np.ndarray, recipes: np.ndarray, values: np.ndarray) -> bool:
    """Tell whether values hardly vary within a kind; a recipe made again and again is one case."""
    if kinds.size == 0:
        return False
    cases = np.unique(np.char.add(np.char.add(kinds, "\n"), recipes), return_index=True)[1]
    _, codes = np.unique(kinds[cases], return_inverse=True)
    count = np.bincount(codes)
    freedom = cases.size - count.size
    if freedom < FEWEST:
        return False
    mean = np.bincount(codes, values[cases]) / count
    _, every = np.unique(kinds, return_inverse=True)
    inside = float(((values - mean[every]) ** 2).mean()) * cases.size / freedom
    return bool(values.var() > 1e-9 and inside < WITHIN * values.var())


def _is_one_to_one(batches: Logged) -> bool:
    """Tell whether each fruit had its one yeast and each yeast its one fruit."""
    pairs = [
        pair
        for pair in zip(batches.labels["fruit"], batches.labels["yeast"], strict=True)
        if None not in pair
    ]
    kinds = len(set(pairs))
    sides = [len({pair[side] for pair in pairs}) for side in (0, 1)]
    return kinds >= 2 and sides == [kinds, kinds] and len(pairs) >= kinds + FEWEST


def _correlation(one: np.ndarray, other: np.ndarray) -> float:
    if one.size < FEWEST or one.std() < 1e-9 or other.std() < 1e-9:
        return 0.0
    return float(abs(np.corrcoef(one, other)[0, 1]))
