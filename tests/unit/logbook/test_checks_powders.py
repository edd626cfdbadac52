"""Powder names that leave open what they are."""

from typing import Any

import pytest

from pipeline.reference import additive_of, additives, powder_names

HEADING = "batch_id,added_on,kind,ingredient,amount\n"


def _notices(read: Any, *rows: str) -> list[tuple[Any, ...]]:
    text = HEADING + "".join(f"A1,2026-01-10,{row}\n" for row in rows)
    notices = read(additions=text).problems.filter(level="notice", column="ingredient")
    return notices.select("line", "value", "rule", "message", "hint").rows()


@pytest.mark.parametrize(
    ("row", "reckoned", "message", "other"),
    [
        ("sulphite,Sulphite  Tablet,1 g", "potassium metabisulphite", "57.6 or 67.4 %", "sodium"),
        ("sulphite,metabisulfite,1 g", "potassium metabisulphite", "sulphur dioxide", "sodium"),
        ("nutrient,yeast nutrient,1 g", "complex yeast nutrient", "100 or 212 mg nitrogen", "diam"),
        ("enzyme,amylase,1 g", "alpha amylase", "65 or 70 °C", "glucoamylase"),
    ],
)
def test_a_name_that_may_mean_two_powders_is_told(
    read: Any, row: str, reckoned: str, message: str, other: str
) -> None:
    ((line, _, rule, told, hint),) = _notices(read, row)
    assert (line, rule) == (2, "powder-unsure")
    assert message in told
    assert f"reckoned as {reckoned}" in told
    assert hint.startswith(reckoned)
    assert other in hint


@pytest.mark.parametrize(
    "row",
    [
        "sulphite,potassium metabisulphite,1 g",
        "sulphite,sodium metabisulfite,1 g",
        "sulphite,k-meta,1 g",
        "nutrient,DAP,1 g",
        "enzyme,glucoamylase,1 g",
        "other,mixed spice,1 g",
        "yeast,Lantern,5 g",
        "sugar,sugar,1 kg",
    ],
)
def test_a_name_that_says_which_is_not(read: Any, row: str) -> None:
    assert _notices(read, row) == []


def test_a_powder_that_no_table_knows_is_told(read: Any) -> None:
    ((_, value, rule, message, hint),) = _notices(read, "sulphite,white pills,1 g")
    assert (value, rule) == ("white pills", "powder-unknown")
    assert "the sulphur dioxide it brings is unknown" in message
    assert "as the packet has it" in hint


def test_a_powder_under_another_kind_is_told(read: Any) -> None:
    # What DAP does for acid is in no table, so the batch's acid is unknown.
    ((_, _, rule, message, _),) = _notices(read, "acid,DAP,1 g")
    assert rule == "powder-unknown"
    assert "the acid it brings is unknown" in message


def test_each_name_is_told_once(read: Any) -> None:
    rows = [("sulphite,sulphite,1 g"), ("nutrient,nutrients,1 g")] * 3
    found = _notices(read, *rows)
    assert [(line, value) for line, value, *_ in found] == [(2, "sulphite"), (3, "nutrients")]
    assert all("(so in 3 rows)" in message for _, _, _, message, _ in found)


def test_the_two_powders_of_a_name_are_two_and_say_which_they_are() -> None:
    doubtful = powder_names().drop_nulls("may_be")
    sure = set(powder_names().filter(powder_names()["may_be"].is_null())["name"])
    assert doubtful.height > 0
    for name, additive, kind, may_be in doubtful.iter_rows():
        taken, other = may_be.split(" or ")
        assert {taken, other} <= sure, name
        assert additive_of(taken) == additive != additive_of(other), name
        kinds = powder_names().filter(powder_names()["name"].is_in([taken, other]))["kind"]
        assert set(kinds) == {kind}, name
        assert additive_of(other) in set(additives()["additive"])
