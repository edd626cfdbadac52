"""Sentences and tables: each carries its numbers, its interval and its doubts."""

from datetime import date

import polars as pl
import pytest
from unit.show import samples

from pipeline.advice.trace.sources import source_of
from pipeline.enology import alcohol, gravity
from pipeline.show import (
    words_compare,
    words_fill,
    words_finish,
    words_fit,
    words_harsh,
    words_made,
    words_problem_kinds,
    words_recipes,
    words_shelf,
    words_volume,
    words_yeasts,
)
from pipeline.show.units import Units
from pipeline.show.words_doubts import caution_lines, doubt_lines, doubt_marks

METRIC = Units(currency="GBP")


def test_volume_names_what_fills_and_what_does_not():
    text = words_volume.volume_answer(samples.VOLUME, METRIC)
    assert "rhubarb up to 0.12 kg/L; banana and sloe never fill it" in text
    assert "rhubarb and sloe fill the vessel at every load you have tried; banana up to" in text


def test_volume_counts_fruits_where_there_are_many():
    fruits = [
        samples.fruit(f"f{n}", 3, 0.5, 0.1, [samples.full("on_top", never=n < 5, always=n >= 5)])
        for n in range(9)
    ]
    text = words_volume.volume_answer({"fruits": fruits}, METRIC)
    assert text == (
        "With a full measure of water beside the fruit, 4 fruits fill the vessel at every load "
        "you have tried; 5 fruits never fill it."
    )


@pytest.mark.parametrize(
    ("flags", "text"),
    [({"always": True}, "every fruit fills the vessel"), ({"never": True}, "no fruit fills the")],
)
def test_volume_says_all_or_none(flags, text):
    fruits = [samples.fruit("sloe", 3, 0.5, 0.1, [samples.full("to_mark", **flags)])]
    assert text in words_volume.volume_answer({"fruits": fruits}, METRIC)


def test_volume_without_any_fruit_says_what_is_missing():
    assert "No batch yet" in words_volume.volume_answer({"fruits": []}, METRIC)


@pytest.mark.parametrize(
    ("gives", "half", "text"),
    [
        (0.55, 0.06, "Each kg of rhubarb adds 0.55 L (0.49 to 0.61) to what you strain off."),
        (-0.12, 0.05, "Each kg of rhubarb keeps back 0.12 L (0.07 to 0.17) more than it gives."),
        (0.05, 0.2, "Cannot tell whether each kg of rhubarb adds"),
    ],
)
def test_a_fruit_gives_or_takes_or_cannot_be_told(gives, half, text):
    fruit = samples.fruit("rhubarb", 9, gives, half, [])
    assert text in words_volume.fruit_answer(fruit, METRIC)
    assert "start with" in words_volume.fruit_answer(fruit, METRIC)


def test_a_fruit_that_was_never_measured_says_nothing_of_water():
    fruit = samples.fruit("rhubarb", 9, 0.5, 0.1, []) | {"water_for_full": []}
    assert "water" not in words_volume.fruit_answer(fruit, METRIC)
    assert words_volume.volume_listing({"fruits": [fruit]}, METRIC).rows[0][3:] == ("–", "–", "–")


def test_volume_table_starts_with_the_fruit_made_most_often():
    listing = words_volume.volume_listing(samples.VOLUME, METRIC)
    assert [row[0] for row in listing.rows] == ["rhubarb", "banana", "sloe"]
    assert all(len(row) == len(listing.headings) for row in listing.rows)


def test_volume_table_says_the_water_at_one_load_in_its_heading():
    listing = words_volume.volume_listing(samples.VOLUME, METRIC)
    assert listing.headings[-1] == "water at 0.40 kg/L"
    assert listing.rows[0][-1] == "×0.83 to 0.93"
    assert "Banana keeps back more liquid" in words_volume.volume_answer(samples.VOLUME, METRIC)


def test_limits_on_both_sides_are_both_named():
    fruit = samples.fruit("sloe", 3, 0.5, 0.1, [samples.full("on_top", 0.6, 0.2)])
    assert words_volume.fruit_title(fruit, METRIC) == (
        "Sloe with a full measure of water fills the vessel from 0.20 kg/L to 0.60 kg/L"
    )


def test_yeasts_name_the_ends_and_count_what_can_be_told():
    text = words_yeasts.yeasts_answer(samples.YEASTS, METRIC)
    assert "Lantern finishes driest, at 0.993" in text
    assert "Of 3 pairs your batches tell 2 apart" in text


def test_yeasts_that_cannot_be_told_apart_say_so():
    data = samples.YEASTS | {"pairs": [samples.pair("Lantern", "Millrace", 0.001, 0.004, 0.4)]}
    assert "cannot tell any two of them apart" in words_yeasts.yeasts_answer(data, METRIC)
    assert words_yeasts.pair_sentence(data["pairs"][0], METRIC) == (
        "Millrace and Lantern: cannot tell these apart (60 in 100 that Millrace is drier)."
    )


def test_ends_that_one_must_cannot_tell_apart_are_no_ends():
    own = [samples.pair("Lantern", "Millrace", -0.013, 0.004, 0.999)]
    alike = [samples.pair("Lantern", "Millrace", -0.002, 0.004, 0.4)]
    data = samples.YEASTS | {"pairs": alike, "pairs_over_logbook": own}
    text = words_yeasts.yeasts_answer(data, METRIC)
    assert "In the average must your yeasts finish alike, from 0.993" in text
    assert "driest" not in text
    assert "Your batches tell every one apart from every other." in text
    assert words_yeasts.yeasts_title(data) == "In the average must the yeasts finish alike."


def test_what_rests_on_few_batches_is_not_said_without_saying_so():
    few = [{"code": "few_batches", "text": "Lantern finished 2 of your batches"}]
    own = [samples.pair("Lantern", "Millrace", -0.013, 0.004, 0.999) | {"doubts": few}]
    data = samples.YEASTS | {"pairs_over_logbook": own}
    text = words_yeasts.yeasts_answer(data, METRIC)
    assert text.endswith("Some of that rests on very few batches.")


def test_the_plot_of_yeasts_says_no_more_than_their_answer():
    apart = words_yeasts.yeasts_title(samples.YEASTS)
    assert apart == "Lantern finishes driest, Millrace sweetest, in the average must."
    alike = samples.YEASTS | {"pairs": []}
    assert words_yeasts.yeasts_title(alike) == (
        "No two yeasts can be told apart yet, in the average must."
    )
    assert "finishes driest" not in words_yeasts.yeasts_answer(alike, METRIC)


def test_a_batch_that_ferments_without_an_end_in_sight_is_not_forgotten():
    data = samples.FINISH | {"without_end": ["2026-03"]}
    text = words_finish.finish_answer(data, date(2026, 11, 25))
    assert text.startswith("2026-03 still ferments, but too few of your batches have finished")
    assert (
        words_finish.finish_answer(samples.FINISH, date(2026, 11, 25)) == "Nothing is fermenting."
    )


def test_what_the_trade_expects_is_not_said_of_the_makers_own_glasses():
    untried = [
        driver | {"doubts": [{"code": "few_batches", "text": "only 1 tasted batch"}]}
        for driver in samples.HARSH["drivers"]
    ]
    text = words_harsh.harsh_answer({"drivers": untried}, METRIC)
    assert text.startswith("Your batches do not tell yet. The trade expects: ")
    assert words_harsh.harsh_title({"drivers": untried}).startswith("What the trade expects: ")
    assert words_harsh.harsh_answer(samples.HARSH, METRIC).startswith("Harsher glasses go with")


def test_a_pair_reads_the_same_whichever_stands_first():
    forward = samples.pair("Lantern", "Millrace", -0.013, 0.004, 0.97)
    backward = samples.pair("Millrace", "Lantern", 0.013, 0.004, 0.03)
    told = "Lantern finishes drier than Millrace by 0.013 (0.009 to 0.017): 97 in 100."
    assert words_yeasts.pair_sentence(forward, METRIC) == told
    assert words_yeasts.pair_sentence(backward, METRIC) == told


def test_a_yeast_that_stops_early_is_named_with_what_it_leaves():
    yeasts = [
        samples.yeast("Millrace", 9, 0.996, 0.004, samples.estimate(11.4, 0.3)),
        samples.yeast("Lantern", 9, 0.994, 0.001, samples.estimate(13.9, 0.7)),
        samples.yeast("Sexton", 9, 0.995, 0.001, samples.estimate(13.8, 0.7)),
    ]
    over = [
        samples.pair("Lantern", "Millrace", -0.0081, 0.0009, 1.0),
        samples.pair("Millrace", "Sexton", 0.008, 0.0009, 0.0),
        samples.pair("Lantern", "Sexton", -0.0001, 0.0006, 0.65),
    ]
    data = {"yeasts": yeasts, "pairs": [], "pairs_over_logbook": over}
    assert (
        "Millrace stops at about 11.4 % vol, before the others: over your own musts it finishes "
        "at least 0.008 (0.007 to 0.009) higher."
    ) in words_yeasts.yeasts_answer(data, METRIC)
    close = samples.pair("Lantern", "Sexton", -0.001, 0.0009, 0.96)
    rows = words_yeasts.pairs_listing(data | {"pairs_over_logbook": [close]}, METRIC).rows
    assert rows == [("Lantern", "Sexton", "96 in 100", "up to 0.002")]


def test_one_yeast_or_none_is_answered_too():
    one = {"yeasts": [samples.yeast("Lantern", 4, 0.994, 0.002)], "pairs": []}
    assert "Only one yeast" in words_yeasts.yeasts_answer(one, METRIC)
    assert "No batch" in words_yeasts.yeasts_answer({"yeasts": [], "pairs": []}, METRIC)


def test_a_yeast_without_a_finished_batch_stays_in_the_table():
    waiting = samples.yeast("Lantern", 1, 0.99, 0.01) | {"final_gravity": None}
    listing = words_yeasts.yeasts_listing({"yeasts": [waiting], "pairs": []}, METRIC)
    assert listing.rows == [("Lantern", "1", "–", "–", "–")]


def test_harsh_names_only_what_is_told_apart_from_nought():
    text = words_harsh.harsh_answer(samples.HARSH, METRIC)
    assert text == (
        "Harsher glasses go with skins left on (0.8 to 1.8 points, left on, not off) and warm "
        "fermenting (0.3 to 0.9 points, per 5 °C warmer). Softer ones go with sweetness left "
        "(−0.6 to −0.2 points, per 10 g/L more)."
    )
    assert words_harsh.harsh_title(samples.HARSH) == (
        "Harsher with skins left on and warm fermenting; softer with sweetness left"
    )


def test_harsh_says_when_nothing_is_told():
    data = {"drivers": [samples.driver("enzyme", 0.1, 0.5, "with it")]}
    assert "Nothing that varied" in words_harsh.harsh_answer(data, METRIC)
    assert "Nothing clearly" in words_harsh.harsh_title(data)
    assert words_harsh.harsh_doubts(data) == [
        "Cannot tell yet whether these matter: pectic enzyme."
    ]
    assert "No glass" in words_harsh.harsh_answer({"drivers": []}, METRIC)


def test_a_batch_is_explained_against_the_smooth_ones():
    text = words_harsh.batch_answer(samples.HARSH_BATCH, METRIC)
    assert "2025-09 has a harshness of 6.2 of 10 (5.5 to 6.9)." in text
    assert "gains most from skins left on (0.8 to 1.8 points) and warm fermenting" in text
    assert words_harsh.advice_lines(samples.HARSH_BATCH, "next_time") == [
        "Take the skins off.",
        "Keep the must under 20 °C.",
    ]
    assert words_harsh.advice_lines(samples.HARSH_BATCH, "now") == [
        "Sweeten a glass by 10 g/L and taste."
    ]
    assert "pectic enzyme" not in str(words_harsh.reasons_listing(samples.HARSH_BATCH, METRIC))
    assert words_harsh.batch_doubts(samples.HARSH_BATCH)[-1] == (
        "As in the batches it is set beside: pectic enzyme."
    )
    assert words_harsh.practice_lines(samples.HARSH_BATCH) == [
        "Skins left on: common practice, no source: skins left on taste grippy when dry."
    ]
    assert "only their sum is known" in words_harsh.batch_doubts(samples.HARSH_BATCH)[0]


def test_an_untasted_batch_says_so():
    data = samples.HARSH_BATCH | {"harshness": None, "measured": None, "reasons": []}
    text = words_harsh.batch_answer(data, METRIC)
    assert "has not been tasted" in text
    assert "Nothing about it stands out" in text
    assert "does not stand out" in words_harsh.batch_title(data)
    tasted = data | {"measured": 6.0}
    assert "was tasted at a harshness of 6.0 of 10" in words_harsh.batch_answer(tasted, METRIC)


def test_a_model_that_does_not_beat_a_simple_guess_says_so():
    models = samples.FIT["models"]
    assert "no better than that guess" in words_fit.model_sentence("score", models["score"])
    assert "off by 4.1 % of the target" in words_fit.model_sentence("volume", models["volume"])
    assert "Not better: score." in words_fit.fit_answer(samples.FIT)
    assert words_fit.fit_doubts(samples.FIT) == ["Score: 4 tasters only."]


def test_fit_says_all_or_none():
    good, bad = samples.model(1.0, 2.0), samples.model(2.0, 1.0)
    assert "Every model" in words_fit.fit_answer(samples.FIT | {"models": {"score": good}})
    assert "No model" in words_fit.fit_answer(samples.FIT | {"models": {"score": bad}})
    unknown = bad | {"mae": None, "coverage_90": None}
    assert "too few batches" in words_fit.model_sentence("score", unknown)
    assert words_fit.fit_listing({"models": {"score": unknown}}).rows[0][-1] == "–"


def test_fit_says_so_where_it_was_tried_on_some_batches_only():
    assert "Tried on" not in words_fit.fit_answer(samples.FIT)
    part = samples.FIT | {"tried": {"batches": 4972, "of": 100_000}}
    assert "Tried on 4,972 of the 100,000 batches" in words_fit.fit_answer(part)


def test_fit_says_how_well_the_next_year_is_foreseen_or_that_it_cannot_tell():
    assert "no better than a simple guess in score" in words_fit.season_answer(samples.FIT)
    row = words_fit.season_listing(samples.FIT).rows[0]
    own, *simple = (f"{share} % of the target" for share in ("4.5", "6.8", "7.4", "6.2"))
    assert row[:6] == ("finished volume", "40", own, *simple)
    good = samples.model(1.0, 2.0)
    new = good | {"next_season": samples.NO_SEASON}
    both = {"models": {"score": good, "harshness": new}}
    assert "better than any simple guess. Cannot tell yet" in words_fit.season_answer(both)
    assert len(words_fit.season_listing(both).rows) == 1
    alone = words_fit.season_answer({"models": {"score": new}})
    assert alone.startswith("Cannot tell yet how well the next year is foreseen: score.")
    assert "12 batches judged before a year begins" in alone


def test_a_page_says_how_a_model_did_on_batches_it_had_not_seen():
    unseen, season = words_fit.unseen_lines(samples.FIT, ["gravity"])
    assert unseen.startswith("Finished gravity, tried on batches it had not seen: off by 0.0021")
    assert "91 % came out inside the range given, which is 0.0084 wide" in unseen
    assert season.startswith("Finished gravity of the next year, foreseen from the years before")
    young = samples.model(1.0, 2.0) | {"next_season": samples.NO_SEASON}
    lines = words_fit.unseen_lines({"models": {"score": young}}, ["score"])
    assert "cannot tell yet" in lines[1]
    empty = young | {"mae": None}
    assert words_fit.unseen_lines({"models": {"score": empty}}, ["score"]) == [
        "Score: too few batches to try it on some that it has not seen."
    ]


def test_a_recipe_says_what_it_will_give():
    text = words_recipes.recipe_answer(samples.PREDICT["recipes"][0], METRIC)
    assert text.startswith("damson dry should give 3.7 L (3.4 to 4.0), finish at 0.996")
    assert words_recipes.recipe_cautions(samples.PREDICT["recipes"]) == [
        "Damson stones hold cyanide: do not crush them."
    ]


def test_a_recipe_of_unknowns_says_that():
    unknown = {"recipe": "odd", "doubts": [], "cautions": []}
    assert "Too much of odd is unknown" in words_recipes.recipe_answer(unknown, METRIC)
    assert words_recipes.outcomes_listing([unknown], METRIC).rows == []


def test_a_suggestion_names_each_change_and_what_it_brings():
    text = words_recipes.suggest_answer(samples.SUGGEST, METRIC)
    assert "take 3.6 L of water, not 3 L; take the skins off the damson" in text
    assert "finished wine goes from 3.7 L to 4.3 L" in text
    listing = words_recipes.changes_listing(samples.SUGGEST, METRIC)
    assert listing.rows[0][1:3] == ("line 3", "finished wine +0.6 L (0.5 to 0.7)")
    nothing = samples.SUGGEST | {"changes": []}
    assert "Nothing you could change" in words_recipes.suggest_answer(nothing, METRIC)


def test_each_change_reads_as_sentences_too():
    assert words_recipes.change_lines(samples.SUGGEST, METRIC)[0] == (
        "Take 3.6 L of water, not 3 L. Line 3 of recipes.csv: by itself finished wine +0.6 L "
        "(0.5 to 0.7). The vessel was not full."
    )


def test_an_outcome_that_reads_the_same_after_the_change_is_left_out():
    steady = samples.SUGGEST | {"after": samples.SUGGEST["before"]}
    assert words_recipes.suggest_answer(steady, METRIC).endswith("the skins off the damson.")


PLUM = {"kind": "fruit", "ingredient": "plums"}


@pytest.mark.parametrize(
    ("change", "before", "after", "text"),
    [
        (
            {"kind": "yeast", "ingredient": None, "field": "yeast"},
            "A",
            "B",
            "ferment with B, not A",
        ),
        ({"kind": "yeast", "ingredient": None, "field": "yeast"}, "", "B", "ferment with B"),
        ({"kind": "tannin", "ingredient": "tannin"}, None, "2 g", "add 2 g of tannin"),
        ({"kind": "tannin", "ingredient": "tannin"}, "2 g", None, "leave out the tannin (2 g)"),
        ({"kind": "nutrient", "ingredient": "dap"}, "2 g", "4 g", "take 4 g of DAP, not 2 g"),
        (
            {"kind": "water", "ingredient": "water"},
            "to 1 gal",
            "to 1 1/4 gal",
            "make it up with water to 1 1/4 gal, not to 1 gal",
        ),
        (PLUM | {"field": "skins"}, "off", "on", "leave the skins of the plums on"),
        (PLUM | {"field": "removed_day"}, "13", "5", "take the plums out on day 5, not day 13"),
        (PLUM | {"field": "form"}, "sliced", "sliced frozen", "plums: freeze first"),
        (
            PLUM | {"field": "form"},
            "crushed frozen",
            "whole",
            "plums: use whole, not crushed and use fresh, not frozen",
        ),
        (
            {"kind": "recipe", "ingredient": None, "field": "sweeten_to"},
            "20 g/L",
            "0 g/L",
            "do not sweeten the finished wine",
        ),
        (
            {"kind": "recipe", "ingredient": None, "field": "ferment_temperature"},
            "25 C",
            "18 C",
            "ferment at 18 C, not 25 C",
        ),
    ],
)
def test_a_change_reads_as_an_instruction(change, before, after, text):
    both = {"field": "amount", "from": before, "to": after}
    assert words_recipes.change_phrase(both | change) == text


def test_a_suggestion_says_what_it_was_held_to_and_what_it_cannot_meet():
    limits = [
        {
            "measure": "alcohol",
            "low": 12.0,
            "high": 13.0,
            "value": 11.3,
            "is_met": False,
            "is_asked": True,
        },
        {
            "measure": "finished_fraction",
            "low": 0.95,
            "high": None,
            "value": 1.0,
            "is_met": True,
            "is_asked": False,
        },
        {
            "measure": "cost_per_bottle",
            "low": None,
            "high": 1.5,
            "value": 1.2,
            "is_met": True,
            "is_asked": True,
        },
    ]
    data = samples.SUGGEST | {"limits": limits, "kept": ["skins", "yeast"], "vessel_l": 6.0}
    assert words_recipes.limit_lines(data, Units("metric", "GBP")) == [
        "Strength: 12.0 % vol to 13.0 % vol, as you asked; not met, it is 11.3 % vol.",
        "Share of the volume aimed at: at least 95 %, full, or no emptier than you planned it.",
        "Cost of a bottle: at most GBP 1.50, as you asked.",
        "Not to be changed: skins and yeast.",
        "It takes a vessel of 6.00 L, fruit and foam included.",
        "Set others with --strength, --cost-per-bottle, --full and --keep.",
    ]
    assert words_recipes.limit_lines(samples.SUGGEST, METRIC) == []


def test_how_likely_it_is_for_the_better_is_said_only_of_a_change():
    assert "84 in 100" in words_recipes.chance_line(samples.SUGGEST | {"chance_better": 0.84})
    assert words_recipes.chance_line(samples.SUGGEST) == ""


@pytest.mark.parametrize(("fall", "is_said"), [(0.6, True), (0.01, False), (-0.6, False)])
def test_what_a_fuller_vessel_costs_in_taste_is_said(fall, is_said):
    before = {"value": 14.0, "low": 12.0, "high": 16.0}
    data = samples.SUGGEST | {
        "before": samples.SUGGEST["before"] | {"score": before},
        "after": samples.SUGGEST["after"] | {"score": before | {"value": 14.0 - fall}},
    }
    text = words_recipes.suggest_answer(data, METRIC)
    assert ("It costs some taste: score −0.6" in text) is is_said


def test_what_was_left_alone_reads_as_the_change_it_would_have_been():
    change = {"kind": "yeast", "ingredient": None, "field": "yeast", "from": "A", "to": "B"}
    item = {"what": "yeast A to B", "why": "no better than as it is", "change": change}
    lines = words_recipes.unchanged_lines({"not_changed": [item, {"what": "yeast", "why": "x"}]})
    assert lines == ["Ferment with B, not A: no better than as it is.", "The yeast: x."]


def test_comparing_leads_with_the_difference_that_matters():
    text = words_compare.compare_answer(samples.COMPARE, METRIC)
    assert text.endswith(
        "What matters most of what differs is water (3.00 L against 3.60 L): "
        "finished wine +0.6 L (0.5 to 0.7)."
    )


def test_comparing_says_first_what_all_differences_do_together():
    whole = samples.COMPARE["differences"][0] | {"factor": "all_together"}
    both = samples.COMPARE | {"differences": [whole, *samples.COMPARE["differences"]]}
    text = words_compare.compare_answer(both, METRIC)
    assert text.startswith("damson soft beside damson dry, all in all: finished wine +0.6 L")


def test_comparing_tables_keep_their_order():
    rows = words_compare.sides_listing(samples.COMPARE, METRIC).rows
    assert rows[2] == ("finished wine", "3.7 L (3.4 to 4.0)", "4.1 L (3.8 to 4.4)", "±0.12 L")
    assert [row[0] for row in words_compare.differences_listing(samples.COMPARE, METRIC).rows] == [
        "water",
        "skins left on",
    ]


def test_comparing_says_when_nothing_is_known_to_matter():
    vague = samples.COMPARE | {"differences": samples.COMPARE["differences"][1:]}
    assert "cannot tell which single difference" in words_compare.compare_answer(vague, METRIC)
    same = samples.COMPARE | {"differences": []}
    assert "do not differ in anything known" in words_compare.compare_answer(same, METRIC)


def test_a_doubt_of_many_is_said_once():
    entries = [
        {"name": name, "doubts": [samples.doubt(text=f"{name} is in 1 of your batches")]}
        for name in ("Sloe", "Quince", "Medlar", "Plum", "Pear")
    ]
    assert doubt_lines(entries[:2], lambda entry: entry["name"]) == [
        "Sloe is in 1 of your batches.",
        "Quince is in 1 of your batches.",
    ]
    assert doubt_lines(entries, lambda entry: entry["name"]) == [
        "Sloe, Quince, Medlar, Plum and 1 more: too few batches."
    ]


def test_doubts_name_their_subjects_once():
    entries = [
        {"name": name, "doubts": [samples.doubt(), samples.doubt("confounded", "sloe is alone")]}
        for name in ("Sloe", "Quince", "Medlar", "Plum", "Pear")
    ]
    assert doubt_lines(entries, lambda entry: entry["name"]) == [
        "Sloe, Quince, Medlar, Plum and 1 more: only 2 batches.",
        "Quince, Medlar, Plum and Pear: sloe is alone.",
    ]
    assert doubt_marks(entries[0]["doubts"]) == (
        "too few batches, always changed together with something else"
    )
    assert caution_lines(["wash it", {"code": "x", "text": "wash it"}]) == ["Wash it."]


def _batches(**columns):
    frame = {
        "batch_id": ["1", "2"],
        "name": ["Late plum", None],
        "state": ["stuck", "bottled"],
        "main_fruit": ["plum", "pear"],
        "yeast": ["Lantern", None],
        "started_on": [None, None],
        "fruit_load_kg_l": [0.4, None],
        "original_gravity": [1.09, 1.08],
        "last_gravity": [1.0236, 0.994],
        "gravities": [3, 2],
        "alcohol": [9.04, 11.0],
        "bottled_l": [None, 4.2],
        "harshness": [None, 3.25],
        "score": [None, 13.0],
        "is_original_gravity_doubtful": [True, None],
    }
    return pl.DataFrame(frame | columns)


def _files(aside):
    return pl.DataFrame({"file": ["batches.csv"], "rows_read": [9], "rows_set_aside": [aside]})


def test_the_shelf_is_counted_by_state():
    assert words_shelf.shelf_answer(_batches()) == "2 batches: 1 stuck and 1 bottled."
    assert words_shelf.shelf_answer(_batches().clear()) == "The shelf is empty."


def test_doubtful_starts_are_counted():
    assert "In 1 batch the first gravity differs" in words_shelf.shelf_doubts(_batches())[0]
    assert words_shelf.shelf_doubts(_batches(is_original_gravity_doubtful=[None, False])) == []


@pytest.mark.parametrize(
    ("aside", "text"),
    [(0, "9 of 9 rows of the logbook: every one"), (1, "1 was set aside"), (2, "2 were set aside")],
)
def test_the_shelf_says_how_much_of_the_logbook_it_rests_on(aside, text):
    assert text in words_shelf.set_aside_basis(_files(aside))


def test_curves_start_with_what_is_on_the_move():
    quiet = _batches(state=["bottled", "ageing"])
    assert words_shelf.curves_answer(quiet).startswith("Nothing is fermenting. Those")
    assert words_shelf.curves_shown(quiet)["batch_id"].to_list() == ["2", "1"]
    assert words_shelf.curves_shown(_batches())["batch_id"].to_list() == ["1", "2"]
    many = pl.concat([_batches(state=["stuck", "fermenting"])] * 7)
    assert words_shelf.curves_shown(many).height == 12
    assert words_shelf.curves_shown(pl.concat([quiet] * 7)).height == 6


def test_one_gravity_is_no_curve():
    young = _batches(gravities=[1, None], state=["fermenting", "fermenting"])
    assert words_shelf.curves_answer(young) == (
        "2 batches fermenting or standing still, 2 of them without a second gravity yet. "
        "Two gravities make a curve: take the next one."
    )
    assert words_shelf.curves_shown(young).is_empty()


def test_the_shelf_can_be_narrowed_to_states():
    assert words_shelf.states_of(_batches()) == ["stuck", "bottled"]
    narrowed = words_shelf.shelf_frame(_batches(), METRIC, ["stuck"])
    assert narrowed["batch"].to_list() == ["1"]
    assert set(words_shelf.shelf_decimals(METRIC)) <= set(narrowed.columns)


def test_choices_are_named_in_words():
    musts = pl.DataFrame({"must_id": ["soft", "1"], "is_planned": [True, False]})
    assert words_compare.comparable(musts, _batches()) == {
        "soft": "recipe: soft",
        "2": "2",
        "1": "1 (Late plum)",
    }
    assert words_shelf.tasted_batches(_batches()) == {"2": "2, scored 3.2"}


def test_the_shelf_is_shown_in_the_units_of_the_logbook():
    frame = words_shelf.shelf_frame(_batches(), Units(show="us"))
    assert frame["bottled, US gal"].to_list() == [None, 1.11]
    assert frame["fruit, lb/US gal"].to_list() == [3.3, None]
    assert frame["gravity last"].to_list() == [1.024, 0.994]


def test_a_reason_from_few_batches_is_said_to_be_general_experience():
    few = samples.HARSH_BATCH | {
        "reasons": [r | {"doubts": [samples.doubt()]} for r in samples.HARSH_BATCH["reasons"]]
    }
    assert "Too few of your batches are tasted to say why" in words_harsh.batch_answer(few, METRIC)
    assert "Too few" not in words_harsh.batch_answer(samples.HARSH_BATCH, METRIC)


def test_problems_alike_stand_in_one_row_and_the_common_ones_last():
    rows = [
        ("warning", "additions.csv", 5, "spoon", "1 tsp", "about 4 g by the spoon", "a scale"),
        ("warning", "additions.csv", 9, "spoon", "2 tsp", "about 8 g by the spoon", "a scale"),
        ("warning", "transfers.csv", 7, "not-stabilised", "bottle", "it may BURST the bottles", ""),
        ("error", "readings.csv", 3, "no-unit", "20", "this one has no unit", "20 C or 20 F"),
    ]
    columns = ("level", "file", "line", "rule", "value", "message", "hint")
    listing = words_problem_kinds.kinds_listing(pl.DataFrame(rows, schema=columns, orient="row"))
    assert list(listing.rows) == [
        ("readings.csv", "3", "20", "This one has no unit.", "20 C or 20 F."),
        ("transfers.csv", "7", "bottle", "It may BURST the bottles.", ""),
        ("additions.csv", "5", "1 tsp", "About 4 g by the spoon. And 1 more like it.", "A scale."),
    ]


def test_planned_recipes_stand_a_row_each():
    listing = words_recipes.planned_listing(samples.PREDICT["recipes"], METRIC)
    assert listing.headings[0] == "recipe"
    assert [row[0] for row in listing.rows] == [r["recipe"] for r in samples.PREDICT["recipes"]]
    assert listing.without_empty_columns().rows[0][1].endswith(")")


def test_what_numbers_are_made_by_stands_with_the_formulas():
    functions = {
        "corrected_gravity": gravity.corrected_gravity,
        "gravity_from_brix": gravity.gravity_from_brix,
        "alcohol_from_gravities": alcohol.alcohol_from_gravities,
    }
    assert set(words_made.SOURCES) == set(functions)
    for name, function in functions.items():
        for source in words_made.SOURCES[name].split("; "):
            assert source in source_of(function)
    told = [by for _, _, by in words_made.made_listing().rows]
    assert set(words_made.SOURCES.values()) < set(told)


def test_a_filled_vessel_says_what_to_pour_how_surely_and_what_it_takes():
    text = words_fill.fill_answer(samples.FILL, METRIC)
    assert text == (
        "To have 4.50 L or more of damson dry: make it up with water to 1 gal 1 pt, not to 1 gal. "
        "The chance of that is then 83 in 100; as written it is 4 in 100."
    )
    lines = words_fill.fill_lines(samples.FILL, METRIC)
    assert lines[0].startswith("Kept: the fruit as it is, and the strength")
    assert any("It takes a vessel of 6.10 L" in line for line in lines)


def test_a_vessel_that_is_full_already_says_so_and_one_that_cannot_be_filled_says_why():
    full = samples.FILL | {"chance_now": 0.97}
    assert "and more than it takes. Enough" in words_fill.fill_answer(full, METRIC)
    as_it_is = words_fill.fill_answer(samples.FILL | {"changes": []}, METRIC)
    assert as_it_is.startswith("As written it gives 4.50 L or more")
    refused = words_fill.fill_answer(samples.UNFILLED, METRIC)
    assert refused == "Cannot say how to fill the vessel. 'damson dry' has no water."
    assert words_fill.fill_lines(samples.UNFILLED, METRIC) == []


def test_thinned_nutrient_is_said():
    hungry = {"nitrogen": samples.estimate(90, 9, "mg/L")}
    hungry |= {"nitrogen_needed": samples.estimate(140, 20, "mg/L")}
    fill = samples.FILL | {"after": samples.FILL["after"] | hungry}
    assert any("Add what is short" in line for line in words_fill.fill_lines(fill, METRIC))


def test_what_never_varied_is_no_cause_beside_what_did():
    never = [{"code": "no_variation", "text": "your tasted batches hardly differ in it"}]
    drivers = [
        driver | ({"doubts": never} if driver["factor"] == "skins" else {})
        for driver in samples.HARSH["drivers"]
    ]
    assert "skins left on" in words_harsh.harsh_answer(samples.HARSH, METRIC)
    assert "skins left on" not in words_harsh.harsh_answer({"drivers": drivers}, METRIC)
    assert "skins" not in words_harsh.harsh_title({"drivers": drivers})
