"""Situations asked of the commands themselves, from entries as makers write them.

Each logbook is small; the worked answers are those of `test_situations.py`.
"""

import csv
import json
from pathlib import Path

import pytest

from pipeline.cli import main
from pipeline.enology.units import KG_PER_LB, L_PER_IMPERIAL_GALLON, L_PER_US_GALLON

US, IMPERIAL, LB = L_PER_US_GALLON, L_PER_IMPERIAL_GALLON, KG_PER_LB
FILES = {
    "logbook.toml": 'gallon = "us"\nscore_out_of = 10\n',
    "batches.csv": "batch_id,started_on,target_volume,gallon,recipe,status\n"
    "jar,2025-09-01,1 gal,imperial,,bottled\n"
    "topped,2025-09-01,5 gal,us,,ageing\n"
    "steeped,2025-09-01,1 gal,us,,ageing\n"
    "summed,2025-09-01,5 gal,us,,ageing\n"
    "fed,2025-09-01,5 gal,us,,ageing\n"
    "chalk,2025-09-01,8 L,us,,ageing\n"
    "x,2025-09-01,1 gal,us,X,bottled\ny,2025-09-01,1 gal,us,Y,bottled\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount\n"
    "topped,2025-09-01,sugar,sugar,10 lb\n"
    "steeped,2025-09-01,sugar,sugar,2.5 lb\n"
    "steeped,2025-09-01,water,water,1 gal\n"
    "summed,2025-09-01,sugar,sugar,10 lb\n"
    "summed,2025-09-01,sugar,sugar,568 g\n"
    "summed,2025-09-01,water,water,to 5 gal\n"
    "fed,2025-09-01,sugar,sugar,8 lb\n"
    "fed,2025-09-01,water,water,to 5 gal\n"
    "fed,2025-09-08,sugar,sugar,847 g\n"
    "spelt,2025-09-01,sugar,sugar,02-Jan\n",
    "readings.csv": "batch_id,taken_on,gravity,ph,ta,volume\n"
    "topped,2025-09-01,1.1015,,,\ntopped,2025-10-01,1.010,,,4 gal\n"
    "steeped,2025-09-02,1.085,,,\n"
    "summed,2025-09-02,1.093,,,\n"
    "fed,2025-09-02,1.080,,,\nfed,2025-09-07,1.060,,,\nfed,2025-11-01,0.990,,,\n"
    "chalk,2025-11-01,0.995,3.0,12,8 L\n"
    "x,2025-09-01,1090,,,\nx,2025-11-01,.996,,,\n"
    "y,2025-09-01,22,,,\ny,2025-11-01,-1.2,,,\n",
    "transfers.csv": "batch_id,moved_on,step,volume_after,topped_up,topped_up_with,bottles\n"
    "jar,2026-02-01,bottle,3.375 L,,,\n"
    "topped,2025-10-02,rack,4 gal,1 gal,water,\n",
    "tastings.csv": "batch_id,tasted_on,taster,score\n"
    + "".join(
        f"x,2026-0{month}-01,Ann,{score}\n" for month, score in enumerate((6.5, 7, 6, 7.5), 2)
    )
    + "".join(f"y,2026-0{month}-01,Ann,{score}\n" for month, score in enumerate((7, 8, 6.5), 2))
    + "y,2026-06-01,Ann,14/20\ny,2026-06-02,Ann,v. good\n",
}


def _logbook(folder, files):
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return str(folder)


def _exported(folder, table):
    path = Path(folder) / f"{table}.out.csv"
    assert main(["export", folder, table, "-o", str(path)]) == 0
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    return _logbook(tmp_path_factory.mktemp("entries"), FILES)


@pytest.fixture(scope="module")
def batches(logbook):
    return {row["batch_id"]: row for row in _exported(logbook, "batches")}


@pytest.fixture
def asked(logbook, capsys):
    def ask(command, *words):
        capsys.readouterr()
        assert main([command, logbook, *words, "--json"]) in (0, 1)
        return json.loads(capsys.readouterr().out)

    return ask


def test_load_tells_what_a_jar_yielded(batches):
    assert float(batches["jar"]["finished_fraction"]) == pytest.approx(0.74, abs=0.022)


def test_load_takes_topping_up_with_water_for_dilution(batches):
    before, after = (
        float(batches["topped"][name]) for name in ("alcohol_before_topping", "alcohol")
    )
    assert before == pytest.approx(12.0, abs=0.5)
    assert after == pytest.approx(before * 4 / 5, abs=0.1)


def test_bench_says_which_volume_a_first_gravity_speaks_of(asked):
    texts = [doubt["text"] for doubt in asked("bench", "steeped")["doubts"]]
    (said,) = [text for text in texts if "first gravity" in text]
    assert "its first gravity was 1.085" in said
    litres = float(said.split("either there was ")[1].split(" L of liquid")[0])
    assert litres == pytest.approx(5.15, abs=0.3)


def test_bench_offers_both_reasons_for_a_first_gravity_below_the_sum(asked):
    texts = [doubt["text"] for doubt in asked("bench", "summed")["doubts"]]
    (said,) = [text for text in texts if "first gravity" in text]
    comes_to = float(said.split("comes to ")[1][:5])
    assert comes_to == pytest.approx(1.104, abs=0.004)
    litres = float(said.split("either there was ")[1].split(" L of liquid")[0])
    assert litres == pytest.approx(21.2, abs=0.3)
    grams = float(said.split("or ")[-2].split(" g of sugar")[0])
    assert grams == pytest.approx(540, rel=0.12)


def test_load_counts_sugar_fed_later(batches):
    assert float(batches["fed"]["alcohol"]) == pytest.approx(13.7, abs=0.7)


def test_bench_takes_chalk_by_the_litre(asked):
    found = asked("bench", "chalk", "--acidity", "6.7")["acidity"]
    chalk = next(one for one in found["choices"] if one["additive"] == "calcium carbonate")
    step = abs(found["change_g_l"])
    assert chalk["grams"]["value"] / step * 5.3 == pytest.approx(28.35, rel=0.1)


def test_check_takes_no_brix_for_a_gravity_and_no_date_for_an_amount(asked):
    problems = asked("check")["problems"]
    refused = {
        (one["file"], one["value"]): one["hint"] for one in problems if one["level"] == "error"
    }
    hints = {"1090": "1.090", "22": "22 Bx if it was Brix", "-1.2": "-1.2 Bx if it was Brix"}
    for cell, hint in hints.items():
        assert refused["readings.csv", cell] == hint
    assert ("readings.csv", ".996") not in refused
    assert ("additions.csv", "02-Jan") in refused
    assert {("tastings.csv", "14/20"), ("tastings.csv", "v. good")} <= set(refused)


def test_tasting_finds_no_difference_in_seven_scores(asked):
    found = asked("tasting", "x", "y")["scores"]
    gap = found["difference"]
    assert [gap[end] for end in ("value", "low", "high")] == pytest.approx(
        [0.42, -0.95, 1.78], abs=0.01
    )
    assert found["sd"] == pytest.approx(0.70, abs=0.01)
    assert not found["is_apart"]


@pytest.mark.parametrize(
    ("settings", "read", "at", "gravities"),
    [
        ("offset = 0.004\n", ("1.094", "1.000"), ("20 C", "20 C"), (1.090, 0.996)),
        ('calibrated_at = "60 F"\n', ("1.100", "1.080"), ("84 F", "104 F"), (1.103, 1.087)),
    ],
)
def test_load_corrects_what_a_hydrometer_reads(settings, read, at, gravities, tmp_path):
    rows = "".join(
        f"w,2025-09-0{day},{value},{warmth}\n"
        for day, (value, warmth) in enumerate(zip(read, at, strict=True), 1)
    )
    files = {
        "logbook.toml": f"[hydrometer]\n{settings}",
        "batches.csv": "batch_id,started_on\nw,2025-09-01\n",
        "additions.csv": "batch_id,added_on,kind,ingredient,amount\n",
        "readings.csv": f"batch_id,taken_on,gravity,temperature\n{rows}",
    }
    found = [float(row["gravity"]) for row in _exported(_logbook(tmp_path, files), "readings")]
    assert found == pytest.approx(gravities, abs=0.001)


def test_predict_and_volume_find_what_a_kilogram_keeps_back(tmp_path, capsys):
    started = [5.0, 5.2, 5.0, 5.4, 5.5, 5.6, 5.8, 6.0]
    fruit = [1.0, 1.4, 1.6, 1.8, 2.0, 2.3, 2.7, 3.0]
    finished = [4.55, 4.55, 4.25, 4.55, 4.50, 4.45, 4.40, 4.35]
    batches, additions, transfers = "", "", ""
    for month, (water, kg, litres) in enumerate(zip(started, fruit, finished, strict=True), 1):
        batches += f"b{month},2025-0{month}-01,4.5 L,bottled\n"
        additions += f"b{month},2025-0{month}-01,fruit,plum,{kg} kg,2025-0{month}-08\n"
        additions += f"b{month},2025-0{month}-01,water,water,{water} L,\n"
        transfers += f"b{month},2025-0{month}-20,bottle,{litres} L\n"
    files = {
        "batches.csv": f"batch_id,started_on,target_volume,status\n{batches}",
        "additions.csv": f"batch_id,added_on,kind,ingredient,amount,removed_on\n{additions}",
        "transfers.csv": f"batch_id,moved_on,step,volume_after\n{transfers}",
        "recipes.csv": "recipe,day,kind,ingredient,amount,removed_day,target_volume,rackings\n"
        "plan,0,fruit,plum,2.5 kg,7,4.5 L,0\nplan,0,water,water,5.8 L,,,\n"
        "far,0,fruit,plum,5 kg,7,4.5 L,0\nfar,0,water,water,7.2 L,,,\n",
    }
    folder = _logbook(tmp_path, files)
    assert main(["volume", folder, "--json"]) == 0
    (plum,) = json.loads(capsys.readouterr().out)["fruits"]
    kept = plum["litres_per_kg"]
    assert kept["low"] <= -0.594 <= kept["high"] < 0
    assert main(["predict", folder, "plan", "far", "--json"]) == 0
    plan, far = json.loads(capsys.readouterr().out)["recipes"]
    assert plan["finished_volume"]["value"] == pytest.approx(4.5, abs=0.05)
    assert plan["finished_volume"]["low"] < 4.5 < plan["finished_volume"]["high"]
    codes = [{doubt["code"] for doubt in one["doubts"]} for one in (plan, far)]
    assert "outside_experience" not in codes[0]
    assert "outside_experience" in codes[1]


def test_harsh_gives_no_verdict_from_two_batches(tmp_path, capsys):
    def batch(year, out, yeast_in):
        day = f"{year}-09"
        return (
            f"{year},{day}-01,fruit,elderberry,3 lb,{day}-{out}\n"
            f"{year},{day}-01,water,water,1 gal,\n{year},{day}-01,sugar,sugar,2.5 lb,\n"
            f"{year},{day}-{yeast_in},yeast,Wherry,5 g,\n"
        )

    files = {
        "logbook.toml": 'gallon = "imperial"\n',
        "batches.csv": "batch_id,started_on,target_volume,status\n"
        "2015,2015-09-01,1 gal,bottled\n2016,2016-09-01,1 gal,bottled\n",
        "additions.csv": "batch_id,added_on,kind,ingredient,amount,removed_on\n"
        + batch(2015, "15", "04")
        + batch(2016, "11", "06"),
        "tastings.csv": "batch_id,tasted_on,taster,astringency,bitterness,warmth\n"
        "2015,2017-09-01,Ann,8,7,5\n2016,2018-09-01,Ann,4,4,4\n",
    }
    assert main(["harsh", _logbook(tmp_path, files), "2015", "--json"]) in (0, 1)
    found = json.loads(capsys.readouterr().out)
    days = next(one for one in found["reasons"] if one["factor"] == "contact_days")
    assert days["contribution"]["value"] > 0
    assert days["contribution"]["low"] < 0.1
    assert "few_batches" in [doubt["code"] for doubt in days["doubts"]]
