"""The planner of a vessel, on a simulated maker's logbook and in the maker's units."""

import pytest
from makers.maker import simulate
from makers.write import write
from unit.show.samples import planned

from pipeline.advice.planner import answer
from pipeline.advice.usual import usual_vessel
from pipeline.cellar import load_cellar
from pipeline.learning import fit_models
from pipeline.show import words_planner
from pipeline.show.units import Units


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    folder = write(simulate(12, 60, planned=2), tmp_path_factory.mktemp("logs") / "club")
    cellar = load_cellar(folder)
    return cellar, fit_models(cellar)


@pytest.fixture(scope="module")
def fruit(club):
    return club[0].table("must_fruits")["fruit"].mode()[0]


def test_a_plan_scales_with_its_target(club, fruit):
    small = answer(*club, fruit, 1.5, 4.0, 4.5)
    large = answer(*club, fruit, 3.0, 8.0, 9.0)
    for name in ("finished_volume", "finished_fraction"):
        share = 2 if name == "finished_volume" else 1
        assert large[name]["value"] == pytest.approx(share * small[name]["value"])
    assert large["vessel_l"] == pytest.approx(2 * small["vessel_l"])
    assert large["sugar_kg"] == pytest.approx(2 * small["sugar_kg"])
    assert large["chance_full"] == pytest.approx(small["chance_full"])


def test_more_water_gives_more_wine_and_a_fuller_vessel(club, fruit):
    plans = [answer(*club, fruit, 1.5, litres, 4.5) for litres in (2.5, 4.0, 6.0)]
    volumes = [plan["finished_volume"]["value"] for plan in plans]
    chances = [plan["chance_full"] for plan in plans]
    assert volumes == sorted(volumes)
    assert chances == sorted(chances)
    # 3.5 L more water of which nearly all is racked and bottled.
    assert 2.6 < volumes[2] - volumes[0] < 3.5
    assert (chances[0], chances[2]) == pytest.approx((0.0, 1.0), abs=0.02)
    curve = [point["finished_volume"]["value"] for point in plans[0]["curve"]]
    assert curve == sorted(curve)


def test_it_begins_where_the_maker_usually_does(club, fruit):
    usual = usual_vessel(club[0], fruit)
    assert usual["target_l"] == club[0].table("batches")["target_volume_l"].median()
    assert 0.05 < usual["load_kg_l"] < 1.0
    assert 0.3 < usual["water_l_l"] < 1.5


@pytest.mark.parametrize("show", ["metric", "us", "imperial"])
def test_sliders_stand_on_their_steps_and_inside_their_ends(show):
    units = Units(show)
    for slider in (
        words_planner.target_slider(units, 4.54),
        words_planner.fruit_slider(units, "damson", 4.54, 0.33),
        words_planner.water_slider(units, 4.54, 0.84),
        words_planner.water_slider(units, 4.54, 40.0),
    ):
        assert slider.low <= slider.value <= slider.high
        for place in (slider.low, slider.value, slider.high):
            assert round(place / slider.step) == pytest.approx(place / slider.step)
    fruit = words_planner.fruit_slider(units, "damson", 4.54, 0.33)
    assert fruit.label.startswith("Damson, ")
    assert fruit.in_si(fruit.value) == pytest.approx(4.54 * 0.33, abs=fruit.in_si(fruit.step))


def test_what_is_said_is_in_the_makers_units():
    assert words_planner.planner_answer(planned(), Units("metric")) == (
        "1.50 kg of damson and 4.00 L of water give 4.6 L (4.3 to 4.9) of finished wine. "
        "The chance of 4.50 L or more is 80 in 100."
    )
    rows = dict(words_planner.planner_listing(planned(), Units("us")).rows)
    assert rows["damson"] == "3 lb 5 oz"
    unknown = planned() | {"finished_volume": None}
    assert "cannot say" in words_planner.planner_answer(unknown, Units())
