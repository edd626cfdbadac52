"""What is read of a call to fill a vessel, what is refused, and how much sugar goes along."""

import numpy as np
import polars as pl
import pytest

from pipeline.advice.amounts import Amount
from pipeline.advice.fill.asked import read_fill
from pipeline.advice.fill.ways import (
    Recipe,
    in_proportion,
    measured_with_water,
    sugar_that_keeps,
    waters,
)
from pipeline.errors import CannotSayError, HedgerowError

POUND = 0.45359237


def _line(line: int, kind: str, amount: str, kg: float | None, litres: float | None) -> dict:
    return {
        "recipe": "damson",
        "line": line,
        "kind": kind,
        "ingredient": kind,
        "amount": amount,
        "amount_kg": kg,
        "amount_l": litres,
        "is_to_mark": amount.startswith("to "),
        "cost": 1.0 if kind == "sugar" else None,
        "target_volume_l": 4.54609,
    }


LINES = [
    _line(2, "fruit", "4 lb", 4 * POUND, None),
    _line(3, "water", "1 pt", None, 0.568),
    _line(4, "water", "to 1 gal", None, 4.54609),
    _line(5, "sugar", "2 lb", 2 * POUND, None),
    _line(6, "yeast", "1 packet", 0.005, None),
    _line(7, "sulphite", "1 tablet", 0.00044, None),
]


def _recipe(*kinds: str, **cells: object) -> Recipe:
    rows = [row | cells for row in LINES if not kinds or row["kind"] in kinds]
    return Recipe(pl.DataFrame(rows, infer_schema_length=None), "imperial")


@pytest.mark.parametrize(
    ("typed", "chance"), [("80", 0.8), ("95 %", 0.95), ("0.6", 0.6), ("82.5", 0.825)]
)
def test_a_chance_is_read_as_people_write_it(typed: str, chance: float) -> None:
    assert read_fill(typed, None) == (pytest.approx(chance), "strength")
    assert read_fill(typed, "Fruit") == (pytest.approx(chance), "fruit")


def test_without_a_chance_nothing_is_filled() -> None:
    assert read_fill(None, None) is None
    with pytest.raises(HedgerowError, match="give --fill too"):
        read_fill(None, "fruit")


@pytest.mark.parametrize("typed", ["full", "100", "20", "1", "-80"])
def test_a_chance_that_nobody_can_mean_is_refused(typed: str) -> None:
    with pytest.raises(HedgerowError, match="--fill is the chance of a full vessel, 50 to 99 %"):
        read_fill(typed, None)


def test_what_is_kept_is_one_of_three_words() -> None:
    with pytest.raises(HedgerowError, match="strength, fruit, proportions, got 'taste'"):
        read_fill("80", "taste")


def test_the_mark_is_the_water_that_changes() -> None:
    assert _recipe().water["line"] == 4
    assert _recipe().target_l == 4.54609


def test_what_a_recipe_lacks_is_refused_with_the_way_out() -> None:
    with pytest.raises(CannotSayError, match="has no water to pour more or less of"):
        _ = _recipe("fruit", "sugar").water
    with pytest.raises(CannotSayError, match="has no sugar that could keep the strength"):
        _ = _recipe("fruit", "water").sweet
    with pytest.raises(CannotSayError, match="does not say how much wine it aims at"):
        _ = Recipe(_recipe().lines.with_columns(target_volume_l=pl.lit(None, pl.Float64))).target_l


def test_water_and_sugar_change_together_and_what_the_sugar_costs() -> None:
    filled = measured_with_water(_recipe(), Amount("to 1 gal 1 pt", 5.114), 1.26)
    water, sugar = filled.edits
    assert (water.line, water.before, water.after) == (4, "to 1 gal", "to 1 gal 1 pt")
    assert (sugar.line, sugar.after) == (5, "2 lb 8 oz")
    assert sugar.after_si == pytest.approx(1.26 * 2 * POUND, rel=0.015)
    assert sugar.cells["cost"] == pytest.approx(sugar.after_si / (2 * POUND))
    assert measured_with_water(_recipe(), Amount("to 1 gal", 4.54609), 1.0).edits == ()


def test_water_by_weight_is_poured_in_the_steps_of_its_scales() -> None:
    weighed = _recipe("water", amount="10 lb", amount_l=4.54)
    found = waters(weighed, 4.5, 5.0)
    assert {amount.text for amount in found} >= {"10 lb", "11 lb"}
    assert [amount.si for amount in found] == sorted(amount.si for amount in found)


def test_all_of_a_recipe_grows_but_packets_and_tablets() -> None:
    filled = in_proportion(_recipe(), 1.25)
    assert {edit.line for edit in filled.edits} == {2, 3, 4, 5, None}
    assert filled.target_l == pytest.approx(1.25 * 4.54609)
    target = filled.edits[-1]
    assert (target.field, target.before, target.after) == (
        "target_volume",
        "1 imp gal",
        "1 imp gal 2 imp pt",
    )
    for edit in filled.edits[:-1]:
        now = next(row for row in LINES if row["line"] == edit.line)
        assert edit.after_si == pytest.approx(
            1.25 * (now["amount_kg"] or now["amount_l"]), rel=0.03
        )


def test_sugar_follows_the_water_until_all_of_it_makes_the_same() -> None:
    # 200 g of fruit's sugar and 900 of sugar in so many litres, at 16.6 g/L for 1 % vol.
    litres = np.array([3.5, 4.5, 6.0])

    def total(sizes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return (200 + 900 * sizes) / litres / 16.6, 900 * sizes / (200 + 900 * sizes)

    wanted = 1100 / 4.5 / 16.6
    sizes = sugar_that_keeps(total, wanted, litres / 4.5)
    assert total(sizes)[0] == pytest.approx(np.full(3, wanted))
    assert sizes[1] == pytest.approx(1.0)
