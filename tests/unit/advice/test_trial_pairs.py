"""Recognising split batches in a logbook."""

from datetime import date

import polars as pl
import pytest

from pipeline.advice.trial.pairs import logged_pairs, paired

DAY = date(2026, 9, 1)
PLAIN = {
    "recipe": "Damson",
    "started_on": DAY,
    "target_volume_l": 4.5,
    "must_l": 5.0,
    "skins_share": 1.0,
    "contact_days": 7.0,
    "fruit_load_kg_l": 0.4,
    "frozen_share": 0.0,
    "crushed_share": 0.0,
    "has_pectic_enzyme": True,
    "tannin_added_g_l": 0.0,
    "acid_added_g_l": 2.0,
    "acid_removed_g_l": 0.0,
    "nitrogen_added_mg_l": 100.0,
    "sugar_kg": 1.0,
    "must_temperature_mean_c": 20.0,
    "so2_added_mg_l": 50.0,
    "unripe_share": 0.0,
    "overripe_share": 0.0,
    "yeast": "Wherry",
    "main_fruit": "damson",
    "extraction": "cold",
    "pressed": "drained",
}
NO_GLASSES = pl.DataFrame(schema={"batch_id": pl.String, "sweetened_to_g_l": pl.Float64})


def _batch(batch_id, **changed):
    return PLAIN | {"batch_id": batch_id} | changed


def _frame(*rows):
    return pl.DataFrame(rows, infer_schema_length=None)


@pytest.mark.parametrize(
    ("changed", "factor", "label"),
    [
        ({"skins_share": 0.0}, "skins", "0% with skins"),
        ({"contact_days": 12.0}, "contact_days", "12 days on the fruit"),
        ({"fruit_load_kg_l": 0.5}, "fruit_load", "0.50 kg/L of fruit"),
        ({"frozen_share": 1.0}, "freezing", "100% frozen"),
        ({"crushed_share": 1.0}, "crushing", "100% crushed"),
        ({"has_pectic_enzyme": False}, "enzyme", "no pectic enzyme"),
        ({"tannin_added_g_l": 0.18}, "tannin_added", "0.20 g/L of tannin"),
        ({"acid_added_g_l": 3.0}, "acidity", "3.3 g/L of acid"),
        ({"acid_removed_g_l": 1.0}, "acidity", "1.1 g/L of acid"),
        ({"nitrogen_added_mg_l": 200.0}, "nitrogen_shortfall", "222 mg/L of nitrogen"),
        ({"sugar_kg": 1.08}, "alcohol", "240 g/L of sugar"),
        ({"must_temperature_mean_c": 25.0}, "must_temperature", "25 °C"),
        ({"yeast": "Hobnail"}, "yeast", "Hobnail"),
    ],
)
def test_two_batches_of_one_day_unlike_in_one_thing_are_a_pair(changed, factor, label):
    [pair] = logged_pairs(_frame(_batch("a"), _batch("b", **changed)), NO_GLASSES, "damson")
    assert pair.batches == ("a", "b")
    assert pair.factors == (factor,)
    assert pair.labels[1] == label
    assert pair.is_clean


def test_more_fruit_does_not_make_the_same_doses_another_thing():
    other = _batch("b", fruit_load_kg_l=0.5, must_l=5.4)
    other |= {name: PLAIN[name] * 5.0 / 5.4 for name in ("acid_added_g_l", "nitrogen_added_mg_l")}
    assert paired(_batch("a"), other).factors == ("fruit_load",)


def test_what_differs_in_two_things_is_no_clean_pair():
    pair = paired(_batch("a"), _batch("b", skins_share=0.0, yeast="Hobnail"))
    assert pair.factors == ("skins", "yeast")
    assert not pair.is_clean


@pytest.mark.parametrize(
    "changed",
    [
        {"must_temperature_mean_c": 21.0},  # a thermometer's whim
        {"contact_days": None},  # not noted
        {"yeast": " wherry"},  # another spelling
        {"sugar_kg": 1.01},
    ],
)
def test_small_and_unknown_differences_do_not_count(changed):
    assert paired(_batch("a"), _batch("b", **changed)).factors == ()


def test_another_day_or_recipe_is_no_pair():
    others = (
        _batch("b", started_on=date(2026, 9, 2), skins_share=0.0),
        _batch("c", recipe="Plum", skins_share=0.0),
        _batch("d", recipe=None, skins_share=0.0),
    )
    assert logged_pairs(_frame(_batch("a"), *others), NO_GLASSES, "Damson") == []


def test_a_glass_with_sugar_stirred_in_is_a_pair_with_the_wine_as_it_is():
    glasses = pl.DataFrame({"batch_id": ["a", "a", "b"], "sweetened_to_g_l": [None, 15.0, 15.0]})
    [pair] = logged_pairs(_frame(_batch("a")), glasses, "Damson")
    assert pair.batches == ("a", "a")
    assert pair.factors == ("residual_sugar",)
    assert pair.sugar == (None, 15.0)
