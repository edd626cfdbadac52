"""Yeasts like for like: on the same musts, so that none is blamed for what it was given."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from makers.brew import brew
from unit.learning.simulated import Mart, gravity_of, mart

from pipeline.learning.ferments import expected_ferment
from pipeline.learning.gravity import MISFIT, fit_gravity
from pipeline.learning.yeasts import YeastsLikeForLike

TOLD_APART = 0.001  # [SG] a step of the hydrometer


SEEDS = (202, 203, 204)


def on_its_musts(model, musts, batches):
    finished = dict.fromkeys(model.yeasts, 0)
    for name, final in zip(musts.yeast, batches["final_gravity"], strict=True):
        if name is not None and final is not None:
            finished[name] += 1
    known = np.flatnonzero(np.isfinite(musts["load"]))
    return YeastsLikeForLike(model, musts.take(known), finished)


def renamed(names, typed=None):
    """Return the yeasts of a logbook whose batches are said to be of these."""
    musts = replace(mart().logged(), yeast=names, yeast_as_typed=typed or names)
    model = fit_gravity(musts, mart().batches, mart().steps)
    return on_its_musts(model, musts, mart().batches)


@pytest.fixture(scope="module")
def told():
    return on_its_musts(gravity_of(), mart().logged(), mart().batches)


def raw_means(its: Mart, yeasts):
    final = its.batches["final_gravity"].cast(float).to_numpy()
    yeast = np.array(yeasts, dtype=object)
    return {name: np.nanmean(final[yeast == name]) for name in {*yeasts} - {None}}


def truth(its: Mart):
    """Return what each yeast truly makes of the logbook's musts, left to it again and again."""
    plans, world = its.maker.run.plans, its.maker.world
    found = {}
    for place, name in enumerate(world.yeasts.names):
        with_it = plans.changed(yeast=np.full(len(plans), place))
        wines = [brew(with_it, world, np.random.default_rng(turn)).wine for turn in range(10)]
        gravity = [np.where(wine.is_stuck, np.nan, wine.gravity) for wine in wines]
        found[name.casefold()] = float(np.nanmean(gravity))
    return found


@pytest.fixture(scope="module")
def makers_told():
    """Return per maker its logbook, its yeasts as told and what each truly makes of its musts."""
    its = [mart(seed, 150) for seed in SEEDS]
    models = [gravity_of(seed, 150) for seed in SEEDS]
    told = [
        on_its_musts(model, one.logged(), one.batches)
        for model, one in zip(models, its, strict=True)
    ]
    return [(one, yeasts, truth(one)) for one, yeasts in zip(its, told, strict=True)]


def test_yeasts_that_truly_differ_are_put_in_order_better_than_by_their_means(makers_told):
    by_model, by_means = [], []
    for its, yeasts, true in makers_told:
        made, raw = yeasts.made, raw_means(its, its.logged().yeast)
        for a, b in combinations(made, 2):
            if abs(true[a] - true[b]) > TOLD_APART:
                by_model.append((made[a].final < made[b].final) == (true[a] < true[b]))
                by_means.append((raw[a] < raw[b]) == (true[a] < true[b]))
    assert len(by_model) > 35
    assert np.mean(by_model) > 0.85
    assert np.mean(by_model) > 0.05 + np.mean(by_means)


def test_true_differences_lie_in_their_intervals_which_had_to_be_widened(makers_told):
    away, chance = [], []
    for _, yeasts, true in makers_told:
        for pair in yeasts.pairs():
            half = (pair.difference.high - pair.difference.low) / 2
            apart = true[pair.a] - true[pair.b]
            away.append(abs(pair.difference.value - apart) / half)
            told = pair.chance_a_drier
            chance.append((max(told, 1 - told), (told > 0.5) == (apart < 0)))
    within, unwidened = (np.mean(np.array(away) < reach) for reach in (1.0, 1 / MISFIT))
    assert 0.86 <= within <= 0.98
    assert unwidened < 0.87
    told, true = np.mean(chance, axis=0)
    assert true == pytest.approx(told, abs=0.08)


def commonest(yeasts):
    name = max(yeasts.finished, key=yeasts.finished.get)
    return name, np.array(mart().logged().yeast, dtype=object) == name


def pair_of(yeasts, a, b):
    return next(one for one in yeasts.pairs() if {one.a, one.b} == {a, b})


def test_a_yeast_that_was_only_given_sweet_musts_is_not_blamed_for_them(told):
    name, own = commonest(told)
    sweet = expected_ferment(told.model, mart().logged()).mean["undiluted"]
    half = own & (sweet > np.nanmedian(sweet[own]))
    names = np.where(half, "twin", mart().logged().yeast).tolist()
    raw = raw_means(mart(), names)
    blamed = raw["twin"] - raw[name]
    difference = pair_of(renamed(names), "twin", name).difference
    assert blamed > 0.003
    assert abs(difference.value) < blamed / 2
    assert difference.low < 0 < difference.high


def test_a_pair_says_how_far_apart_and_which_is_likelier_drier(told):
    for pair in told.pairs():
        assert pair.difference.low < pair.difference.value < pair.difference.high
        assert (pair.chance_a_drier > 0.5) == (pair.difference.value < 0)
        if pair.difference.high < 0:
            assert pair.chance_a_drier > 0.9


def test_a_yeast_of_two_batches_is_said_to_be_little_known(told):
    name, own = commonest(told)
    rows = np.flatnonzero(own & mart().batches["final_gravity"].is_not_null().to_numpy())[:2]
    names = list(mart().logged().yeast)
    for row in rows:
        names[row] = "rare"
    typed = [one and one.capitalize() for one in names]
    again = renamed(names, typed)
    by_name = {yeast.name: yeast for yeast in again.yeasts()}
    rare, often = (by_name[one].final_gravity for one in ("rare", name))
    assert rare.high - rare.low > 2 * (often.high - often.low)
    pair = pair_of(again, "rare", name)
    assert [doubt.code for doubt in pair.doubts] == ["few_batches"]
    assert "Rare finished 2 of your batches" in pair.doubts[0].text


def test_what_a_yeast_stands_is_only_said_where_something_stopped_it(told):
    assert any(yeast.alcohol_tolerance is not None for yeast in told.yeasts())
    never_stopped = expected_ferment(told.model, told.musts).mean["excess"] < 0.05
    weak = told.musts.take(np.flatnonzero(never_stopped))
    light = YeastsLikeForLike(told.model, weak, told.finished)
    assert all(yeast.alcohol_tolerance is None for yeast in light.yeasts())
