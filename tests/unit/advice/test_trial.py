"""The split batch that is chosen: one thing different, the most narrowed, nothing that spoils."""

from __future__ import annotations

import json

import makers
import polars as pl
import pytest

from pipeline.advice import trial
from pipeline.advice.predict import planned
from pipeline.advice.trial.arms import possible_splits
from pipeline.advice.trial.plan import Planned
from pipeline.advice.trial.weighing import BETTER, USEFUL
from pipeline.cellar import load_cellar
from pipeline.enology.limits import limit
from pipeline.errors import HedgerowError, UnknownNameError
from pipeline.learning.estimate import Doubt
from pipeline.learning.explain.factors import BY_NAME
from pipeline.learning.models import fit_models

KEYS = (
    *("recipe", "arms", "learns", "why", "purpose", "factor", "split", "considered"),
    *("confounded", "how", "tastings", "sheet", "log_as", "doubts", "cautions", "next_step"),
    "settled",
)


def _fitted(maker, folder):
    makers.write(maker, folder)
    cellar = load_cellar(folder)
    return cellar, fit_models(cellar)


@pytest.fixture(scope="module")
def maker():
    return makers.simulate(21, 45, planned=6, draws=4)


@pytest.fixture(scope="module")
def asked(maker, tmp_path_factory):
    return _fitted(maker, tmp_path_factory.mktemp("trial"))


@pytest.fixture(autouse=True)
def trusted(monkeypatch):
    """Hold no batch out: how good the models are is not what is tested here."""
    monkeypatch.setattr(trial, "untrusted", lambda *_: {})


@pytest.fixture(scope="module")
def answers(asked, maker):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trial, "untrusted", lambda *_: {})
        return [trial.answer(*asked, recipe) for recipe in maker.planned_recipes]


def _read(asked, recipe) -> Planned:
    cellar, models = asked
    lines = cellar.table("staged_recipes").filter(pl.col("recipe") == recipe)
    return trial._read(cellar, models, lines, planned(cellar, [recipe]))


def test_the_answer_has_the_agreed_shape(answers):
    for answer in answers:
        assert tuple(answer) == KEYS
        assert json.loads(json.dumps(answer)) == answer
        assert len(answer["arms"]) == 2
        for arm in answer["arms"]:
            assert set(arm) == {"name", "changes"}
        for learnt in answer["learns"]:
            assert {"factor", "interval_width_now", "interval_width_after"} <= set(learnt)
            assert 0 < learnt["interval_width_after"] < learnt["interval_width_now"]
        assert answer["learns"][0]["factor"] == answer["factor"]


def test_the_pick_narrows_most_of_what_may_help(answers):
    for answer in answers:
        narrowed = {
            one["factor"]: one["interval_width_now"] - one["interval_width_after"]
            for one in answer["considered"]
            if one["may_help"]
        }
        assert answer["considered"][0]["factor"] == answer["factor"]
        if narrowed:
            assert narrowed[answer["factor"]] == max(narrowed.values())


def test_what_may_help_reaches_as_far_as_somebody_minds(answers):
    for answer in answers:
        for one in answer["considered"]:
            effect, way = one["effect_mean"], BETTER[answer["purpose"]]
            reach = max(way * effect["low"], way * effect["high"])
            assert one["may_help"] == (reach >= USEFUL[answer["purpose"]])


def test_one_thing_differs_between_the_arms(asked, maker):
    for recipe in maker.planned_recipes:
        splits = possible_splits(_read(asked, recipe))
        assert len({split.factor for split in splits}) >= 8
        for split in splits:
            assert split.factor in BY_NAME
            assert split.other
            assert len({edit.field for edit in (*split.base, *split.other)}) == 1
            assert split.labels[0] != split.labels[1]


def test_no_arm_spoils_the_wine_or_breaks_a_limit(asked, maker):
    ceiling = limit("ammonium phosphate us").value
    for recipe in maker.planned_recipes:
        read = _read(asked, recipe)
        for split in possible_splits(read):
            kinds = {edit.kind for edit in split.other}
            assert kinds.isdisjoint({"sulphite", "sorbate"})
            for edit in split.other:
                if split.factor == "acidity" and (edit.after_si or 0) < 1e-9:
                    assert read.acidity >= 6.0
                if edit.row is not None and edit.kind == "nutrient":
                    assert (
                        read.phosphate_g_l + 1000 * edit.after_si / read.target_l <= ceiling * 1.1
                    )


def test_a_recipe_too_sour_to_lose_acid_is_only_given_more(asked, maker):
    from dataclasses import replace

    for recipe in maker.planned_recipes:
        read = replace(_read(asked, recipe), acidity=4.5)
        for split in possible_splits(read):
            if split.factor == "acidity":
                assert split.labels[1] != "no acid added"


def test_more_tasters_learn_more_and_a_sheet_has_a_row_each(asked, maker):
    recipe = maker.planned_recipes[0]
    few, many = (trial.answer(*asked, recipe, tasters=count) for count in (2, 8))
    widths = [answer["considered"][0]["interval_width_after"] for answer in (few, many)]
    assert widths[1] < widths[0]
    assert len(many["sheet"]["serving"]) == 8
    assert many["tastings"]["tasters"] == 8


def test_tastings_say_what_is_enough(answers):
    for answer in answers:
        told = answer["tastings"]
        widths = [row["interval_width_after"] for row in told["evenings"]]
        assert widths == sorted(widths, reverse=True)
        assert widths[-1] >= told["interval_width_at_best"]
        pairs = {row["pairs"]: row["interval_width_after"] for row in told["pairs"]}
        wanted = 2 * told["useful_difference"]
        if told["pairs_needed"] in pairs:
            assert pairs[told["pairs_needed"]] <= wanted
            assert all(width > wanted for n, width in pairs.items() if n < told["pairs_needed"])


def test_cautions_follow_the_fruit_and_the_tasting(answers):
    for answer in answers:
        codes = {caution["code"] for caution in answer["cautions"]}
        assert "strong_wine" in codes
        assert ("carbon_dioxide" in codes) == (answer["split"] != "glass")


def test_a_model_that_does_no_better_than_a_guess_is_doubted(asked, maker, monkeypatch):
    monkeypatch.setattr(trial, "untrusted", lambda *_: {"harshness": "no better than the mean"})
    answer = trial.answer(*asked, maker.planned_recipes[0])
    doubt = Doubt("few_batches", "no better than the mean").as_dict()
    assert doubt in answer["doubts"]


def test_an_unknown_recipe_and_impossible_tasters_are_refused(asked, maker):
    with pytest.raises(UnknownNameError, match="There is no recipe 'jam'"):
        trial.answer(*asked, "jam")
    with pytest.raises(HedgerowError, match="--tasters must be between 1 and 200, got 0"):
        trial.answer(*asked, maker.planned_recipes[0], tasters=0)


@pytest.mark.parametrize(
    "alias", [("enzyme", "freezing"), ("skins", "crushing"), ("tannin_added", "sulphite")]
)
def test_what_always_changed_together_is_named_with_the_split_that_tells(alias, tmp_path):
    asked = _fitted(makers.simulate(31, 45, planned=2, alias=alias, draws=4), tmp_path)
    recipes = asked[0].table("staged_recipes")["recipe"].unique(maintain_order=True)
    for recipe in recipes:
        answer = trial.answer(*asked, recipe)
        [group] = [g for g in answer["confounded"] if set(alias) <= set(g["factors"])]
        assert group["split_on"] in group["factors"]
        assert group["interval_width_after"] < group["interval_width_now"]
        assert [change for arm in group["arms"] for change in arm["changes"]]


def test_a_fruit_that_always_had_its_skins_is_named(tmp_path):
    maker = makers.simulate(32, 60, planned=2, alias=("fruit", "skins"), draws=4)
    asked = _fitted(maker, tmp_path)
    answer = trial.answer(*asked, maker.planned_recipes[0])
    assert any({"fruit", "skins"} <= set(group["factors"]) for group in answer["confounded"])


def test_scores_alone_make_a_trial_about_the_score(maker, tmp_path):
    makers.write(maker, tmp_path)
    path = tmp_path / "tastings.csv"
    rows = pl.read_csv(path, infer_schema=False)
    rows.with_columns(
        pl.lit(None).alias(name) for name in ("astringency", "bitterness", "warmth")
    ).write_csv(path)
    cellar = load_cellar(tmp_path)
    answer = trial.answer(cellar, fit_models(cellar), maker.planned_recipes[0])
    assert answer["purpose"] == "score"
    assert answer["tastings"]["useful_difference"] == USEFUL["score"]
