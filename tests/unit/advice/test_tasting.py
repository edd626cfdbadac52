"""Blind tastings: balanced orders, exact chances, how many answers it takes."""

from collections import Counter
from itertools import product

import numpy as np
import pytest

from pipeline.advice import tasting
from pipeline.advice.tasting.order import serving_order
from pipeline.advice.tasting.power import (
    chance_to_see,
    compare_scores,
    scores_needed,
    tastings_needed,
)
from pipeline.enology.sensory import hits_needed
from pipeline.errors import HedgerowError, UnknownNameError


@pytest.mark.parametrize(("test", "orders"), [("triangle", 6), ("paired", 2), ("preference", 2)])
def test_every_order_is_used_alike(test, orders):
    rows = serving_order(test, 12, seed=3)
    counts = Counter("".join(row["wines"]) for row in rows)
    assert len(counts) == orders
    assert set(counts.values()) == {12 // orders}


def test_codes_are_all_different_and_say_nothing():
    rows = serving_order("triangle", 30, seed=5)
    codes = [code for row in rows for code in row["codes"]]
    assert len(set(codes)) == len(codes) == 90
    assert all(100 < code < 1000 for code in codes)
    first_a = [row["codes"][row["wines"].index("A")] for row in rows]
    assert np.std(first_a) > 100


def test_the_odd_one_is_the_one_alone():
    for row in serving_order("triangle", 12, seed=1):
        wines = row["wines"]
        odd = wines[row["codes"].index(row["odd_code"])]
        assert wines.count(odd) == 1


def test_same_seed_same_sheet_another_seed_another():
    assert serving_order("paired", 8, 4) == serving_order("paired", 8, 4)
    assert serving_order("paired", 8, 4) != serving_order("paired", 8, 5)


@pytest.mark.parametrize(
    ("test", "tasters", "message"),
    [("duo", 3, "test must be one of triangle"), ("paired", 0, "tasters must be between 1 and")],
)
def test_orders_that_cannot_be(test, tasters, message):
    with pytest.raises(ValueError, match=message):
        serving_order(test, tasters, 1)


def test_power_of_a_small_triangle_by_counting_every_outcome():
    share, tastings = 0.5, 5
    right = share + (1 - share) / 3
    needed = hits_needed("triangle", tastings)
    counted = sum(
        np.prod([right if hit else 1 - right for hit in outcome])
        for outcome in product([0, 1], repeat=tastings)
        if sum(outcome) >= needed
    )
    assert chance_to_see("triangle", tastings, share) == pytest.approx(counted)


def test_nobody_who_can_tell_is_seen_no_oftener_than_by_chance():
    for test in ("triangle", "paired", "preference"):
        assert chance_to_see(test, 12, 0.0) <= 0.05
    assert chance_to_see("preference", 5, 1.0) == 0.0


@pytest.mark.parametrize("test", ["triangle", "paired"])
def test_from_the_number_named_on_the_difference_is_seen(test):
    needed = tastings_needed(test, 0.5)
    assert all(chance_to_see(test, n, 0.5) >= 0.8 for n in range(needed, needed + 10))
    assert chance_to_see(test, needed - 1, 0.5) < 0.8


def test_a_small_share_takes_more_people_than_a_house_holds():
    assert tastings_needed("triangle", 0.05) is None


def test_two_recipes_that_seven_scores_cannot_tell_apart():
    found = compare_scores([6.5, 7, 6, 7.5], [7, 8, 6.5])
    assert found["difference"]["value"] == pytest.approx(0.42, abs=0.005)
    assert found["sd"] == pytest.approx(0.70, abs=0.005)
    assert found["standard_error"] == pytest.approx(0.53, abs=0.005)
    assert found["difference"]["low"] == pytest.approx(-0.95, abs=0.01)
    assert found["difference"]["high"] == pytest.approx(1.78, abs=0.01)
    assert not found["is_apart"]


def test_scores_needed_against_simulated_tastings():
    each = scores_needed(0.7, 0.7)
    lots = np.random.default_rng(7)
    first, second = lots.normal([[[0.0]], [[0.7]]], 0.7, (2, 600, each))
    found = [compare_scores(*pair) for pair in zip(first, second, strict=True)]
    seen = np.mean([one["is_apart"] for one in found])
    assert seen == pytest.approx(0.8, abs=0.06)


def test_scores_that_say_nothing():
    assert compare_scores([5.0], [6.0, 7.0]) is None
    assert compare_scores([5.0, 5.0], [6.0, 6.0]) is None
    with pytest.raises(ValueError, match="difference must not be 0"):
        scores_needed(0.0, 1.0)


def test_answer_before_and_after(cellar):
    before = tasting.answer(cellar, ("sweet", "dry"), tasters=12)
    assert before["hits_needed"] == 8
    assert before["verdict"] is None
    assert before["scores"]["difference"]["value"] == pytest.approx(-2.5)
    after = tasting.answer(cellar, ("sweet", "dry"), tasters=12, hits=8)
    assert after["verdict"]["is_apart"]
    assert after["verdict"]["chance_by_guessing"] == pytest.approx(0.01876, abs=1e-5)
    assert not tasting.answer(cellar, ("sweet", "dry"), tasters=12, hits=7)["verdict"]["is_apart"]


def test_too_few_to_prove_anything(cellar):
    data = tasting.answer(cellar, ("sweet", "dry"), "preference", tasters=5)
    assert data["hits_needed"] is None
    assert "ask more people" in data["next_step"]


@pytest.mark.parametrize(
    ("batches", "numbers", "message"),
    [
        (("dry", "dry"), {}, "Two different batches"),
        (("dry", "sweet"), {"tasters": 0}, "--tasters must be between 1 and 200"),
        (("dry", "sweet"), {"hits": 13}, "--hits must be between 0"),
    ],
)
def test_tastings_that_cannot_be(cellar, batches, numbers, message):
    with pytest.raises(HedgerowError, match=message):
        tasting.answer(cellar, batches, **numbers)


def test_unknown_batch(cellar):
    with pytest.raises(UnknownNameError, match="no batch 'x'"):
        tasting.answer(cellar, ("dry", "x"))
