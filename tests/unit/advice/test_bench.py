"""The bench on literal wines: doses against worked answers, refusals, what goes with what."""

from dataclasses import replace

import numpy as np
import pytest
from unit.advice.wines import reading

from pipeline.advice import bench
from pipeline.advice.bench.acid import to_acidity
from pipeline.advice.bench.blend import blend_shares, blend_wines, thin
from pipeline.advice.bench.readings import read_wine
from pipeline.advice.bench.stabilise import sorbate, stabilising_doubts, sulphite
from pipeline.advice.bench.sweetening import LADDER_G_L, sweeten, to_gravity
from pipeline.advice.bench.wine import Refusal, known
from pipeline.advice.bench.wishes import Wishes, read_volume, read_wishes
from pipeline.enology.sulphite import molecular_so2
from pipeline.enology.sweetening import sugar_after_sweetening, sugar_to_gravity
from pipeline.errors import CannotSayError, HedgerowError, UnknownNameError
from pipeline.learning.estimate import Estimate


def test_ladder_scales_each_glass_to_the_batch(wine):
    ladder = sweeten(wine)["ladder"]
    assert [rung["stirred_in_g_l"] for rung in ladder] == list(LADDER_G_L)
    assert [rung["glass_sugar_g"] for rung in ladder] == pytest.approx([0, 0.5, 1, 2, 4])
    assert [rung["glass_syrup_ml"] for rung in ladder] == pytest.approx([0, 1, 2, 4, 8])
    assert [rung["batch_sugar_kg"] for rung in ladder] == pytest.approx([0, 0.02, 0.04, 0.08, 0.16])
    assert ladder[-1]["volume_after_l"] == pytest.approx(4 + 0.618 * 0.16)
    assert ladder[0]["gravity_after"] == pytest.approx(1.000, abs=1e-9)
    assert ladder[-1]["sugar_after_g_l"] == pytest.approx(58.5, abs=0.1)
    assert ladder[-1]["alcohol_after_percent"] == pytest.approx(12 / 1.0247, rel=1e-3)


def test_dose_reaches_its_target_and_widens_with_what_is_not_known(wine):
    dose = sweeten(wine, 40.0)["dose"]
    assert sugar_after_sweetening(20.0, 4.0, dose["batch_sugar_kg"]) == pytest.approx(40.0)
    grams = dose["grams"]
    assert sugar_after_sweetening(30.0, 4.0, grams["low"] / 1000) == pytest.approx(40.0)
    assert sugar_after_sweetening(10.0, 4.0, grams["high"] / 1000) == pytest.approx(40.0)
    rough = sweeten(replace(wine, volume=reading(4.0, 0.1)), 40.0)["dose"]["grams"]
    assert rough["high"] == pytest.approx(1.1 * grams["high"])
    assert dose["pressure_if_it_ferments_bar"] > 5


def test_gravity_by_sugar_shows_what_the_hydrometer_will_read(wine):
    found = to_gravity(wine, 1.010)
    assert found["add"] == "sugar"
    assert found["dose"]["grams"]["value"] == pytest.approx(
        1000 * sugar_to_gravity(1.000, 1.010, 4.0)
    )
    assert found["dose"]["gravity_after"] == pytest.approx(1.010, abs=1e-7)


def test_gravity_by_water(wine):
    found = to_gravity(replace(wine, gravity=reading(1.010)), 1.008)
    assert found["add"] == "water"
    # Four gallons at 1.010 and one of water read 1.008.
    assert found["dose"]["water_l"]["value"] == pytest.approx(1.0)


def test_water_cannot_go_below_its_own_gravity(wine):
    assert "cannot bring it to 0.995" in to_gravity(wine, 0.995).why


def test_a_must_is_sweetened_by_the_sucrose_table(wine):
    must = replace(wine, state="fermenting", gravity=reading(1.060), volume=reading(18.93))
    dose = to_gravity(must, 1.075)["dose"]
    assert dose["grams"]["value"] == pytest.approx(847, abs=10)
    assert dose["gravity_after"] == pytest.approx(1.075, abs=1e-6)


def test_sulphite_fills_up_to_what_the_ph_asks_for(wine):
    found = sulphite(wine)
    assert found["free_needed_mg_l"] == pytest.approx(32, abs=0.5)
    assert molecular_so2(found["free_needed_mg_l"], 3.4) == pytest.approx(0.8)
    # 60 % of the dose stays free.
    assert 10 + 0.6 * found["rise_mg_l"] == pytest.approx(found["free_needed_mg_l"])
    assert found["dose"]["level_teaspoons"] is None
    assert found["dose"]["grams"]["low"] < found["dose"]["grams"]["value"]
    assert not found["is_most"]


def test_enough_sulphite_gets_none(wine):
    found = sulphite(replace(wine, free_so2=reading(40.0)))
    assert found["rise_mg_l"] == 0
    assert found["dose"]["grams"]["value"] == 0


def test_unknown_free_sulphite_gives_the_most_and_says_so(wine):
    unknown = replace(wine, free_so2=None)
    assert sulphite(unknown)["is_most"]
    assert "the most it can need" in stabilising_doubts(unknown)[0].text


def test_no_ph_no_verdict(wine):
    blind = replace(wine, ph=None)
    first = sulphite(blind)
    assert isinstance(first, Refusal)
    assert "no pH" in first.why
    assert "Measure the pH" in first.next_step
    assert "no pH" in sorbate(blind, first).why


def test_dose_above_the_caution_is_blocked_and_takes_sorbate_with_it(wine):
    flat = replace(wine, ph=reading(3.9), free_so2=None)
    first = sulphite(flat)
    assert "nearly always a slip" in first.why
    assert "Add acid first" in first.next_step
    assert "together with enough sulphite" in sorbate(flat, first).why


def test_ceiling_for_total_sulphite_is_not_passed(wine):
    heavy = replace(wine, so2_added_mg_l=340.0)
    assert "would pass 350 mg/L" in sulphite(heavy).why


def test_sorbate_by_strength_and_ph_less_what_is_in_it(wine):
    beside = sulphite(wine)
    found = sorbate(wine, beside)
    assert found["sorbic_needed_mg_l"] == pytest.approx(101, abs=8)
    half = sorbate(replace(wine, sorbic_added_mg_l=found["sorbic_needed_mg_l"] / 2), beside)
    assert half["dose"]["grams"]["value"] == pytest.approx(found["dose"]["grams"]["value"] / 2)
    weak = sorbate(replace(wine, alcohol=Estimate(8.0, 7.4, 8.6, "% vol", 1)), beside)
    assert not weak["is_enough"]
    assert "Keep it dry" in weak["if_not_enough"]


@pytest.mark.parametrize("question", [sweeten, sulphite])
def test_a_working_ferment_is_left_alone(wine, question):
    assert "still ferments" in question(replace(wine, state="fermenting")).why


def test_acid_up_by_any_of_three(wine):
    found = to_acidity(wine, 6.0)
    grams = {one["additive"]: one["grams"]["value"] for one in found["choices"]}
    assert grams["tartaric acid"] == pytest.approx(4.0)
    assert grams["citric acid (anhydrous)"] == pytest.approx(4 * 64.04 / 75.04, rel=1e-3)
    assert found["choices"][2]["glass_solution_10_percent_ml"] == pytest.approx(1.0)


def test_acid_down_goes_in_steps(wine):
    found = to_acidity(replace(wine, acidity=reading(10.0)), 5.0)
    assert found["is_first_step_only"]
    assert found["change_g_l"] == -3.0
    bicarbonate = found["choices"][0]
    assert bicarbonate["grams"]["value"] == pytest.approx(1.334 * 3 * 4, rel=1e-3)


def test_rise_past_the_ceiling_is_said(wine):
    assert to_acidity(wine, 10.0)["limits"][0].startswith("This rise is past the ceiling")
    assert to_acidity(wine, 8.0)["limits"][0].startswith("acid added: 54 meq/L")


def test_acid_at_the_target_is_left(wine):
    assert to_acidity(wine, 5.02).next_step == "Leave it as it is."


def test_two_wines_and_one_target_blend_exactly():
    shares = blend_shares({"alcohol": np.array([15.0, 11.0])}, [12.0], np.array([4.0, 4.0]))
    assert shares == pytest.approx([0.25, 0.75], abs=1e-4)


def test_blend_out_of_reach_comes_as_near_as_it_can(wine):
    mild = replace(wine, batch_id="b", alcohol=Estimate(10.0, 9.4, 10.6, "% vol", 1))
    found = blend_wines([wine, mild], {"alcohol": 14.0})
    assert found["parts"][0]["share"] == pytest.approx(1.0)
    assert not found["targets"][0]["is_reached"]


def test_blend_takes_no_more_than_there_is(wine):
    mild = replace(
        wine, batch_id="b", alcohol=Estimate(10.0, 9.4, 10.6, "% vol", 1), volume=reading(1.0)
    )
    found = blend_wines([wine, mild], {"alcohol": 10.0}, volume_l=4.0)
    assert found["parts"][1]["volume_l"] == pytest.approx(1.0)
    assert min(part["left_l"] for part in found["parts"]) >= -1e-9
    assert sum(part["volume_l"] for part in found["parts"]) == pytest.approx(4.0)


def test_blend_needs_a_target_and_every_reading(wine):
    assert "something to aim at" in blend_wines([wine, wine], {}).why
    sour = blend_wines([wine, replace(wine, batch_id="b", acidity=None)], {"acidity": 5.5})
    assert sour.why.startswith("b has no acidity")
    assert "there are 8.0 L" in blend_wines([wine, wine], {"acidity": 5.0}, volume_l=9.0).why


def test_wine_thinned_with_water(wine):
    strong = replace(wine, alcohol=Estimate(16.0, 15.4, 16.6, "% vol", 1), volume=reading(3.8))
    found = thin(strong, 12.5)
    assert found["water_l"]["value"] == pytest.approx(1.06, abs=0.01)
    assert 1 - found["share_of_wine"] == pytest.approx(0.22, abs=0.005)
    assert "nothing at the bench" in thin(wine, 14.0).why


def test_a_reading_is_asked_after_before_it_is_used():
    with pytest.raises(ValueError, match=r"asked after with Wine\.lacks"):
        known(None)


def test_newest_readings_with_their_lines(cellar):
    wine = read_wine(cellar, "sweet")
    assert wine.volume.value == pytest.approx(4.0)  # racked to 3.8 L, topped up with 0.2
    assert (wine.volume.file, wine.volume.line) == ("transfers.csv", 3)
    assert (wine.ph.value, wine.ph.line) == (3.4, 3)
    assert wine.gravity.line == 4
    assert wine.alcohol.low < wine.alcohol.value - 0.5


def test_sulphite_read_before_the_last_dose_no_longer_counts(cellar):
    wine = read_wine(cellar, "sweet")
    assert wine.free_so2 is None
    assert "no longer holds" in wine.doubts[0].text


def test_answer_without_wishes_is_the_ladder_and_what_keeps_it(cellar):
    data = bench.answer(cellar, "sweet")
    assert data["sweeten"]
    assert data["sulphite"]
    assert data["sorbate"]
    assert not data["refused"]
    assert {"bottle_pressure", "sulphite", "sorbate", "fining_allergens"} <= {
        caution["code"] for caution in data["cautions"]
    }


def test_what_is_missing_is_refused_with_what_to_measure(cellar):
    data = bench.answer(cellar, "blind")
    assert [one["question"] for one in data["refused"]] == ["sweeten", "sulphite", "sorbate"]
    assert not any(data[name] for name in bench.SECTIONS)
    assert data["next_step"].startswith("Measure how much wine there is")


def test_lost_wine_and_unknown_batch(cellar):
    with pytest.raises(CannotSayError, match="logged as lost"):
        bench.answer(cellar, "gone")
    with pytest.raises(UnknownNameError, match="no batch 'nope'"):
        bench.answer(cellar, "nope")


@pytest.mark.parametrize("others", [("sweet",), ("dry", "dry")])
def test_a_wine_is_not_blended_with_itself(cellar, others):
    with pytest.raises(HedgerowError, match="must name other batches than sweet, each once"):
        bench.answer(cellar, "sweet", Wishes(acidity_g_l=5.0, blend=others))


def test_several_doses_do_not_add_up(cellar):
    data = bench.answer(cellar, "sweet", Wishes(acidity_g_l=6.0, alcohol_percent=10.0))
    assert "do not add up" in data["next_step"]
    assert data["sweeten"] is None


def test_wishes_as_typed():
    wishes = read_wishes(
        {"sweeten_to": "20 g/L", "gravity": "1.010", "alcohol": "12 %", "volume": "1 gal"}, "us"
    )
    assert wishes == Wishes(20.0, 1.010, None, 12.0, pytest.approx(3.785, abs=0.001))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"gravity": "22 Bx"}, "alcohol upsets the Brix scale"),
        ({"gravity": "1010"}, "--gravity"),
        ({"alcohol": "60"}, "--alcohol must be between 0.5 and 25 %, got 60 %"),
        ({"sweeten_to": "lots"}, "--sweeten-to 'lots'"),
        ({"acidity": "60 g/L"}, "--acidity must be between 1 and 20 g/L"),
    ],
)
def test_wishes_that_cannot_be_read(options, message):
    with pytest.raises(HedgerowError, match=message):
        read_wishes(options, "us")


def test_a_gallon_of_no_country_is_asked_back():
    with pytest.raises(HedgerowError, match="may be US or imperial"):
        read_volume("--volume", "1 gal", None)
    assert read_volume("--volume", "1 imp gal", None) == pytest.approx(4.54609)
