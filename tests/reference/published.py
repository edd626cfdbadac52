"""The published check values: which rows there are, and how a row becomes a test."""

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from pipeline.enology.units import KG_PER_LB, L_PER_US_GALLON

AIR, BRASS = 0.0012, 8.4  # [kg/L] as the tables that weigh in air against brass have them
POUNDS_PER_GALLON = L_PER_US_GALLON / KG_PER_LB


class Check(NamedTuple):
    """One row of checks.csv."""

    check_id: str
    quantity: str
    inputs: dict
    expected: float
    unit: str
    tolerance: float
    source: str
    provenance: str


# Rows that no formula of hedgerow answers, and why.
NOT_FORMULAS = {
    "j403": "an analysis that disagrees with the stage table; named in fruit.csv",
    "j404": "plantain is not in the stage table",
    "j406": "a second USDA analysis; fruit.csv keeps the first and names this one",
    "j407": "a third analysis; fruit.csv keeps the first and names this one",
    "l525": "a report of illness behind the elderberry caution, not a number to compute",
}
LEARNING_ROWS = range(410, 458)  # k410 … k457: mixed models, tested in test_mixed_model.py


def all_checks() -> list[Check]:
    path = Path(__file__).parent / "checks.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return [
            Check(
                row["check_id"],
                row["quantity"],
                json.loads(row["inputs"]),
                float(row["expected"]),
                row["unit"],
                float(row["tolerance"]),
                row["source"],
                row["provenance"],
            )
            for row in csv.DictReader(file)
        ]


def checks(group: str) -> list[Check]:
    """Return the rows of a group that a formula answers."""
    return [
        check
        for check in all_checks()
        if check.check_id.startswith(group)
        and check.check_id not in NOT_FORMULAS
        and not (group == "k" and int(check.check_id[1:]) in LEARNING_ROWS)
    ]


def with_source(group: str) -> list:
    """Return the rows as test parameters whose id names the source."""
    return [
        pytest.param(check, id=f"{check.check_id}-{check.provenance}-{_short(check.source)}")
        for check in checks(group)
    ]


def _short(source: str) -> str:
    return re.sub(r"[^A-Za-z0-9]+", "_", source)[:48].strip("_")


def agree(check: Check, formulas: dict[str, Callable[[dict], float]]) -> None:
    """Assert that the formula for this quantity gives the published value."""
    value = formulas[check.quantity](check.inputs)
    # A millionth of the tolerance allows for the last bit of a decimal fraction.
    allowed = check.tolerance * (1 + 1e-6) + 1e-12
    assert abs(value - check.expected) <= allowed, (
        f"{check.quantity} {check.inputs}: {value:.7g}, published {check.expected:g} "
        f"± {check.tolerance:g} {check.unit} ({check.source})"
    )


def weight_in_air(density_kg_l: float) -> float:
    """Return pounds per US gallon as a balance with brass weights shows them."""
    return (density_kg_l - AIR) / (1 - AIR / BRASS) * POUNDS_PER_GALLON
