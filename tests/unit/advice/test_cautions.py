"""Every caution, each from an answer that sets it off; and that none is said for nothing."""

import pytest

from pipeline.advice import bench, sheet, tasting
from pipeline.advice.bench.wishes import Wishes
from pipeline.advice.cautions import (
    CAUTIONS,
    cautions_due,
    cautions_for_must,
    first_of_each,
)
from pipeline.advice.cautions.circumstances import Circumstances


def _sheet(recipe):
    return lambda cellar: sheet.answer(cellar, recipe)["cautions"]


def _bench(batch, **wishes):
    return lambda cellar: bench.answer(cellar, batch, Wishes(**wishes))["cautions"]


def _hot_must(_):
    due = cautions_for_must(
        {"elderberry"}, has_stone_fruit=False, extraction="simmered", kinds=set()
    )
    return [caution.as_dict() for caution in due]


WALK = {
    "lookalike_plants": _sheet("Wild"),
    "raw_elder": _sheet("Bare"),
    "stone_kernels": _sheet("Plum"),
    "rhubarb_leaves": _sheet("Wild"),
    "mould": _sheet("Plum"),
    "low_acid": _bench("flat"),
    "hot_liquid": _hot_must,
    "bottle_pressure": _bench("sweet"),
    "glass": _sheet("Plum"),
    "sulphite": _bench("sweet"),
    "sorbate": _bench("sweet", sugar_g_l=60.0),
    "caustic": _bench("flat", acidity_g_l=6.0),
    "copper": _bench("dry"),
    "fining_allergens": _bench("sweet"),
    "carbon_dioxide": _sheet("Plum"),
    "strong_wine": lambda cellar: tasting.answer(cellar, ("sweet", "dry"))["cautions"],
    "distilling": _bench("sweet", alcohol_percent=20.0),
    "home_production": _sheet("Plum"),
}


@pytest.mark.parametrize("trigger", CAUTIONS)
def test_each_trigger_brings_its_caution(cellar, trigger):
    shown = {caution["code"]: caution["text"] for caution in WALK[trigger](cellar)}
    assert trigger in shown
    assert shown[trigger].endswith(CAUTIONS[trigger].defers_to)


def test_nothing_is_said_where_nothing_happens():
    assert cautions_due(Circumstances()) == []


@pytest.mark.parametrize(
    ("trigger", "calm"),
    [
        ("raw_elder", Circumstances(fruits={"elderberry"}, extraction="hot")),
        ("low_acid", Circumstances(ph=3.9)),
        ("bottle_pressure", Circumstances(sugar_g_l=2.0)),
        ("hot_liquid", Circumstances(extraction="cold")),
        ("copper", Circumstances(faults={"hazy"})),
        ("distilling", Circumstances(wanted_alcohol=14.0)),
        ("mould", Circumstances(ripeness={"ripe"})),
    ],
)
def test_what_does_not_apply_is_left_out(trigger, calm):
    assert trigger not in {caution.trigger for caution in cautions_due(calm)}


def test_gravest_first_for_a_must():
    due = cautions_for_must(
        {"rhubarb", "elderflower"}, has_stone_fruit=True, extraction=None, kinds={"sulphite"}
    )
    assert [caution.trigger for caution in due] == [
        "lookalike_plants",
        "raw_elder",
        "stone_kernels",
        "rhubarb_leaves",
        "mould",
        "sulphite",
        "carbon_dioxide",
        "home_production",
    ]


def test_elderberries_that_nothing_says_were_heated_are_to_be_heated_with_care():
    codes = {
        extraction: {
            caution.trigger
            for caution in cautions_for_must(
                {"elderberry"}, has_stone_fruit=False, extraction=extraction, kinds=set()
            )
        }
        for extraction in (None, "cold", "simmered")
    }
    assert {"raw_elder", "hot_liquid"} <= codes[None]
    assert "raw_elder" in codes["cold"]
    assert "raw_elder" not in codes["simmered"]
    assert "hot_liquid" in codes["simmered"]


def test_cautions_of_several_answers_are_each_said_once_and_in_order():
    pressure, mould = (CAUTIONS[name].as_text() for name in ("bottle_pressure", "mould"))
    found = first_of_each([pressure, CAUTIONS["mould"].as_dict(), pressure])
    assert [one if isinstance(one, str) else one["text"] for one in found] == [mould, pressure]


def test_every_caution_says_what_can_happen_and_who_knows_better():
    for caution in CAUTIONS.values():
        assert len(caution.text) > 30
        assert caution.defers_to.endswith(".")
        assert caution.text.endswith(".")
