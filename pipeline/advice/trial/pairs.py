"""Split batches that were logged: two batches of one recipe begun on one day, unlike in one thing.

A glass of one batch with sugar stirred in, marked beside one as it is, is a pair as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import polars as pl

from pipeline.advice.own_units import days
from pipeline.learning.musts import plain_label

ALIKE = 0.05  # share of the larger by which amounts may differ and still be alike


@dataclass(frozen=True)
class Rule:
    """When two batches differ in a factor: by so much at least, in one column."""

    factor: str
    column: str
    least: float
    shown: str


# As written down; what is measured (warmth) has to differ by more than a thermometer's whim.
_RULES = (
    Rule("skins", "skins_share", 0.3, "{:.0%} with skins"),
    Rule("contact_days", "contact_days", 1.5, "{} on the fruit"),
    Rule("fruit_load", "fruit_load_kg_l", 0.003, "{:.2f} kg/L of fruit"),
    Rule("freezing", "frozen_share", 0.3, "{:.0%} frozen"),
    Rule("crushing", "crushed_share", 0.3, "{:.0%} crushed"),
    Rule("enzyme", "has_pectic_enzyme", 0.5, ""),
    Rule("tannin_added", "tannin_g_l", 0.04, "{:.2f} g/L of tannin"),
    Rule("acidity", "acid_g_l", 0.4, "{:.1f} g/L of acid"),
    Rule("nitrogen_shortfall", "nitrogen_mg_l", 25.0, "{:.0f} mg/L of nitrogen"),
    Rule("alcohol", "sugar_g_l", 10.0, "{:.0f} g/L of sugar"),
    Rule("must_temperature", "must_temperature_mean_c", 2.0, "{:.0f} °C"),
    Rule("sulphite", "so2_mg_l", 25.0, "{:.0f} mg/L of sulphite"),
    Rule("ripeness", "unripe_share", 0.3, "{:.0%} unripe"),
    Rule("ripeness", "overripe_share", 0.3, "{:.0%} overripe"),
)
_WORDED = {"yeast": "yeast", "fruit": "main_fruit", "heat": "extraction", "pressing": "pressed"}
# Sugar is set to the gram, but 1 % vol of it is a small share of all of it.
_FINER = {"alcohol": 0.03, "must_temperature": 0.0}
_YES_NO = {"enzyme": ("no pectic enzyme", "pectic enzyme")}
_HALF = 0.5


@dataclass(frozen=True)
class LoggedPair:
    """Two arms: their batches, the sugar stirred into their glasses, and all they differ in.

    `labels` say each arm of the first factor in a few words.
    """

    batches: tuple[str, str]
    factors: tuple[str, ...]
    labels: tuple[str, str]
    sugar: tuple[float | None, float | None] = (None, None)

    @property
    def is_clean(self) -> bool:
        """Tell whether exactly one thing differs."""
        return len(self.factors) == 1


def logged_pairs(batches: pl.DataFrame, glasses: pl.DataFrame, recipe: str) -> list[LoggedPair]:
    """Return the pairs of a recipe.

    Parameters
    ----------
    batches, glasses : polars.DataFrame
        The mart's tables.
    recipe : str
        As written in batches.csv; upper and lower case alike.
    """
    label = plain_label(recipe)
    ours = [row for row in batches.iter_rows(named=True) if plain_label(row["recipe"]) == label]
    found = [
        paired(one, other)
        for one, other in combinations(ours, 2)
        if one["started_on"] is not None and one["started_on"] == other["started_on"]
    ]
    return [*found, *(pair for row in ours for pair in _sweetened(row["batch_id"], glasses))]


def paired(one: dict[str, Any], other: dict[str, Any]) -> LoggedPair:
    """Return two batches (rows of `batches`) as a pair, with all that they differ in."""
    first, second = _per_litre(one), _per_litre(other)
    rules = [rule for rule in _RULES if _differs(rule, first, second)]
    worded = [factor for factor, column in _WORDED.items() if _is_other(one[column], other[column])]
    factors = tuple(dict.fromkeys([*(rule.factor for rule in rules), *worded]))
    if rules:
        labels = (_label(rules[0], first), _label(rules[0], second))
    elif worded:
        column = _WORDED[worded[0]]
        labels = (str(one[column]), str(other[column]))
    else:
        labels = (one["batch_id"], other["batch_id"])
    return LoggedPair((one["batch_id"], other["batch_id"]), factors, labels)


def _per_litre(row: dict[str, Any]) -> dict[str, Any]:
    """Return a batch with its doses per litre of target, so that fruit does not thin them."""
    target = row["target_volume_l"] or row["must_l"]

    def dose(amount: float | None) -> float | None:
        known = amount is not None and row["must_l"] is not None and target
        return amount * row["must_l"] / target if known and amount is not None else None

    acid, removed = row["acid_added_g_l"], row["acid_removed_g_l"] or 0.0
    sugar = row["sugar_kg"]
    return row | {
        "tannin_g_l": dose(row["tannin_added_g_l"]),
        "acid_g_l": dose(None if acid is None else acid - removed),
        "nitrogen_mg_l": dose(row["nitrogen_added_mg_l"]),
        "so2_mg_l": dose(row["so2_added_mg_l"]),
        "sugar_g_l": None if sugar is None or not target else 1000 * sugar / target,
    }


def _differs(rule: Rule, one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether two batches differ in a factor; what is not noted of one does not count."""
    first, second = one[rule.column], other[rule.column]
    if first is None or second is None:
        return False
    gap, alike = abs(second - first), _FINER.get(rule.factor, ALIKE)
    return bool(gap >= rule.least and gap > alike * max(abs(first), abs(second)))


def _is_other(one: str | None, other: str | None) -> bool:
    return None not in (one, other) and plain_label(one) != plain_label(other)


def _label(rule: Rule, row: dict[str, Any]) -> str:
    value = float(row[rule.column])
    if rule.factor in _YES_NO:
        return _YES_NO[rule.factor][int(value > _HALF)]
    return rule.shown.format(days(value) if rule.factor == "contact_days" else value)


def _sweetened(batch: str, glasses: pl.DataFrame) -> list[LoggedPair]:
    """Return the pairs of a glass as it is and one with sugar stirred in."""
    own = glasses.filter(pl.col("batch_id") == batch)
    sugars = own["sweetened_to_g_l"].drop_nulls().unique().sort().to_list()
    if not sugars or own["sweetened_to_g_l"].null_count() == 0:
        return []
    return [
        LoggedPair(
            (batch, batch),
            ("residual_sugar",),
            ("its own sugar", f"sugar up to {sugar:g} g/L"),
            (None, sugar),
        )
        for sugar in sugars
    ]
