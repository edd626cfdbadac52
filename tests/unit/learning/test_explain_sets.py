"""Factors never seen apart are found from what was logged; chance likeness is not."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.learning.explain.sets import Logged, design_pairs, joined, posterior_pairs
from pipeline.learning.explain.shares import Shares

COUNT = 24
CHANCE = np.random.default_rng(4)


def form(values, known=None):
    values = np.asarray(values, dtype=float)
    return [(values, np.ones(values.size, bool) if known is None else known)]


def logged(**forms) -> Logged:
    fruit = ["sloe", "plum", "pear", "apple", "quince", "cherry"]
    return Logged(
        {name: form(values) for name, values in forms.items()},
        {
            "fruit": [fruit[k % 6] for k in range(COUNT)],
            "yeast": ["Lantern" if k % 2 else "Wherry" for k in range(COUNT)],
        },
        [f"recipe {k}" for k in range(COUNT)],
    )


def flags():
    return CHANCE.permutation(np.arange(COUNT) % 3 == 0)


def test_factors_always_used_together_are_a_pair():
    enzyme = flags()
    assert design_pairs(logged(enzyme=enzyme, freezing=enzyme)) == [("enzyme", "freezing")]


def test_one_batch_apart_separates_them():
    enzyme = flags()
    freezing = enzyme.copy()
    freezing[0] = not freezing[0]
    assert design_pairs(logged(enzyme=enzyme, freezing=freezing)) == []


def test_opposites_are_a_pair_too():
    enzyme = flags()
    assert design_pairs(logged(enzyme=enzyme, freezing=~enzyme)) == [("enzyme", "freezing")]


def test_a_factor_that_only_one_fruit_has_is_paired_with_fruit():
    is_sloe = np.arange(COUNT) % 6 == 0
    assert design_pairs(logged(skins=is_sloe)) == [("fruit", "skins")]


@pytest.mark.parametrize(("batches", "is_told"), [(1, False), (2, True)])
def test_two_batches_of_the_only_fruit_with_skins_are_enough_to_say_so(batches, is_told):
    few = logged(skins=np.arange(COUNT) < batches)
    few.labels["fruit"][:] = few.recipe[:] = ["medlar"] * batches + ["pear"] * (COUNT - batches)
    assert (("fruit", "skins") in design_pairs(few)) is is_told


def test_each_fruit_with_its_own_habit_is_paired_with_fruit():
    skins = np.arange(COUNT) % 6 < 3
    assert ("fruit", "skins") in design_pairs(logged(skins=skins))


def test_one_recipe_made_again_and_again_is_one_case():
    skins = np.arange(COUNT) % 6 < 3
    batches = logged(skins=skins)
    repeated = Logged(batches.forms, batches.labels, list(batches.labels["fruit"]))
    assert design_pairs(repeated) == []


def test_a_batch_that_does_not_say_separates_nothing():
    enzyme, freezing = flags(), None
    freezing = enzyme.astype(float)
    freezing[:2] = 0.5
    known = np.arange(COUNT) >= 2
    batches = logged(enzyme=enzyme)
    batches.forms["freezing"] = form(freezing, known)
    assert design_pairs(batches) == [("enzyme", "freezing")]


def test_one_yeast_for_each_fruit_pairs_them():
    batches = logged(skins=flags())
    batches.labels["yeast"] = [f"yeast of {fruit}" for fruit in batches.labels["fruit"]]
    assert ("fruit", "yeast") in design_pairs(batches)


def shares(covariance: np.ndarray) -> Shares:
    return Shares(
        ("skins", "age"), np.ones(2), np.eye(2), np.zeros(2), covariance, prior=np.ones(2)
    )


def test_a_known_sum_of_an_unknown_division_is_a_pair():
    only_sum_known = np.array([[0.5, -0.49], [-0.49, 0.5]])
    assert posterior_pairs(shares(only_sum_known)) == [("skins", "age")]


@pytest.mark.parametrize("known", [0.05, 1.0])
def test_both_known_or_both_unknown_is_no_pair(known):
    assert posterior_pairs(shares(known * np.eye(2))) == []


def test_pairs_that_share_a_factor_make_one_set():
    pairs = [("skins", "age"), ("enzyme", "freezing"), ("fruit", "skins")]
    assert sorted(joined(pairs)) == [["enzyme", "freezing"], ["fruit", "skins", "age"]]
