"""Spoons, `~`, marks and what is not said: how far they move what is expected, and learnt."""

from dataclasses import replace

import makers
import numpy as np
import polars as pl
import pytest
from makers.roughly import WAYS, in_three_ways, realised, write_three_ways
from unit.learning.simulated import mart

from pipeline.cellar import load_cellar
from pipeline.cellar.plan import plan_musts
from pipeline.learning import fit_models
from pipeline.learning.doubtful import ERROR_TO_SD, moved_musts
from pipeline.learning.forecast import forecast
from pipeline.learning.gravity import fit_gravity
from pipeline.learning.musts import read_musts
from pipeline.learning.usual import unsaid_amounts

OUTCOMES = ("original_gravity", "final_gravity", "alcohol", "finished_fraction")
ERROR = 0.2
FEWER = ("sugar_kg", "late_sugar_kg", "sugar_l", "water_l", "juice_l", "juice_sugar_g")
SAME = (*FEWER, "fruit_kg", "fruit_sugar_g", "fruit_starch_g", "fruit_liquid_l", "poured", "load")


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """A maker each of whose plans is written exactly, roughly, and with things unsaid."""
    maker = in_three_ways(makers.simulate(31, 100, draws=1))
    folder = write_three_ways(maker, tmp_path_factory.mktemp("maker") / "logbook")
    return maker, load_cellar(folder)


@pytest.fixture(scope="module")
def models(logbook):
    return fit_models(logbook[1])


@pytest.fixture(scope="module")
def plans(logbook):
    return [logbook[1].table(name).filter("is_planned") for name in ("musts", "must_fruits")]


@pytest.fixture(scope="module")
def told(models, plans):
    return forecast(models, *plans)


def places(told, maker, way):
    return [told.row(name) for name in maker.planned_recipes if name.startswith(f"{way} ")]


def widths(outcome, rows):
    return np.hypot(outcome.sd, outcome.noise)[rows]


@pytest.mark.parametrize("kind", ["fruit", "sugar", "water", "nutrient"])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_moved_amount_is_what_the_mart_says_of_it(logbook, kind, sign):
    lines = logbook[1].table("staged_recipes").filter(pl.col("recipe").str.starts_with("exactly"))
    first = pl.int_range(pl.len()).over("recipe", "kind") == 0
    only = pl.col("kind").is_in(["sugar", "honey"]).sum().over("recipe") == 1
    moved = (pl.col("kind") == kind) & first & (only | (kind != "sugar"))
    doubted = lines.with_columns(amount_error=pl.when(moved).then(ERROR).otherwise(0.0))
    share = pl.when(moved).then(1 + sign * ERROR / ERROR_TO_SD).otherwise(1.0)
    otherwise = lines.with_columns(pl.col("amount_kg") * share, pl.col("amount_l") * share)
    here, there = (plan_musts(frame, 0.75) for frame in (doubted, otherwise))
    musts = read_musts(here.musts, here.must_fruits)
    found, again = moved_musts(musts), read_musts(there.musts, there.must_fruits, musts.fruits)
    half = found.of.size // 2
    at = np.arange(half) + (0 if sign > 0 else half)
    assert half > 10
    for name in SAME:
        expected = again[name][found.of[at]]
        assert found.musts[name][at] == pytest.approx(expected, rel=1e-6, abs=1e-9), name
    # The mart speaks of nitrogen per litre of must, which the same movement may change.
    grams = [them["nitrogen_added_mg_l"] * them["must_l"] for them in (found.musts, again)]
    assert grams[0][at] == pytest.approx(grams[1][found.of[at]])
    loads = found.musts.load.toarray()[at], again.load.toarray()[found.of[at]]
    assert loads[0] == pytest.approx(loads[1])


def test_what_is_surely_known_is_not_moved(models, plans):
    exact = pl.col("must_id").str.starts_with("exactly")
    musts, fruits = (frame.filter(exact) for frame in plans)
    assert moved_musts(read_musts(musts, fruits)) is None
    # This maker of one habit leaves nothing open.
    one_way = {name: np.zeros(len(models.musts)) for name in ("heat", "pressing")}
    settled = replace(models, musts=replace(models.musts, number=models.musts.number | one_way))
    with_doubts = forecast(settled, musts, fruits)
    without = forecast(settled, musts, fruits, with_doubts=False)
    for name in OUTCOMES:
        assert with_doubts[name].sd == pytest.approx(without[name].sd, rel=1e-12), name


def test_doubt_about_a_plan_widens_what_is_told_of_it(models, told, plans, logbook):
    without = forecast(models, *plans, with_doubts=False)
    exact, rough, unsaid = (places(told, logbook[0], way) for way in WAYS)
    for name in OUTCOMES:
        assert np.all(widths(told[name], rough) > widths(without[name], rough)), name
        assert widths(told[name], rough).mean() > 1.05 * widths(told[name], exact).mean(), name
    for name in ("final_gravity", "alcohol", "harshness", "score"):
        assert widths(told[name], unsaid).mean() > widths(told[name], exact).mean(), name


def test_ranges_of_doubtful_plans_hold_as_often_as_they_say(models, told, plans, logbook):
    maker = logbook[0]
    came = realised(maker, 10, np.random.default_rng(5))
    without = forecast(models, *plans, with_doubts=False)
    for way in ("roughly", "unsaid"):
        inside = [held(told, came, name, maker, way) for name in OUTCOMES]
        assert 0.84 <= np.mean(inside) <= 0.96, way
    assert held(without, came, "original_gravity", maker, "roughly") < 0.75


def held(told, came, name, maker, way):
    rows = places(told, maker, way)
    bounds = [told[name].new_batch(row) for row in rows]
    low, high = ([getattr(bound, side) for bound in bounds] for side in ("low", "high"))
    chosen = [at for at, recipe in enumerate(maker.planned_recipes) if recipe.startswith(way)]
    seen = came[name][:, chosen]
    return np.mean(((low <= seen) & (seen <= high))[np.isfinite(seen)])


def test_nutrient_and_warmth_that_nobody_wrote_down_are_as_usual_within_what_is_usual():
    logged = mart().logged()
    known = np.isfinite(logged["must_temperature_c"])
    assert not known.all()
    fed = logged["nitrogen_added_mg_l"].copy()
    fed[0] = np.nan
    filled = unsaid_amounts(
        replace(logged, number=logged.number | {"nitrogen_added_mg_l": fed}), logged
    )
    assert filled["must_temperature_c_doubt"][known] == pytest.approx(0)
    spread = logged["must_temperature_c"][known].std()
    assert filled["must_temperature_c_doubt"][~known] == pytest.approx(spread)
    assert filled["nitrogen_error_mg_l"][0] > 1.6 * np.nanstd(fed)
    assert filled["nitrogen_added_mg_l"][1:] == pytest.approx(logged["nitrogen_added_mg_l"][1:])


def test_misjudged_sugar_does_not_pass_for_misread_gravity():
    """A third of the sugar is misjudged: the fit that is told so learns as from exact amounts."""
    exact, random = mart().batches, np.random.default_rng(8)
    is_rough = random.random(exact.height) < 1 / 3
    off = np.where(is_rough, np.exp(0.12 * random.normal(size=exact.height)), 1.0)
    misjudged = exact.with_columns(pl.col("sugar_kg", "late_sugar_kg", "sugar_l") * off)
    told = misjudged.with_columns(sugar_error_kg=pl.col("sugar_kg") * 0.2 * is_rough)
    noise = [
        fit_gravity(mart().logged(frame), frame, mart().steps).outcome_sd["original"]
        for frame in (exact, misjudged, told)
    ]
    assert noise[1] > 1.7 * noise[0]
    assert noise[2] < 1.2 * noise[0]
