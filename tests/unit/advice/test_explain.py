"""Every number of every answer that fits no model leads back to what was typed."""

from datetime import date

import pytest

from pipeline.advice import bench, sheet, tasting
from pipeline.advice.bench.wishes import read_wishes
from pipeline.advice.explain import explain, way_to
from pipeline.advice.explain.numbers import Number, numbers_of
from pipeline.cellar.notes import keeping

START = date(2026, 9, 12)
BENCH = [
    ("sweet", {}),
    ("dry", {}),
    ("sweet", {"sweeten_to": "80 g/L"}),
    ("dry", {"gravity": "1.01"}),
    ("sweet", {"gravity": "1.002"}),
    ("working", {"gravity": "1.1"}),
    ("sweet", {"acidity": "5 g/L"}),
    ("dry", {"acidity": "6 g/L"}),
    ("sweet", {"alcohol": "10"}),
    ("sweet", {"alcohol": "12.1", "blend": ("dry",)}),
    ("sweet", {"alcohol": "12.1", "blend": ("dry",), "volume": "2 L"}),
    (
        "flat",
        {
            "titrated": "5 mL",
            "normality": "0.1",
            "sample": "10 mL",
            "acidity": "6 g/L",
            "volume": "3 L",
        },
    ),
]


def _explained(question, cellar, ask, call):
    with keeping() as kept:
        data = ask()
    return data, explain(question, cellar, data, kept=kept, call=call)


def _untold(data, steps):
    told = {path for step in steps for path in step["answers"]}
    return [number.path for number in numbers_of(data) if number.path not in told]


def _step(steps, path):
    return next(step for step in steps if path in step["answers"])


def _cells(step):
    return [(cell["file"], cell["line"], cell["as_written"]) for cell in step["from"]]


@pytest.mark.parametrize(("batch", "call"), BENCH)
def test_every_number_of_the_bench_is_traced(cellar, batch, call):
    data, steps = _explained(
        "bench", cellar, lambda: bench.answer(cellar, batch, read_wishes(call, "us")), call
    )
    assert _untold(data, steps) == []
    assert all(step["by"] and step["source"] for step in steps)


@pytest.mark.parametrize(
    ("recipe", "litres"), [("Plum", None), ("Plum", 10.0), ("Bare", None), ("Wild", 9.0)]
)
def test_every_number_of_a_sheet_is_traced(cellar, recipe, litres):
    call = {"volume": None if litres is None else f"{litres} L"}
    data, steps = _explained(
        "sheet", cellar, lambda: sheet.answer(cellar, recipe, litres, START), call
    )
    assert _untold(data, steps) == []


@pytest.mark.parametrize("hits", [None, 9])
def test_every_number_of_a_tasting_is_traced(cellar, hits):
    data, steps = _explained(
        "tasting",
        cellar,
        lambda: tasting.answer(cellar, ("sweet", "dry"), tasters=12, hits=hits),
        {"tasters": 12, "seed": 1, "hits": hits},
    )
    assert _untold(data, steps) == []
    scores = _step(steps, "scores.difference")
    assert sum(part["value"] for part in scores["parts"]) == pytest.approx(scores["value"])


def test_a_dose_leads_through_its_formulas_to_the_readings(cellar):
    call = {"sweeten_to": "80 g/L"}
    _, steps = _explained(
        "bench", cellar, lambda: bench.answer(cellar, "sweet", read_wishes(call, "us")), call
    )
    dose = _step(steps, "sulphite.dose.grams")
    assert dose["by"] == "enology.sulphite_doses.sulphite_to_add"
    assert dose["uses"] == ["rise_mg_l of sulphite", "volume_l"]
    rise = _step(steps, "sulphite.rise_mg_l")
    assert rise["uses"] == ["free_now_mg_l of sulphite", "free_needed_mg_l of sulphite"] or (
        rise["uses"] == ["free_needed_mg_l of sulphite"]
    )
    needed = _step(steps, "sulphite.free_needed_mg_l")
    assert needed["by"] == "enology.sulphite.free_so2_needed"
    assert "OIV-MA-AS323-04C" in needed["source"] or "pKa" in needed["source"]
    assert _cells(_step(steps, "readings.ph.value")) == [("readings.csv", 3, "3.4")]
    assert _cells(_step(steps, "readings.volume_l.value")) == [
        ("transfers.csv", 3, "3.8 L"),
        ("transfers.csv", 3, "0.2 L"),
    ]
    assert _cells(_step(steps, "sweeten.target_sugar_g_l")) == [("the call", None, "80 g/L")]


def test_a_scaled_line_leads_to_its_cell_and_to_what_it_is_multiplied_by(cellar):
    _, steps = _explained(
        "sheet", cellar, lambda: sheet.answer(cellar, "Plum", 10.0, START), {"volume": "10 L"}
    )
    enzyme = next(step for step in steps if step["measure"].startswith("amount_kg of pectic"))
    assert _cells(enzyme)[0] == ("recipes.csv", 6, "1/2 tsp")
    assert _cells(enzyme)[1][0] == "data/reference/additives.csv"
    assert enzyme["uses"] == ["factor"]
    assert _step(steps, "factor")["uses"] == ["target_volume_l", "written_for_l"]
    assert _step(steps, "vessel.smallest_l")["by"] == "enology.fruit.vessel_for"


def test_a_number_that_does_not_follow_is_not_explained(cellar):
    data = bench.answer(cellar, "dry", read_wishes({"acidity": "6 g/L"}, "us"))
    data["acidity"]["choices"][0]["grams"]["value"] *= 1.01
    steps = explain("bench", cellar, data, call={"acidity": "6 g/L"})
    assert "acidity.choices[0].grams" in _untold(data, steps)


def test_what_nobody_traces_has_no_way():
    number = Number(("moon", "phase"), 0.5)
    assert number.path == "moon.phase"
    assert way_to("bench", number) is None
    assert way_to("weather", number) is None
