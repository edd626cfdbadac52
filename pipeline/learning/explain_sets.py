"""Factors that a logbook cannot tell apart, found from its batches and from the posterior.

Two signs, either is enough:

- the design: over the tasted batches one factor follows from the other (they are used together or
  not at all; a fruit always had its skins on), so that only their joint effect was ever seen;
- the posterior: of how a pair's joint contribution divides, in the direction that their sum says
  nothing about, the glasses leave as much doubt as there was before any glass, although they did
  teach something about the sum.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from pipeline.learning.explain_factors import FACTORS, Factor
from pipeline.learning.explain_shares import Shares
from pipeline.learning.taste_inputs import TasteInputs, Usual

SAME = 0.97  # correlation from which two factors count as one
FEWEST = 8  # batches that know both, under which nothing is said
FEWEST_WITH = 3  # batches with a fruit or yeast, and without, for it to be one with a factor
WITHIN = 0.02  # share of a factor's variance inside fruits under which fruit decides it
NOTHING_LEARNT = 0.97  # of the doubt about the division still there
SOMETHING_LEARNT = 0.5  # of the doubt about the sum still there
WORTH_SAYING = 0.05  # [points] smaller contributions are not worth dividing

Label = np.ndarray  # of int, the commonest fruit or the yeast of each batch


def design_pairs(inputs: TasteInputs, usual: Usual, rows: np.ndarray) -> list[tuple[str, str]]:
    """Return pairs of factors of which one follows from the other over these batches."""
    labels = {
        "fruit": np.asarray(inputs.fruit[rows].toarray()).argmax(axis=1),
        "yeast": np.asarray(inputs.yeast[rows].toarray()).argmax(axis=1),
    }
    found = []
    for one, other in combinations(FACTORS, 2):
        if one.name in labels and other.name in labels:
            same = _decides(labels["fruit"], _ones(labels["yeast"]))
        elif one.name in labels:
            same = _follows(labels[one.name], other, inputs, usual, rows)
        elif other.name in labels:
            same = _follows(labels[other.name], one, inputs, usual, rows)
        else:
            same = _move_together(one, other, inputs, usual, rows)
        if same:
            found.append((one.name, other.name))
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


def _forms(
    factor: Factor, inputs: TasteInputs, usual: Usual, rows: np.ndarray
) -> list[tuple[np.ndarray, np.ndarray]]:
    """Return a factor as its value and as used or not, each with which batches know it."""
    found = []
    for name in factor.inputs[:1]:
        values, spread = inputs.number[name][rows], usual.spread.get(name, 0.0)
        doubt = inputs.doubt.get(name, np.zeros(len(inputs)))[rows]
        known = (doubt < 0.99 * spread) | (doubt == 0)
        found.append((values, known))
        if 0 < (values[known] <= 0).sum() < known.sum():
            found.append(((values > 0).astype(float), known))
    return found


def _move_together(
    one: Factor, other: Factor, inputs: TasteInputs, usual: Usual, rows: np.ndarray
) -> bool:
    for values, known in _forms(one, inputs, usual, rows):
        for beside, beside_known in _forms(other, inputs, usual, rows):
            both = known & beside_known
            if _correlation(values[both], beside[both]) >= SAME:
                return True
    return False


def _follows(
    labels: Label, factor: Factor, inputs: TasteInputs, usual: Usual, rows: np.ndarray
) -> bool:
    """Tell whether fruit or yeast decides a factor: one of them always has it, or each its own."""
    for values, known in _forms(factor, inputs, usual, rows):
        codes, heard = labels[known], values[known]
        for level, count in zip(*np.unique(codes, return_counts=True), strict=True):
            if min(count, codes.size - count) < FEWEST_WITH:
                continue
            if _correlation((codes == level).astype(float), heard) >= SAME:
                return True
        if _decides(codes, heard[:, None]):
            return True
    return False


def _decides(labels: Label, values: np.ndarray) -> bool:
    """Tell whether the values hardly vary within a label, enough batches allowing."""
    _, codes = np.unique(labels, return_inverse=True)
    count = np.bincount(codes)
    freedom = labels.size - count.size
    if freedom < FEWEST or labels.size < 2:
        return False
    mean = np.zeros((count.size, values.shape[1]))
    np.add.at(mean, codes, values)
    inside = ((values - (mean / count[:, None])[codes]) ** 2).sum() / freedom
    total = ((values - values.mean(axis=0)) ** 2).sum() / (labels.size - 1)
    return bool(total > 1e-9 and inside < WITHIN * total)


def _ones(labels: Label) -> np.ndarray:
    return (labels[:, None] == np.unique(labels)[None, :]).astype(float)


def _correlation(one: np.ndarray, other: np.ndarray) -> float:
    if one.size < FEWEST or one.std() < 1e-9 or other.std() < 1e-9:
        return 0.0
    return float(abs(np.corrcoef(one, other)[0, 1]))
