"""How likely plans are to stick: told to every maker, and rightly on makers nobody has seen."""

from dataclasses import replace

import makers
import numpy as np
import polars as pl
import pytest
from makers.brew import brew
from makers.repeats import pressed_as_usual
from scipy.special import logit
from unit.learning.simulated import gravity_of, mart

from pipeline.learning.ferments import expected_ferment
from pipeline.learning.gravity import fit_gravity
from pipeline.learning.sticking import USUAL_CHANCE, factors_of, fit_sticking
from pipeline.learning.sticking_chances import Chances
from pipeline.learning.usual import as_usually_done

SEEDS = (201, 202, 203, 204)


def true_chances(maker: makers.Maker, names: list[str]) -> np.ndarray:
    rng = np.random.default_rng(9)
    plans, world = maker.planned, maker.world
    runs = [brew(pressed_as_usual(plans, world, rng), world, rng) for _ in range(15)]
    found = np.mean([run.wine.chance_stuck for run in runs], axis=0)
    return found[[maker.planned_recipes.index(name) for name in names]]


@pytest.fixture(scope="module")
def told() -> np.ndarray:
    """True chance, told, low, high and the share that stuck, of the plans of every maker."""
    found = []
    for seed in SEEDS:
        its = mart(seed, 150)
        logged = its.logged()
        gravity = gravity_of(seed, 150)
        model = fit_sticking(logged, its.batches, gravity)
        plans = as_usually_done(its.planned(gravity.fruits), logged)
        chances = model.chances(plans, expected_ferment(gravity, plans))
        true = true_chances(its.maker, plans.ids)
        base = (model.stuck + 0.5) / (len(model.taught_by) + 1)
        for row in range(len(plans)):
            one = chances.chance(row)
            if one is not None:
                found.append((true[row], one.value, one.low, one.high, base))
    return np.array(found).T


def test_as_many_stick_as_was_told(told):
    true, value, *_ = told
    assert true.size > 100
    assert value.mean() == pytest.approx(true.mean(), rel=0.4)


def test_those_told_to_stick_most_do_so_most(told):
    true, value, *_ = told
    often = value >= np.quantile(value, 0.8)
    assert true[often].mean() > 2 * true[~often].mean()


def test_it_foretells_better_than_how_often_batches_stuck(told):
    true, value, _, _, base = told

    def loss(chance):
        return -(true * np.log(chance) + (1 - true) * np.log(1 - chance)).mean()

    assert loss(value) < 0.95 * loss(base)


def test_the_true_chance_mostly_lies_within_the_interval(told):
    true, value, low, high, _ = told
    assert ((low <= value) & (value <= high)).all()
    assert ((low <= true) & (true <= high)).mean() >= 0.8


@pytest.fixture(scope="module")
def its():
    return mart()


def chances_of(its, batches):
    logged = its.logged(batches)
    gravity = fit_gravity(logged, batches, its.steps)
    model = fit_sticking(logged, batches, gravity)
    return model, model.chances(logged, expected_ferment(gravity, logged))


def test_where_none_stuck_the_chance_is_small_and_not_nought(its):
    none = its.batches.with_columns(stuck_gravity=pl.lit(None, pl.Float64))
    model, chances = chances_of(its, none)
    assert model.stuck == 0
    assert len(model.taught_by) > 80
    usual = [chances.chance(row).value for row in range(len(its.logged()))]
    assert 0.001 < np.median(usual) < USUAL_CHANCE


def test_before_any_batch_common_knowledge_speaks_and_says_so(its):
    nothing = its.batches.with_columns(
        pl.lit(None, pl.Float64).alias(name) for name in ("stuck_gravity", "final_gravity")
    )
    model, chances = chances_of(its, nothing)
    assert model.taught_by == ()
    assert all(chances.is_little_known(row) for row in range(5))
    tenth = pl.int_range(pl.len()) % 10 == 0
    often = its.batches.with_columns(
        stuck_gravity=pl.when(tenth).then(1.05).otherwise("stuck_gravity")
    )
    _, learnt = chances_of(its, often)
    assert not all(learnt.is_little_known(row) for row in range(5))


def test_what_adds_up_to_a_chance_does_so(its):
    _, chances = chances_of(its, its.batches)
    known = np.flatnonzero(np.isfinite(chances.mean))
    assert known.size > 80
    for row in known:
        told = chances.chance(row).value
        assert sum(chances.added(row).values()) == pytest.approx(told, abs=1e-12)
    hungriest = known[np.argmax(chances.parts["nitrogen_shortfall"][known])]
    without = chances.without(hungriest)
    assert without["nitrogen_shortfall"] < chances.chance(hungriest).value


def test_a_batch_that_ended_about_where_it_should_did_not_stick(its):
    logged, gravity = its.logged(), gravity_of()
    expected = expected_ferment(gravity, logged).mean["undiluted"]
    model = fit_sticking(logged, its.batches, gravity)
    sweet = its.batches.with_columns(
        stuck_gravity=pl.when(pl.col("final_gravity").is_not_null())
        .then(pl.Series(expected))
        .otherwise("stuck_gravity")
    )
    assert fit_sticking(logged, sweet, gravity).stuck == model.stuck
    high = sweet.with_columns(stuck_gravity=pl.col("stuck_gravity") + 0.03)
    assert fit_sticking(logged, high, gravity).stuck > 50 + model.stuck


def test_the_posterior_is_that_of_the_whole_integral():
    """One coefficient, 40 batches of which none stuck: mean and deviation by quadrature."""
    from scipy.special import expit

    from pipeline.learning.sticking import FACTORS, _before, _posterior

    for count, stuck in ((40, 0), (40, 3), (150, 1), (400, 12)):
        design = np.zeros((count, 1 + len(FACTORS)))
        design[:, 0] = 1.0
        answers = np.repeat([1.0, 0.0], [stuck, count - stuck])
        centre, doubt = _before(1 + len(FACTORS))
        at = np.linspace(-14, 4, 4001)
        log = stuck * at - count * np.logaddexp(0, at) - ((at - centre[0]) / doubt[0]) ** 2 / 2
        weight = np.exp(log - log.max())
        exact = (weight / weight.sum()) @ at
        mean, covariance = _posterior(design, answers)
        assert mean[0] == pytest.approx(exact, abs=0.06)
        near = np.random.default_rng(1).normal(mean[0], covariance[0, 0] ** 0.5, 200_000)
        chance = (weight / weight.sum()) @ expit(at)
        assert expit(near).mean() == pytest.approx(chance, rel=0.03 if stuck == 0 else 0.05)
        if stuck == 0:
            mode = at[log.argmax()]
            by_mode = np.random.default_rng(1).normal(mode, covariance[0, 0] ** 0.5, 200_000)
            assert expit(by_mode).mean() > 1.1 * chance


def test_only_warmth_that_yeasts_do_not_like_counts_and_by_its_square(its):
    warm = np.array([9.0, 13.0, 17.0, 20.5, 24.0, 28.0, 32.0])
    logged = its.logged().take(np.arange(warm.size))
    at = replace(logged, number=logged.number | {"must_temperature_c": warm})
    away = factors_of(at, expected_ferment(gravity_of(), at))[:, 2]
    assert away == pytest.approx([4.0, 1.0, 0.0, 0.0, 0.0, 1.0, 4.0])


def test_an_interval_is_that_of_the_log_odds_widened():
    chances = Chances(-3.0, {"yeast": np.zeros(1)}, np.array([0.5]), np.zeros(1), 40, 1)
    found = chances.chance(0)
    assert logit([found.low, found.high]) == pytest.approx(
        [-3.0 - 1.2 * 1.645 * 0.5, -3.0 + 1.2 * 1.645 * 0.5], abs=1e-3
    )
