"""How the half-widths of a must's amounts follow from its cells: spoons, marks and `~` amounts."""

from __future__ import annotations

import math

from pipeline.advice.trace.rules import Rule, ratio, values
from pipeline.cellar.origins import Cell, Origins


def marks_of(must: Origins) -> list[dict]:
    """Return the lines of water that say up to where it goes."""
    lines = must.rows("must_lines")
    return [row for row in lines if row["kind"] == "water" and row["is_to_mark"]]


def _error(quantity: str, factor: float = 1.0) -> Rule:
    """Return the rule of a half-width: those of the parts, as they add up by chance."""
    return Rule(
        "spread",
        lambda _, given: math.hypot(*values(given)),
        lambda must: _errors(must, quantity, factor),
    )


def _errors(must: Origins, quantity: str, factor: float = 1.0) -> list[Cell]:
    return [
        must.cell(
            must.additions, row["line"], "amount", _times(row["amount"], factor * row["error"])
        )
        for row in must.rows("contributions")
        if row["quantity"] == quantity
    ]


def _times(amount: float | None, factor: float) -> float | None:
    return None if amount is None else factor * amount


def _of_water() -> Rule:
    """Return the rule of the water's: what was poured, and the highest mark."""

    def cells(must: Origins) -> list[Cell]:
        known = [row for row in marks_of(must) if row["amount_l"] is not None]
        highest = sorted(known, key=lambda row: -row["amount_l"])[:1]
        level = [
            must.cell(
                must.additions, row["line"], "amount", _times(row["amount_l"], row["amount_error"])
            )
            for row in highest
        ]
        return [*_errors(must, "poured_l"), *level]

    return Rule("spread", lambda _, given: math.hypot(*values(given)), cells)


DOUBT_RULES: dict[str, Rule] = {
    "fruit_error_kg": _error("fruit_kg"),
    "sugar_error_kg": _error("sugar_g", 0.001),
    "poured_error_l": _error("poured_l"),
    "water_error_l": _of_water(),
    "juice_error_l": _error("juice_l"),
    "acid_error_g": _error("acid_g"),
    "acid_error_g_l": ratio("acid_error_g", "must_l"),
    "tannin_error_g": _error("tannin_g"),
    "tannin_error_g_l": ratio("tannin_error_g", "must_l"),
    "nitrogen_error_g": _error("nitrogen_g"),
    "nitrogen_error_mg_l": ratio("nitrogen_error_g", "must_l", 1000.0),
}
