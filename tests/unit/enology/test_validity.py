"""Results outside the range a relation was made for are flagged, by row and in words."""

import inspect
from importlib import import_module
from pkgutil import iter_modules

import numpy as np
import polars as pl
import pytest

from pipeline import enology
from pipeline.enology.enzymes import WINDOWS
from pipeline.enology.limits import CHECK_LOCALLY, LIMITS, limit, so2_limit_eu
from pipeline.enology.validity import VALID_RANGES, doubts, is_valid
from pipeline.reference import additives


def functions():
    return {
        name: member
        for module in iter_modules(enology.__path__)
        for name, member in vars(import_module(f"pipeline.enology.{module.name}")).items()
        if inspect.isfunction(member)
    }


@pytest.mark.parametrize("relation", VALID_RANGES)
def test_ranges_are_of_real_functions_and_their_arguments(relation):
    parameters = inspect.signature(functions()[relation]).parameters
    for argument, allowed in VALID_RANGES[relation].items():
        assert argument in parameters
        assert allowed.low < allowed.high
        assert allowed.why


def test_rows_are_flagged_one_by_one_and_unknown_is_not_sound():
    sound = is_valid("alcohol_ratio", original_gravity=np.array([1.09, 1.14, np.nan]))
    assert sound.tolist() == [True, False, False]


def test_a_sound_answer_carries_no_doubt():
    assert doubts("alcohol_from_gravities", original_gravity=1.09, final_gravity=0.995) == []


def test_every_doubt_is_listed():
    assert doubts("sorbic_needed", abv=6.0, ph=4.0) == [
        "abv 6 is outside 8–15 (table of strengths)",
        "ph 4 is outside 2.9–3.8 (wine)",
    ]


@pytest.mark.parametrize("name", LIMITS)
def test_limits_name_their_rule_and_send_to_the_local_ones(name):
    sentence = limit(name).sentence()
    assert limit(name).rule in sentence
    assert sentence.endswith(CHECK_LOCALLY)


def test_unknown_limit_lists_the_known_ones():
    with pytest.raises(ValueError, match=r"name must be one of total so2 us, .* got 'moon'"):
        limit("moon")


@pytest.mark.parametrize(
    ("sugar", "is_red", "ceiling"),
    [(0, True, 150), (0, False, 200), (5, True, 200), (30, False, 250)],
)
def test_eu_sulphite_ceiling_by_sweetness_and_colour(sugar, is_red, ceiling):
    assert so2_limit_eu(sugar, is_red=is_red).value == ceiling


@pytest.mark.parametrize(
    ("enzyme", "additive"),
    [
        ("pectic enzyme", "pectic enzyme (powder)"),
        ("amylase", "alpha-amylase, fungal (A. oryzae)"),
        ("glucoamylase", "glucoamylase (A. niger)"),
    ],
)
def test_enzyme_windows_are_those_of_the_table(enzyme, additive):
    row = additives().filter(pl.col("additive") == additive).row(0, named=True)
    window = WINDOWS[enzyme]
    assert (window.best_low_c, window.best_high_c) == (row["T_opt_low_C"], row["T_opt_high_C"])
    assert window.denatured_from_c == row["T_denature_C"]
    assert (window.ph_low, window.ph_high) == (row["pH_low"], row["pH_high"])
