"""What makers say of their buckets, against what the formulas give.

Every expectation here is common practice, no source: a maker's own account of one-gallon batches.
"""

from datetime import timedelta

import pytest

from pipeline.advice.sheet.steps import plan_steps
from pipeline.advice.usual import recipe_lines
from pipeline.cellar import Cellar, load_cellar
from pipeline.cellar.plan import plan_musts
from pipeline.enology.composition import banana_sugar_and_starch, starch_to_sugar
from pipeline.enology.enzymes import degrees_too_hot, enzyme_window
from pipeline.enology.fruit import vessel_for
from pipeline.enology.tannin import tannin_exposure
from pipeline.enology.units import KG_PER_LB, L_PER_IMPERIAL_GALLON
from pipeline.learning.taste.terms import HARSHNESS

SOURCE = "common practice, no source"
GALLON = L_PER_IMPERIAL_GALLON


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Cellar:
    """Return a cellar that knows the contract's tables and next to no batches."""
    folder = tmp_path_factory.mktemp("empty")
    (folder / "batches.csv").write_text("batch_id,started_on\nA,2025-01-01\n", encoding="utf-8")
    (folder / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\nA,2025-01-01,water,water,4 L\n", encoding="utf-8"
    )
    return load_cellar(folder)


def _must(cellar: Cellar, fruit: str, pounds: float, *, to_mark: bool) -> dict:
    lines = [
        {"kind": "fruit", "ingredient_key": fruit, "amount_kg": pounds * KG_PER_LB},
        {"kind": "sugar", "ingredient": "sugar", "amount_kg": 2.5 * KG_PER_LB},
        {"kind": "water", "ingredient": "water", "amount_l": GALLON, "is_to_mark": to_mark},
    ]
    target = {"target_volume_l": GALLON}
    frame = recipe_lines(cellar, {"must": [line | target for line in lines]})
    return plan_musts(frame, 0.75).musts.row(0, named=True)


@pytest.mark.parametrize("fruit", ["banana", "damson", "elderberry", "rhubarb"])
def test_a_gallon_that_counts_the_fruit_strains_to_half_to_three_quarters(
    cellar: Cellar, fruit: str
) -> None:
    strained = [
        _must(cellar, fruit, pounds, to_mark=True)["strained_expected_l"] / GALLON
        for pounds in (4.0, 5.0, 6.0)
    ]
    assert all(0.5 <= share <= 0.8 for share in strained), SOURCE
    assert strained == sorted(strained, reverse=True), f"the less the more fruit: {SOURCE}"


def test_a_full_gallon_beside_a_fruit_of_little_juice_is_nearly_all_still_there(
    cellar: Cellar,
) -> None:
    must = _must(cellar, "banana", 4.5, to_mark=False)
    assert must["strained_expected_l"] >= 0.95 * GALLON, SOURCE


def test_the_bucket_then_holds_about_a_gallon_and_a_half(cellar: Cellar) -> None:
    must = _must(cellar, "banana", 4.5, to_mark=False)
    filled = must["water_l"] + must["sugar_l"] + must["fruit_displaced_l"]
    assert filled / GALLON == pytest.approx(1.5, abs=0.15), SOURCE
    assert float(vessel_for(filled)) > filled


def test_very_ripe_fruit_has_turned_its_starch_to_sugar_and_glucoamylase_the_rest() -> None:
    green_sugar, green_starch = banana_sugar_and_starch("under")
    ripe_sugar, ripe_starch = banana_sugar_and_starch("over")
    assert ripe_sugar > 2 * green_sugar, SOURCE
    assert ripe_starch < 0.1 * green_starch, SOURCE
    assert float(starch_to_sugar(10 * green_starch, 1.0)) > 10 * green_starch
    room = 20.0
    assert float(degrees_too_hot(room, "glucoamylase")) == 0, SOURCE


def test_an_enzyme_put_into_freshly_poured_hot_water_is_lost_and_an_hour_later_is_not() -> None:
    for enzyme in ("pectic enzyme", "amylase", "glucoamylase"):
        assert float(degrees_too_hot(90.0, enzyme)) > 0
        # A gallon of scalded must in an open bucket is hand-warm after about an hour: SOURCE.
        assert float(degrees_too_hot(45.0, enzyme)) == 0
        assert enzyme_window(enzyme).denatured_from_c > 45


def test_the_plan_takes_the_fruit_out_after_ten_days_racks_two_weeks_on_and_rests_it_cold() -> None:
    lines = [
        {"line": 2, "kind": "fruit", "ingredient": "damson", "day": 0.0, "removed_day": None},
        {"line": 3, "kind": "water", "ingredient": "water", "day": 0.0, "removed_day": None},
        {"line": 4, "kind": "yeast", "ingredient": "Lantern", "day": 1.0, "removed_day": None},
    ]
    lines = [line | {"ingredient_key": None, "is_to_mark": False} for line in lines]
    days = {step.code: step.day for step in reversed(plan_steps(lines, 1, None))}
    assert days["fruit_out"] == 10, SOURCE
    assert days["rack"] - days["fruit_out"] == 14, SOURCE
    assert 28 <= days["check"] - days["cold"] <= 31, SOURCE
    assert days["check"] < days["bottle"] < days["taste"]
    assert timedelta(days=days["taste"] - days["bottle"]) >= timedelta(weeks=8), SOURCE


def test_skins_left_on_add_tannin_the_more_the_longer_and_the_more_tannic_the_fruit() -> None:
    off, short, long = (
        float(tannin_exposure(0.4, 2, skins, 1, days)) for skins, days in ((0, 14), (1, 4), (1, 14))
    )
    assert off < short < long, SOURCE
    assert float(tannin_exposure(0.4, 3, 1, 1, 14)) > long, SOURCE


def test_moderate_sweetness_hides_what_a_dry_wine_shows() -> None:
    sweet = [line for line in HARSHNESS.lines if line.name.startswith("sweet")]
    assert sweet, "sweetness is a term of harshness"
    assert all(line.mean < 0 for line in sweet), SOURCE
