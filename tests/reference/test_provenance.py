"""The page that says where every value comes from is in step with the tables and the code."""

from importlib import import_module

import pytest
from reference.provenance import KINDS, PAGE, TABLES, kind, page, rows_of

CONSTANTS = rows_of(TABLES / "constants.csv")


def test_page_is_in_step():
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python tests/reference/provenance.py"


@pytest.mark.parametrize("row", CONSTANTS, ids=lambda row: f"{row['module']}.{row['name']}")
def test_constant_is_the_one_in_the_code(row):
    module = import_module(f"pipeline.enology.{row['module']}")
    assert getattr(module, row["name"]) == pytest.approx(float(row["value"]), rel=1e-5)
    assert row["source"]
    assert row["provenance"] in KINDS


@pytest.mark.parametrize(
    ("provenance", "source", "expected"),
    [
        ("read", "USDA", "published (read)"),
        ("memory", "handbook", "published (from memory)"),
        ("memory", "common practice", "common practice"),
        ("computed", "stoichiometry", "computed independently"),
    ],
)
def test_kinds(provenance, source, expected):
    assert kind(provenance, source) == expected
