"""The demo logbook through the commands: the planted truths come out in the answers.

What was planted stands in data/demo/README.md; the wines were brewed by the simulator in
tests/makers, whose formulas are not the program's.
"""

import json
from pathlib import Path

import pytest

from pipeline.cli import main


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("club") / "demo"
    assert main(["demo", str(folder)]) == 0
    return folder


@pytest.fixture
def ask(demo: Path, capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def answer(command: str, *words: str) -> dict:
        assert main([command, str(demo), *words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return answer


def test_demo_ends_with_findings_on_the_three_questions(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", str(demo)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    for question in (
        "Which fruit loads give full volume?",
        "How does finished gravity compare across yeasts?",
        "Why do some batches taste harsh?",
    ):
        assert question in printed
    assert "14 set aside" in printed
    assert "Millrace stops at about 11" in printed


def test_banana_holds_water_back_more_than_any_other_fruit_used_in_quantity(ask) -> None:
    fruits = {fruit["fruit"]: fruit for fruit in ask("volume")["fruits"]}
    banana = fruits["banana"]["litres_per_kg"]
    assert banana["high"] < 0
    assert banana["value"] == pytest.approx(-0.22, abs=0.08)
    others = [
        fruit["litres_per_kg"]["low"]
        for name, fruit in fruits.items()
        if name not in ("banana", "elderflower", "rose hip", "sultana") and fruit["batches"] >= 5
    ]
    assert min(others) > banana["high"]


def test_made_to_the_mark_no_fruit_fills_the_vessel_and_poured_on_top_most_do(ask) -> None:
    ways = [way for fruit in ask("volume")["fruits"] for way in fruit["full_volume"]]
    to_mark = [way for way in ways if way["made"] == "to_mark"]
    on_top = [way for way in ways if way["made"] == "on_top"]
    assert all(way["never"] or way["largest_load"] for way in to_mark)
    assert sum(way["always"] for way in on_top) > len(on_top) / 2


def test_more_fruit_asks_for_more_water_only_where_the_fruit_holds_it_back(ask) -> None:
    fruits = {fruit["fruit"]: fruit["water_for_full"] for fruit in ask("volume")["fruits"]}

    def rises(fruit: str) -> bool:
        water = [point["water_per_litre_of_target"]["value"] for point in fruits[fruit]]
        return water[-1] > water[0]

    assert rises("banana")
    assert not rises("rhubarb")


def test_millrace_stops_early_and_nothing_else_does(ask) -> None:
    answer = ask("yeasts")
    stops = {
        yeast["yeast"]: yeast["alcohol_tolerance"]
        for yeast in answer["yeasts"]
        if yeast["alcohol_tolerance"]
    }
    assert stops["Millrace"]["low"] <= 11.5 <= stops["Millrace"]["high"]
    assert (
        min(found["low"] for name, found in stops.items() if name != "Millrace")
        > stops["Millrace"]["high"]
    )
    drier_than_millrace = [
        pair["chance_a_drier"] if pair["b"] == "Millrace" else 1 - pair["chance_a_drier"]
        for pair in answer["pairs_over_logbook"]
        if "Millrace" in (pair["a"], pair["b"])
    ]
    assert min(drier_than_millrace) > 0.95


def test_skins_and_tannic_fruit_go_with_harsh_glasses_and_sweetness_hides_it(ask) -> None:
    drivers = {driver["factor"]: driver["effect"] for driver in ask("harsh")["drivers"]}
    assert drivers["skins"]["low"] > 0
    assert drivers["fruit"]["low"] > 0
    assert drivers["residual_sugar"]["high"] < 0
    assert drivers["age"]["high"] < 0


def test_each_model_beats_the_same_fruits_mean_on_batches_it_has_not_seen(ask) -> None:
    models = ask("fit")["models"]
    assert list(models) == ["volume", "gravity", "score", "harshness"]
    for name, model in models.items():
        assert list(model) == [
            *("batches", "rmse", "mae", "baseline_mae", "baselines", "coverage_90"),
            *("doubts", "variance", "width_90", "next_season"),
        ]
        assert model["mae"] < model["baselines"]["same_fruit"], name
        assert 0.8 <= model["coverage_90"] <= 0.99, name


def test_each_season_is_foreseen_better_from_those_before_than_by_the_same_fruits_mean(ask) -> None:
    for name, model in ask("fit")["models"].items():
        season = model["next_season"]
        assert list(season) == [
            *("batches", "mae", "baseline_mae", "baselines", "coverage_90", "width_90")
        ]
        assert 12 <= season["batches"] < model["batches"], name
        assert season["mae"] < season["baselines"]["same_fruit"], name
        assert 0.7 <= season["coverage_90"] <= 1.0, name
        assert season["width_90"] > season["mae"], name


def test_a_prediction_has_every_outcome_as_an_interval(ask) -> None:
    (recipe,) = ask("predict", "Strong plum")["recipes"]
    outcomes = [
        *("original_gravity", "final_gravity", "alcohol", "finished_volume", "finished_fraction"),
        *("bottles", "nitrogen", "nitrogen_needed", "acidity", "residual_sugar", "harshness"),
        *("score", "cost_per_bottle", "chance_stuck"),
    ]
    assert list(recipe) == ["recipe", *outcomes, "stuck_reasons", "doubts", "cautions"]
    for name in outcomes:
        assert list(recipe[name]) == ["value", "low", "high", "level", "unit", "batches"], name
        assert recipe[name]["low"] <= recipe[name]["value"] <= recipe[name]["high"], name
    assert any("kernels" in caution for caution in recipe["cautions"])


def test_a_suggestion_stays_within_three_changes_and_improves_the_expected_score(ask) -> None:
    answer = ask("suggest", "Next damson to the mark")
    assert 1 <= len(answer["changes"]) <= 3
    assert answer["after"]["score"]["value"] > answer["before"]["score"]["value"]
    for change in answer["changes"]:
        assert set(change) == {
            *("line", "kind", "ingredient", "field", "from", "to", "to_si", "why", "effect")
        }


def test_a_comparison_sets_a_plan_beside_batches_made(ask) -> None:
    answer = ask("compare", "Lane blackberry", "Next damson to the mark")
    assert answer["columns"] == ["Lane blackberry", "Next damson to the mark"]
    measures = {row["measure"]: row for row in answer["rows"]}
    made, planned = measures["alcohol"]["values"]
    assert isinstance(made, float)
    assert planned["low"] < planned["value"] < planned["high"]
    assert measures["score"]["spread_between_repeats"] > 0


def test_yeasts_are_spelt_as_the_maker_spells_them(ask) -> None:
    answer = ask("compare", "Strong plum", "Next damson to the mark")
    (yeast,) = (one for one in answer["differences"] if one["factor"] == "yeast")
    assert (yeast["a"], yeast["b"]) == ("Millrace", "Hobnail")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["harsh", "no such batch"], "no batch 'no such batch'"),
        (["predict", "no such recipe"], "no recipe 'no such recipe'"),
        (["suggest", "no such recipe"], "no recipe 'no such recipe'"),
        (["volume", "--fruit", "moonberry"], "fruit 'moonberry'"),
        (["compare", "one", "two"], "'one' is no batch"),
        (["compare", "2024-01"], "two names or more"),
    ],
)
def test_an_unknown_name_is_one_sentence_and_status_two(
    demo: Path, words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command, *rest = words
    assert main([command, str(demo), *rest]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert says in captured.err
    assert "Traceback" not in captured.err
