"""Litres that a kilogram of fruit adds to the strained must, as a curve in what was done to it.

A fruit can give up so much liquid (`give`), has given up a share of it after so many days, the
sooner the finer it is cut, if frozen, heated or helped by an enzyme (`pace`), and its pulp holds
back some of the liquid it swims in, the less the harder it is pressed (`hold`):

    net = give · (1 - exp(-days / pace)) - hold        [L/kg]

The coefficients are departures from a usual fruit, in logarithms for hold and pace, so that a
treatment frees a share of what the pulp holds: much from a starchy root, little from a berry. No
fruit gives more than the liquid that is in it, by the reference table.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy import sparse

from pipeline.learning.mixed.columns import Columns, Prior, scaled_rows
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.musts import FruitLines, Musts

# A usual fruit: common practice, no source; every maker's logbook moves them.
GIVES_SHARE = 0.9  # of its own liquid
GIVES_L_KG = 0.82  # where its liquid is not known
DRIED_GIVES_L_KG = 0.10
FLOWER_GIVES_L_KG = 0.25  # flowers and leaves, which bring no sugar
DRIED_FROM_G_KG = 400.0  # [g/kg] sugar above which a fruit is a dried one
STARCHY_FROM_G_KG = 10.0  # [g/kg] starch above which pulp swells, and
STARCH_HOLDS = 0.4  # holds back so much more, as a logarithm
HOLDS_L_KG = 0.28
PACE_DAYS = 2.5
SHORTEST_DAYS = 0.3
USUAL_DAYS = 7.0
MOST_LOG_HOLD, MOST_LOG_PACE = 1.8, 2.5  # beyond that no fruit is

# Expected sizes, as Prior(standard deviation, doubt); logarithms but for give.
GIVE_ALL, GIVE = Prior(0.05), Prior(0.12, 0.4)
HOLD_ALL, HOLD = Prior(0.2), Prior(0.35, 0.4)
PACE_ALL, PACE = Prior(0.4), Prior(0.3, 0.2)
GIVE_TREATMENT = Prior(0.03, 0.5)
HOLD_TREATMENT, PACE_TREATMENT = Prior(0.12, 0.4), Prior(0.25)

# Each finer way of cutting is told against the one before: cut at all, crushed, pureed.
OF_LINE = (
    *("cut_share", "crushed_share", "pureed_share"),
    *("frozen_share", "unripe_share", "overripe_share"),
)
OF_MUST = ("has_pectic_enzyme", "heat", "pressing", "has_amylase")
HASTENS = (
    *("cut_share", "crushed_share", "pureed_share"),
    *("frozen_share", "has_pectic_enzyme", "heat"),
)
# What treatment usually does, in logarithms: common practice, no source.
USUAL_HOLD = {"pressing": -0.5, "has_pectic_enzyme": -0.2, "frozen_share": -0.1}
USUAL_PACE = {
    "cut_share": 0.5,
    "crushed_share": 0.5,
    "pureed_share": 0.3,
    "frozen_share": 0.4,
    "has_pectic_enzyme": 0.3,
    "heat": 0.4,
}
USUAL_SHARE = {"cut_share": 0.7}  # where the logbook has no mean of it
SIZE = {"unripe_share": 0.5, "overripe_share": 0.5}  # less is expected of these
STARCH_SIZE = 0.4  # and more of starch


@dataclass
class Release:
    """The three designs over fruit lines, laid end to end into one vector of coefficients."""

    fruits: tuple[str, ...]
    typical: dict[str, float]
    width: int = 0
    priors: dict[str, Prior] = field(default_factory=dict)
    groups: dict[str, list[int]] = field(default_factory=dict)

    def designs(self, musts: Musts) -> tuple[Columns, Columns, Columns]:
        """Return the columns of give, hold and pace, one row per fruit line."""
        lines = musts.lines
        treatment = self.treatments(musts)
        give, hold, pace = (Columns(lines.must.size) for _ in range(3))
        for columns, everyone, each in (
            (give, GIVE_ALL, GIVE),
            (hold, HOLD_ALL, HOLD),
            (pace, PACE_ALL, PACE),
        ):
            columns.line("all fruit", np.ones(lines.must.size), everyone)
            columns.block("fruit", _by_fruit(lines, len(self.fruits)), [*self.fruits, "?"], each)
        hold.line("starch", _starchy(lines), HOLD_TREATMENT, "treatment", scale=STARCH_SIZE)
        for name, values in treatment.items():
            columns_of = [(hold, HOLD_TREATMENT), (give, GIVE_TREATMENT)]
            if name in HASTENS:
                columns_of.append((pace, PACE_TREATMENT))
            for columns, prior in columns_of:
                step = 1.0 / SIZE.get(name, 1.0)
                columns.line(name, values, prior, "treatment", scale=step)
        return give, hold, pace

    def treatments(self, musts: Musts) -> dict[str, np.ndarray]:
        """Treatment of each fruit line, away from the logbook's usual."""
        lines = musts.lines
        found = {}
        for name in OF_LINE:
            values = lines.number[name]
            usual = self.typical.get(name, USUAL_SHARE.get(name, 0.0))
            found[name] = np.where(np.isfinite(values), values, usual) - usual
        for name in OF_MUST:
            away = musts.filled(name, self.typical) - self.typical.get(name, 0.0)
            found[name] = away[lines.must]
        return found

    def days(self, lines: FruitLines) -> np.ndarray:
        """Return the days each fruit lay in the must."""
        days = lines.number["contact_days"]
        usual = self.typical.get("contact_days", USUAL_DAYS)
        return np.maximum(np.where(np.isfinite(days), days, usual), SHORTEST_DAYS)


@dataclass(frozen=True)
class ReleaseCurve:
    """The release of some musts' fruit lines as a function of the coefficients."""

    give0: np.ndarray
    hold0: np.ndarray
    days: np.ndarray
    give: sparse.csr_array
    hold: sparse.csr_array
    pace: sparse.csr_array
    lines: FruitLines

    @property
    def width(self) -> int:
        """Number of coefficients."""
        return int(self.give.shape[1] + self.hold.shape[1] + self.pace.shape[1])

    def per_kg(self, coefficients: np.ndarray) -> tuple[np.ndarray, sparse.csr_array]:
        """Return net litres per kg of each line (m,) and their Jacobian (m, width)."""
        first, second = self.give.shape[1], self.give.shape[1] + self.hold.shape[1]
        give = self.give0 + self.give @ coefficients[:first]
        log_hold, hold_slope = _limited(self.hold @ coefficients[first:second], MOST_LOG_HOLD)
        log_pace, pace_slope = _limited(self.pace @ coefficients[second:], MOST_LOG_PACE)
        hold = self.hold0 * np.exp(log_hold)
        elapsed = self.days / PACE_DAYS * np.exp(log_pace)
        left = np.exp(-elapsed)
        slope = sparse.hstack(
            [
                scaled_rows(self.give, 1 - left),
                scaled_rows(self.hold, -hold * hold_slope),
                scaled_rows(self.pace, give * left * elapsed * pace_slope),
            ]
        )
        return give * (1 - left) - hold, sparse.csr_array(slope)

    def per_must(self, coefficients: np.ndarray, count: int) -> tuple[np.ndarray, sparse.csr_array]:
        """Return litres per litre of target that the fruit adds to each must, with Jacobian."""
        net, slope = self.per_kg(coefficients)
        rows = np.arange(self.lines.must.size)
        shape = (count, rows.size)
        gather = sparse.csr_array((self.lines.load, (self.lines.must, rows)), shape=shape)
        return gather @ net, sparse.csr_array(gather @ slope)


def release_curve(release: Release, musts: Musts) -> ReleaseCurve:
    """Return the curve for these musts."""
    lines = musts.lines
    give, hold, pace = release.designs(musts)
    is_dried = np.nan_to_num(lines.number["sugar_g_kg"]) > DRIED_FROM_G_KG
    own = GIVES_SHARE * lines.number["liquid_l_kg"]
    give0 = np.where(np.isfinite(own), own, GIVES_L_KG)
    give0 = np.where(is_dried, DRIED_GIVES_L_KG, give0)
    give0 = np.where(lines.number["sugar_g_kg"] == 0, FLOWER_GIVES_L_KG, give0)
    treatment = release.treatments(musts)
    log_hold = sum(usual * treatment[name] for name, usual in USUAL_HOLD.items())
    hold0 = HOLDS_L_KG * np.exp(log_hold + STARCH_HOLDS * _starchy(lines))
    hasty = np.exp(sum(usual * treatment[name] for name, usual in USUAL_PACE.items()))
    return ReleaseCurve(
        give0,
        hold0,
        release.days(lines) * hasty,
        give.matrix(),
        hold.matrix(),
        pace.matrix(),
        lines,
    )


def release_groups(release: Release, musts: Musts) -> list[Grouped]:
    """Return the groups of the coefficients, numbered through give, hold and pace."""
    found, first = [], 0
    for part, columns in zip(("give", "hold", "pace"), release.designs(musts), strict=True):
        for group in columns.grouped():
            places = tuple(first + place for place in group.columns)
            found.append(Grouped(f"{part}: {group.name}", places, group.sd, group.doubt))
        first += len(columns.names)
    return found


def _limited(values: np.ndarray, most: float) -> tuple[np.ndarray, np.ndarray]:
    """Keep logarithms within bounds, smoothly, so that none runs away; and the slope of that."""
    bent = np.tanh(values / most)
    return most * bent, 1.0 - bent**2


def _starchy(lines: FruitLines) -> np.ndarray:
    return (np.nan_to_num(lines.number["starch_g_kg"]) > STARCHY_FROM_G_KG).astype(float)


def _by_fruit(lines: FruitLines, count: int) -> sparse.csr_array:
    rows = np.arange(lines.fruit.size)
    ones = np.ones(rows.size)
    return sparse.csr_array((ones, (rows, lines.fruit)), shape=(rows.size, count + 1))
