"""Which pairs and triples of changes promise most, reckoned from what was already tried.

Two changes seldom do exactly what each does alone: water thins what sugar strengthens. So the
amounts that make up the must are tried in pairs from the start, and what a pair does beyond its
two parts is counted wherever both are in a set. All sets are reckoned at once, in arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from itertools import combinations

import numpy as np

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.yardstick import Outcomes, Yardstick

MOST_CHANGES = 3
WORTH_A_CHANGE = 0.05  # [points of 20] that each change must bring; common practice, no source
OPTIONS_A_PLACE = 8  # ways of changing one thing that are combined with others
MOST_COMBINED = 72  # single changes that are combined
_BULK = ("water", "fruit", "sugar", "honey")


def mixing_pairs(edits: Sequence[Edit]) -> list[tuple[Edit, Edit]]:
    """Return the pairs of amounts whose effects mix: water with all else, fruit with sugar."""
    amounts = [edit for edit in edits if edit.kind in _BULK and edit.field == "amount"]
    found = []
    for one, other in combinations(amounts, 2):
        if one.place == other.place:
            continue
        kinds = {one.kind, other.kind}
        if "water" in kinds or kinds == {"fruit", "sugar"}:
            found.append((one, other))
    return found


def promising(
    sets: Sequence[tuple[Edit, ...]], outcomes: Outcomes, yardstick: Yardstick, most: int
) -> list[tuple[Edit, ...]]:
    """Return the pairs and triples that promise most, best first.

    Parameters
    ----------
    sets : sequence of tuple of Edit
        What was tried: the base, every single change, then pairs of them.
    outcomes : Outcomes
        What they came to, in that order.
    yardstick : Yardstick
        What they are judged by.
    most : int
        How many at most.
    """
    singles = {edits[0]: row for row, edits in enumerate(sets) if len(edits) == 1}
    edits = _to_combine(singles, yardstick.worth(outcomes))
    groups = [_apart(edits, size) for size in range(2, MOST_CHANGES + 1)]
    steps = _steps(outcomes)
    rows = np.array([singles[edit] for edit in edits], dtype=int)
    alone = {name: values[rows] - values[0] for name, values in steps.items()}
    beyond = _beyond(sets, edits, singles, steps)
    found: list[tuple[float, tuple[Edit, ...]]] = []
    for group in groups:
        if not group.size:
            continue
        reckoned = _outcomes(steps, alone, beyond, group)
        worth = np.where(yardstick.is_allowed(reckoned), yardstick.worth(reckoned), -np.inf)[1:]
        worth = worth - WORTH_A_CHANGE * yardstick.out_of / 20.0 * group.shape[1]
        worth = np.where(np.isfinite(worth), worth, -np.inf)
        best = np.argsort(-worth)[:most]
        found += [
            (float(worth[at]), tuple(edits[place] for place in group[at]))
            for at in best
            if np.isfinite(worth[at])
        ]
    known = {frozenset(edits) for edits in sets if len(edits) > 1}
    found = [one for one in found if frozenset(one[1]) not in known]
    return [edits for _, edits in sorted(found, key=lambda one: -one[0])[:most]]


def _to_combine(singles: dict[Edit, int], worth: np.ndarray) -> list[Edit]:
    """Return the single changes to combine: of each thing that can be changed, the best few."""
    taken: dict[object, int] = {}
    found = []
    for edit, row in sorted(singles.items(), key=lambda one: -np.nan_to_num(worth[one[1]])):
        taken[edit.place] = taken.get(edit.place, 0) + 1
        if taken[edit.place] <= OPTIONS_A_PLACE and np.isfinite(worth[row]):
            found.append(edit)
    return found[:MOST_COMBINED]


def _apart(edits: list[Edit], size: int) -> np.ndarray:
    """Return every combination of so many edits that touch different things, (count, size)."""
    every = np.array(list(combinations(range(len(edits)), size)), dtype=int).reshape(-1, size)
    code = {place: number for number, place in enumerate({edit.place for edit in edits})}
    touched = np.sort(np.array([code[edit.place] for edit in edits], dtype=int)[every], axis=1)
    return every[(touched[:, 1:] != touched[:, :-1]).all(axis=1)]


def _steps(outcomes: Outcomes) -> dict[str, np.ndarray]:
    """Return outcomes on scales on which changes add up: shares of strength multiply."""
    values = {field.name: getattr(outcomes, field.name) for field in fields(Outcomes)}
    return values | {"strength": np.log(np.maximum(outcomes.strength, 0.1))}


def _beyond(
    sets: Sequence[tuple[Edit, ...]],
    edits: list[Edit],
    singles: dict[Edit, int],
    steps: dict[str, np.ndarray],
) -> dict[str, np.ndarray]:
    """Return what two edits do together beyond what each does alone, (edits, edits)."""
    place = {edit: number for number, edit in enumerate(edits)}
    found = {name: np.zeros((len(edits), len(edits))) for name in steps}
    for row, pair in enumerate(sets):
        if len(pair) != 2 or pair[0] not in place or pair[1] not in place:
            continue
        one, other = pair
        for name, values in steps.items():
            extra = values[row] - values[singles[one]] - values[singles[other]] + values[0]
            found[name][place[one], place[other]] = extra
            found[name][place[other], place[one]] = extra
    return {name: np.nan_to_num(values) for name, values in found.items()}


def _outcomes(
    steps: dict[str, np.ndarray],
    alone: dict[str, np.ndarray],
    beyond: dict[str, np.ndarray],
    group: np.ndarray,
) -> Outcomes:
    """Return what sets of edits should come to; the base first."""
    reckoned = {}
    for name, values in steps.items():
        moved = alone[name][group].sum(axis=1)
        for one, other in combinations(range(group.shape[1]), 2):
            moved = moved + beyond[name][group[:, one], group[:, other]]
        reckoned[name] = values[0] + np.concatenate([[0.0], moved])
    return Outcomes(**reckoned | {"strength": np.exp(reckoned["strength"])})
