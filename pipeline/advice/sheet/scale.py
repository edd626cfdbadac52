"""A recipe scaled to another volume: every amount in proportion to the litres.

Nutrient, sulphite and acid go by the litre as sugar and fruit do. Yeast does not: one packet does
any jar, and a whole second one is opened only for a large batch.
"""

import math
from typing import Any

import polars as pl

from pipeline.advice.bench.amounts import amount, span
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, read_quantity
from pipeline.reference import additives

# 5 g of dry yeast at the low end of its dose, 0.25 g/L; common practice, no source
PACKET_DOES_L = 20.0
_ANY_AMOUNT = Expects("an amount", frozenset({"mass", "volume", "count"}), "2 lb")
_BULK = frozenset({"fruit", "juice", "water", "sugar", "honey"})
_LINE_FIELDS = ("line", "day", "kind", "ingredient", "ingredient_key", "form", "skins", "ripeness")
_MORE_FIELDS = ("is_frozen", "is_to_mark", "removed_day", "amount_kg", "amount_l", "amount_error")


def scale_lines(lines: pl.DataFrame, factor: float, target_l: float | None) -> pl.DataFrame:
    """Return the recipe's lines for another volume, with the columns of `staged_recipes`.

    Parameters
    ----------
    lines : polars.DataFrame
        Lines of one recipe.
    factor : float
        Volume wanted over volume written for.
    target_l : float or None
        Volume wanted [L]; None if the recipe says none.

    Returns
    -------
    polars.DataFrame
    """
    by = pl.when(pl.col("kind") == "yeast").then(yeast_factor(target_l)).otherwise(factor)
    return lines.with_columns(
        pl.col("amount_kg") * by,
        pl.col("amount_l") * by,
        pl.col("cost") * by,
        target_volume_l=pl.lit(target_l, dtype=pl.Float64),
    )


def yeast_factor(target_l: float | None) -> float:
    """Return how many times the recipe's yeast a volume [L] takes: whole packets only."""
    return float(max(1, math.ceil((target_l or 0.0) / PACKET_DOES_L)))


def written_lines(scaled: pl.DataFrame, factor: float, target_l: float | None) -> list[dict]:
    """Return the lines as data, each with the ways in which its amount can be measured.

    Parameters
    ----------
    scaled : polars.DataFrame
        As `scale_lines` gives them; `amount` still stands as it was written.
    factor : float
        What they were scaled by.
    target_l : float or None
        Volume wanted [L].

    Returns
    -------
    list of dict
        The recipe's fields in SI; ``written``: the amount as in recipes.csv; ``pieces`` and
        ``piece``: packets or tablets, scaled; ``powder``: as `bench_amounts.amount`, else None.
    """
    return [
        {
            **{name: row[name] for name in (*_LINE_FIELDS, *_MORE_FIELDS)},
            "written": row["amount"],
            "factor": yeast_factor(target_l) if row["kind"] == "yeast" else factor,
            **_pieces(row, factor, target_l),
            "powder": _powder(row),
            "cost": row["cost"],
        }
        for row in scaled.sort("day", "line").iter_rows(named=True)
    ]


def _pieces(row: dict[str, Any], factor: float, target_l: float | None) -> dict[str, Any]:
    found = read_quantity(row["amount"], _ANY_AMOUNT) if row["amount"] else None
    if found is None or isinstance(found, Fault) or found.piece is None:
        return {"pieces": None, "piece": None}
    by = yeast_factor(target_l) if row["kind"] == "yeast" else factor
    return {"pieces": found.us * by, "piece": found.piece}


def _powder(row: dict[str, Any]) -> dict[str, Any] | None:
    is_known = row["ingredient_key"] in additives()["additive"]
    if row["kind"] in _BULK or row["kind"] == "yeast" or row["amount_kg"] is None or not is_known:
        return None
    value, error = 1000 * row["amount_kg"], row["amount_error"] or 0.0
    return amount(
        span(value, value * (1 - error), value * (1 + error), "g"),
        row["ingredient_key"],
        is_dissolved=row["kind"] == "sulphite",
        is_spooned=row["kind"] != "sulphite",
    )
