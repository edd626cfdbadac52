"""What doubt about amounts does to an expectation: musts again, each with one amount moved.

A spoon, a `~` or a mark leaves an amount open by a stated half-width; what a plan does not say may
be other than usual. Each such amount is moved up and down by one standard deviation, in copies of
its must, and with it what it displaces. Amounts err apart from each other, so variances add.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from pipeline.learning.musts import FruitLines, Musts, poured_share

ERROR_TO_SD = 1.645  # a stated error is taken as a 90 % interval
OF_WORKING = ("must_temperature_c", "heat", "pressing")  # doubted where a plan leaves them open

Numbers = dict[str, np.ndarray]
# Numbers of all copies, those of one kind among them, and by how much their amount is moved.
Move = Callable[[Numbers, np.ndarray, np.ndarray], None]


@dataclass(frozen=True)
class Moved:
    """Copies of musts, one amount moved in each; `of` (m,) are the places they were copied from."""

    of: np.ndarray
    musts: Musts

    def variance(self, here: np.ndarray, there: np.ndarray) -> np.ndarray:
        """Return how much doubt makes an expectation vary, from its values there and here (n,)."""
        away = np.nan_to_num(there - here[self.of])
        # Every amount was moved twice, up and down.
        return np.bincount(self.of, away**2 / 2.0, here.size)


def moved_musts(musts: Musts) -> Moved | None:
    """Return copies of musts with each doubtful amount moved; None where nothing is in doubt.

    Parameters
    ----------
    musts : Musts
        As logged, or planned and completed by `pipeline.learning.usual.as_usually_done`.
    """
    doubts = {name: np.nan_to_num(sd) for name, sd in _deviations(musts).items()}
    rows = {name: np.flatnonzero(sd > 0) for name, sd in doubts.items()}
    by_kg = np.nan_to_num(musts.lines.number["error_kg"]) / ERROR_TO_SD
    lines = np.flatnonzero((by_kg > 0) & (musts.lines.load > 0))
    once = np.concatenate([*rows.values(), musts.lines.must[lines]])
    if once.size == 0:
        return None
    there = musts.take(np.concatenate([once, once]))
    first = 0
    for sign in (1.0, -1.0):
        for name, some in rows.items():
            at = np.arange(first, first + some.size)
            _MOVES.get(name, _of_working(name))(there.number, at, sign * doubts[name][some])
            first += some.size
        at = np.arange(first, first + lines.size)
        _move_fruit(there, at, _rank(musts.lines)[lines], sign * by_kg[lines])
        first += lines.size
    return Moved(np.concatenate([once, once]), _added_up(there))


def _deviations(musts: Musts) -> Numbers:
    """Return the standard deviation of every amount but the fruit's, which stands line by line."""
    found = {
        "sugar": musts["sugar_error_kg"] / ERROR_TO_SD,
        "water": musts["water_error_l"] / ERROR_TO_SD,
        "juice": musts["juice_error_l"] / ERROR_TO_SD,
        "nitrogen": musts["nitrogen_error_mg_l"] / ERROR_TO_SD,
    }
    open_ways = {name: musts.number.get(f"{name}_doubt") for name in OF_WORKING}
    return found | {name: sd for name, sd in open_ways.items() if sd is not None}


def _move_sugar(number: Numbers, at: np.ndarray, by: np.ndarray) -> None:
    sugar, late = number["sugar_kg"][at], number["late_sugar_kg"][at]
    room = number["sugar_l"][at] / sugar * by
    number["late_sugar_kg"][at] += late / sugar * by
    number["sugar_kg"][at] += by
    number["sugar_l"][at] += room
    _displace(number, at, room * (1.0 - late / sugar))


def _move_water(number: Numbers, at: np.ndarray, by: np.ndarray) -> None:
    number["water_l"][at] += by


def _move_juice(number: Numbers, at: np.ndarray, by: np.ndarray) -> None:
    number["juice_sugar_g"][at] *= 1.0 + by / number["juice_l"][at]
    number["juice_l"][at] += by
    _displace(number, at, by)


def _move_nitrogen(number: Numbers, at: np.ndarray, by: np.ndarray) -> None:
    number["nitrogen_added_mg_l"][at] = np.maximum(number["nitrogen_added_mg_l"][at] + by, 0.0)


def _of_working(name: str) -> Move:
    def move(number: Numbers, at: np.ndarray, by: np.ndarray) -> None:
        number[name][at] += by

    return move


_MOVES: dict[str, Move] = {
    "sugar": _move_sugar,
    "water": _move_water,
    "juice": _move_juice,
    "nitrogen": _move_nitrogen,
}


def _move_fruit(there: Musts, at: np.ndarray, rank: np.ndarray, by: np.ndarray) -> None:
    """Move the weight of one line in each must; `rank` counts a must's lines from nought."""
    number, lines = there.number, there.lines
    line = np.searchsorted(lines.must, at) + rank
    lines.load[line] += by / number["target_l"][at]
    of_fruit = {name: np.nan_to_num(values[line]) for name, values in lines.number.items()}
    number["fruit_kg"][at] += by
    number["fruit_sugar_g"][at] += by * of_fruit["sugar_g_kg"]
    number["fruit_starch_g"][at] += by * of_fruit["starch_g_kg"]
    number["fruit_liquid_l"][at] += by * of_fruit["liquid_l_kg"]
    _displace(number, at, by * of_fruit["displaced_l_kg"])


def _displace(number: Numbers, at: np.ndarray, room_l: np.ndarray) -> None:
    """Take the water that no longer fits beneath a mark, as the mart's `must_liquids` does."""
    beneath = number["is_to_mark"][at] * room_l
    number["water_l"][at] = np.maximum(number["water_l"][at] - beneath, 0.0)


def _added_up(there: Musts) -> Musts:
    """Return the moved musts with what follows from the amounts worked out again."""
    lines, number = there.lines, there.number
    number["poured"] = poured_share(number)
    number["load"] = number["fruit_kg"] / number["target_l"]
    load = sparse.csr_array((lines.load, (lines.must, lines.fruit)), shape=there.load.shape)
    return replace(there, load=load)


def _rank(lines: FruitLines) -> np.ndarray:
    """Return which of its must's lines each is, counted from nought."""
    order = np.argsort(lines.must, kind="stable")
    ranked = lines.must[order]
    rank = np.empty(order.size, dtype=int)
    rank[order] = np.arange(order.size) - np.searchsorted(ranked, ranked)
    return rank
