"""Situations makers report, answered by the commands themselves on small logbooks.

`test_situations.py` holds the formulas to the same worked answers; `test_situation_table.py` lists
every situation with the command that answers it.
"""

from datetime import date

import pytest

from pipeline.advice import bench, sheet
from pipeline.advice.bench.wishes import Wishes, read_wishes
from pipeline.advice.tasting.power import compare_scores, scores_needed
from pipeline.cellar import load_cellar
from pipeline.enology.units import KG_PER_LB, L_PER_US_GALLON
from pipeline.errors import HedgerowError
from pipeline.learning.estimate import interval_factor

US, LB = L_PER_US_GALLON, KG_PER_LB

FILES = {
    "logbook.toml": 'gallon = "us"\n',
    "batches.csv": "batch_id,started_on,target_volume,status\n"
    + "".join(
        f"{batch},2025-09-01,1 gal,ageing\n"
        for batch in ("stopped", "no start", "sweetened", "strong", "mild", "spooned", "cloudy")
    )
    + "twin,2025-09-01,1 gal,ageing\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount\n"
    "stopped,2025-09-01,sugar,sugar,2 lb\n"
    "no start,2025-09-01,fruit,fig,2 lb\n"
    "strong,2025-09-01,sugar,sugar,2 lb\n"
    "cloudy,2025-09-01,fruit,banana,3 kg\n",
    "readings.csv": "batch_id,taken_on,gravity,ph,ta,free_so2,volume\n"
    "stopped,2025-09-01,1.095,,,,\n"
    "stopped,2025-11-01,1.005,,,,1 gal\n"
    "no start,2025-11-01,1.090,,,,1 gal\n"
    "sweetened,2025-11-01,1.000,,,,5 gal\n"
    "strong,2025-09-01,1.1178,,,,\n"
    "strong,2025-11-01,0.990,3.4,,0,3.8 L\n"
    "mild,2025-09-01,1.0800,,,,\n"
    "mild,2025-11-01,0.9935,3.9,,0,20 L\n"
    "spooned,2025-11-01,0.995,3.4,,32,1 gal\n"
    "twin,2025-09-01,1.090,,,,\n"
    "twin,2025-10-01,1.021,,,,\n"
    "twin,2025-11-01,1.021,,,,1 gal\n"
    "cloudy,2025-11-01,0.996,3.4,,,2 gal\n",
    "tastings.csv": "batch_id,tasted_on,taster,score,faults\n"
    "cloudy,2026-02-01,Ann,10,hazy\n"
    "twin,2026-02-01,Ann,10,sulphury\n",
    "recipes.csv": "recipe,day,kind,ingredient,amount,target_volume,gallon\n"
    "on top,0,fruit,strawberries,3.5 lb,1 gal,\n"
    "on top,0,sugar,sugar,2.5 lb,,\n"
    "on top,0,water,water,1 gal,,\n"
    "to the mark,0,fruit,strawberries,3.5 lb,1 gal,\n"
    "to the mark,0,sugar,sugar,2.5 lb,,\n"
    "to the mark,0,water,water,to 1 gal,,\n"
    "british,0,fruit,damsons,4 lb,1 gal,imperial\n"
    "british,0,sugar,sugar,3 lb,,\n"
    "bucket,0,fruit,blackberries,6 lb,1 gal,\n"
    "bucket,0,water,water,1 gal,,\n"
    "berries,0,fruit,blackberries,16 lb,5 gal,\n"
    "berries,0,sugar,sugar,10 lb,,\n"
    "berries,0,water,water,to 5 gal,,\n"
    "citric,0,fruit,strawberries,18 lb,6 gal,\n"
    "citric,0,sugar,sugar,12 lb,,\n"
    "citric,0,acid,citric acid,4 tbsp,,\n"
    "citric,0,water,water,to 6 gal,,\n",
}


@pytest.fixture(scope="module")
def cellar(tmp_path_factory):
    folder = tmp_path_factory.mktemp("situations")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    return load_cellar(folder, today=date(2026, 8, 1))


def test_sheet_tells_a_gallon_on_top_from_up_to_a_gallon(cellar):
    on_top, to_mark = (
        sheet.answer(cellar, name)["expected"]["original_gravity"]
        for name in ("on top", "to the mark")
    )
    assert on_top == pytest.approx(1.080, abs=0.005)
    # The worked answer counts a gallon of liquid; with the fruit in the gallon there is less of it.
    assert to_mark > on_top + 0.030


def test_sheet_scales_a_british_recipe_to_an_american_jug(cellar):
    data = sheet.answer(cellar, "british", US)
    sugar = next(line for line in data["lines"] if line["kind"] == "sugar")
    assert sugar["amount_kg"] / LB == pytest.approx(2.5, abs=0.01)


def test_sheet_names_a_bucket_with_room_for_the_cap(cellar):
    assert sheet.answer(cellar, "berries")["vessel"]["smallest_l"] == pytest.approx(22.7, abs=0.1)
    assert 7.5 <= sheet.answer(cellar, "bucket")["vessel"]["smallest_l"] <= 10


def test_sheet_adds_the_acid_of_fruit_and_spoon(cellar):
    expected = sheet.answer(cellar, "citric")["expected"]
    assert expected["original_gravity"] == pytest.approx(1.099, abs=0.0015)
    assert expected["acidity_added_g_l"] == pytest.approx(3.0, rel=0.2)
    # The worked answer takes berries of 7 g/kg; the reference table has sourer ones.
    own = expected["acidity_g_l"] - expected["acidity_added_g_l"]
    assert 2.5 <= own <= 5.0


def test_bench_says_1005_is_not_13_grams(cellar):
    readings = bench.answer(cellar, "stopped")["readings"]
    assert readings["alcohol_percent"]["value"] == pytest.approx(12.2, abs=0.7)
    assert readings["residual_sugar_g_l"]["value"] == pytest.approx(30, abs=8)


def test_bench_refuses_a_strength_without_a_start(cellar):
    data = bench.answer(cellar, "no start", Wishes(alcohol_percent=10.0))
    assert data["alcohol"] is None
    assert "no known strength" in data["refused"][0]["why"]


@pytest.mark.parametrize(("target", "pounds"), [(1.010, 1.11), (1.012, 1.34)])
def test_bench_sweetens_five_gallons_to_a_gravity(cellar, target, pounds):
    dose = bench.answer(cellar, "sweetened", Wishes(gravity=target))["gravity"]["dose"]
    assert dose["grams"]["value"] / 1000 / LB == pytest.approx(pounds, rel=0.05)


def test_bench_ladder_reads_like_the_teaspoon_in_a_glass(cellar):
    # 21.5 g/L read 1.008: the ladder's 20 g/L must lie just below.
    ladder = bench.answer(cellar, "sweetened")["sweeten"]["ladder"]
    assert ladder[3]["gravity_after"] == pytest.approx(1.0075, abs=0.001)
    one_gallon = ladder[3]["batch_sugar_kg"] / 5
    assert 21.5 / 20 * one_gallon == pytest.approx(0.081, abs=0.001)


def test_bench_blocks_a_dose_meant_for_a_larger_vessel(cellar):
    data = bench.answer(cellar, "mild")
    assert data["sulphite"] is None
    assert "nearly always a slip" in data["refused"][0]["why"]


def test_bench_asks_for_free_sulphite_by_ph(cellar):
    found = bench.answer(cellar, "strong")["sulphite"]
    assert found["free_needed_mg_l"] == pytest.approx(32, rel=0.1)
    enough = bench.answer(cellar, "spooned")["sulphite"]
    assert enough["molecular_now_mg_l"] == pytest.approx(0.8, abs=0.01)
    assert enough["rise_mg_l"] == 0


def test_bench_gives_no_verdict_without_a_ph(cellar):
    refused = bench.answer(cellar, "stopped")["refused"]
    assert [one["question"] for one in refused] == ["sulphite", "sorbate"]


def test_bench_warns_of_pressure_whenever_sugar_goes_in(cellar):
    data = bench.answer(cellar, "stopped", Wishes(sugar_g_l=60.0))
    rung = data["sweeten"]["ladder"][2]  # 10 g/L
    first = data["sweeten"]["ladder"][0]
    rise = rung["pressure_if_it_ferments_bar"] - first["pressure_if_it_ferments_bar"]
    assert rise == pytest.approx(3.5, abs=0.3)
    assert "bottle_pressure" in [caution["code"] for caution in data["cautions"]]


def test_bench_sorbate_stays_under_the_ceiling(cellar):
    found = bench.answer(cellar, "strong")["sorbate"]
    assert found["sorbic_needed_mg_l"] <= 200
    assert "200 mg/L" in found["limits"][0]


def test_bench_blends_a_strong_wine_with_a_mild_one(cellar):
    strong, mild = (
        bench.answer(cellar, name)["readings"]["alcohol_percent"]["value"]
        for name in ("strong", "mild")
    )
    target = mild + 0.25 * (strong - mild)
    blend = bench.answer(cellar, "strong", Wishes(alcohol_percent=target, blend=("mild",)))["blend"]
    assert [part["share"] for part in blend["parts"]] == pytest.approx([0.25, 0.75], abs=0.005)
    assert blend["targets"][0]["reached"] == pytest.approx(target, abs=0.05)


def test_bench_thins_a_strong_wine(cellar):
    now = bench.answer(cellar, "strong")["readings"]["alcohol_percent"]["value"]
    found = bench.answer(cellar, "strong", Wishes(alcohol_percent=now * 12.5 / 16))["alcohol"]
    assert found["water_l"]["value"] == pytest.approx(1.06, abs=0.01)


def test_bench_tells_stuck_smell_and_haze_apart(cellar):
    twin = [trouble["sign"] for trouble in bench.answer(cellar, "twin")["troubles"]]
    assert twin == ["stuck", "sulphury"]
    haze = bench.answer(cellar, "cloudy")["troubles"][0]
    assert haze["steps"][0].startswith("its fruit holds starch")
    assert "copper" in [one["code"] for one in bench.answer(cellar, "twin")["cautions"]]


@pytest.mark.parametrize(
    ("typed", "acid"),
    [
        ({"titrated": "12 mL", "normality": "0.1", "sample": "15 mL"}, 6.0),
        ({"titrated": "9 mL", "normality": "0.2", "sample": "15 mL"}, 9.0),
        ({"titrated": "4.6 mL", "normality": "0.1", "sample": "5 mL"}, 6.9),
    ],
)
def test_bench_works_out_a_titration(cellar, typed, acid):
    data = bench.answer(cellar, "strong", read_wishes(typed, None))
    assert data["readings"]["acidity_g_l"]["value"] == pytest.approx(acid, abs=0.05)
    assert "caustic" in [caution["code"] for caution in data["cautions"]]


def test_bench_works_out_no_titration_without_its_normality():
    with pytest.raises(HedgerowError, match="A titration needs --normality too"):
        read_wishes({"titrated": "12 mL", "sample": "15 mL"}, None)
    with pytest.raises(HedgerowError, match="--normality must be between"):
        read_wishes({"titrated": "12 mL", "normality": "weak", "sample": "15 mL"}, None)


def test_strength_is_quoted_to_seven_tenths_at_best(cellar):
    strength = bench.answer(cellar, "stopped")["readings"]["alcohol_percent"]
    half = (strength["high"] - strength["low"]) / 2
    assert interval_factor(1e9) * 0.35 <= half <= 0.8


def test_seven_scores_do_not_separate_two_recipes():
    found = compare_scores([6.5, 7, 6, 7.5], [7, 8, 6.5])
    assert not found["is_apart"]
    assert scores_needed(0.7, found["sd"]) == pytest.approx(16, abs=1)
