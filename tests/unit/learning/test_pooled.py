import numpy as np
import pytest
from scipy import sparse
from sklearn.base import clone
from sklearn.utils.estimator_checks import check_estimator

from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.pooled import PooledRegressor


def crossed(rows=600, levels=(20, 150), seed=4):
    """Rows with one slope and two crossed factors of known spread."""
    random = np.random.default_rng(seed)
    factors = [random.integers(0, count, rows) for count in levels]
    effects = [random.normal(0, sd, count) for sd, count in zip((0.6, 0.9), levels, strict=True)]
    slope = random.normal(size=rows)
    y = 2.0 + 1.5 * slope + random.normal(0, 0.5, rows)
    y += effects[0][factors[0]] + effects[1][factors[1]]
    blocks = [np.eye(count)[factor] for factor, count in zip(factors, levels, strict=True)]
    design = np.hstack([slope[:, None], *blocks])
    first = 1 + levels[0]
    grouped = [
        Grouped("fruit", tuple(range(1, first))),
        Grouped("batch", tuple(range(first, first + levels[1]))),
    ]
    return design, y, grouped


@pytest.mark.filterwarnings("ignore::sklearn.exceptions.SkipTestWarning")
def test_is_a_proper_estimator():
    check_estimator(PooledRegressor())


def test_recovers_slope_and_spreads():
    design, y, grouped = crossed()
    model = PooledRegressor(grouped).fit(design, y)
    assert model.coef_[0] == pytest.approx(1.5, abs=0.08)
    assert model.residual_sd_ == pytest.approx(0.5, abs=0.05)
    assert model.group_sd_["batch"] == pytest.approx(0.9, abs=0.12)
    assert model.group_sd_["fruit"] == pytest.approx(0.6, abs=0.3)


@pytest.mark.parametrize("weighted", [False, True])
@pytest.mark.parametrize("most_weights", [0, 300])
def test_eliminating_the_largest_factor_changes_nothing(monkeypatch, weighted, most_weights):
    monkeypatch.setattr("pipeline.learning.mixed.gram.MOST_WEIGHTS", most_weights)
    design, y, grouped = crossed()
    random = np.random.default_rng(1)
    weight = random.uniform(0.5, 2.0, y.size) if weighted else np.ones(y.size)
    batch = design[:, 21:].argmax(axis=1)
    sparse_part = sparse.csr_array(design[:, :21])
    eliminated = PooledRegressor(grouped[:1]).fit(sparse_part, y, batch, weight)
    whole = PooledRegressor(grouped).fit(design, y, sample_weight=weight)
    assert eliminated.coef_ == pytest.approx(whole.coef_[:21], abs=1e-6)
    assert eliminated.group_effects_ == pytest.approx(
        whole.coef_[21:][eliminated.groups_], abs=1e-6
    )
    assert eliminated.criterion_ == pytest.approx(whole.criterion_, abs=1e-5)
    assert eliminated.degrees_ == pytest.approx(whole.degrees_, rel=1e-4)
    rows = design[:9].copy()
    rows[:, 21:] = 0.0
    expected = whole.posterior(rows).sd
    assert eliminated.posterior(rows[:, :21]).sd == pytest.approx(expected, rel=1e-5)


def test_a_grid_of_weights_for_very_many_levels_leaves_the_estimates_alone(monkeypatch):
    random = np.random.default_rng(7)
    batch = np.concatenate([np.arange(2000), random.integers(0, 2000, 4000)])
    weight = np.exp(random.normal(0, 2.0, batch.size))  # from a thousandth to a thousand
    fruit = random.integers(0, 15, 2000)
    slope = random.normal(size=batch.size)
    effect = random.normal(0, 0.6, 15)[fruit] + random.normal(0, 0.9, 2000)
    y = 2.0 + 1.5 * slope + effect[batch] + random.normal(0, 0.5, batch.size) / np.sqrt(weight)
    design = sparse.hstack([slope[:, None], sparse.eye_array(15, format="csr")[fruit[batch]]])
    model = PooledRegressor([Grouped("fruit", tuple(range(1, 16)))])
    exact = clone(model).fit(design.tocsr(), y, batch, weight)
    monkeypatch.setattr("pipeline.learning.mixed.gram.MOST_LEVELS", 1000)
    gridded = clone(model).fit(design.tocsr(), y, batch, weight)
    assert gridded.criterion_ != exact.criterion_  # it did go another way
    assert gridded.coef_ == pytest.approx(exact.coef_, rel=1e-4)
    assert gridded.intercept_ == pytest.approx(exact.intercept_, rel=1e-5)
    assert gridded.residual_sd_ == pytest.approx(exact.residual_sd_, rel=1e-5)
    assert gridded.group_sd_ == pytest.approx(exact.group_sd_, rel=1e-5)
    assert gridded.group_effects_ == pytest.approx(exact.group_effects_, rel=1e-4, abs=1e-5)
    assert np.diag(gridded.covariance_) == pytest.approx(np.diag(exact.covariance_), rel=1e-4)


def test_a_level_seen_once_is_pulled_to_the_middle_and_one_seen_often_is_not():
    random = np.random.default_rng(2)
    factor = np.repeat(np.arange(12), [1, 40, *([8] * 10)])
    effect = np.concatenate([[2.0, 2.0], random.normal(0, 1.0, 10)])
    y = effect[factor] + random.normal(0, 0.8, factor.size)
    design = np.eye(12)[factor]
    model = PooledRegressor([Grouped("fruit", tuple(range(12)))]).fit(design, y)
    mean = y.mean()
    kept = (model.coef_[:2] + model.intercept_ - mean) / (
        [y[factor == 0].mean() - mean, y[factor == 1].mean() - mean]
    )
    assert kept[0] < 0.8
    assert kept[1] > 0.95


def test_an_unseen_level_is_as_uncertain_as_levels_differ():
    design, y, grouped = crossed()
    spare = np.hstack([design, np.zeros((len(y), 1))])
    fruit = Grouped("fruit", (*grouped[0].columns, design.shape[1]))
    model = PooledRegressor([fruit, grouped[1]]).fit(spare, y)
    row = np.zeros((1, spare.shape[1]))
    known = model.posterior(row).sd[0]
    row[0, -1] = 1.0
    assert model.posterior(row).sd[0] == pytest.approx(
        np.hypot(known, model.group_sd_["fruit"]), rel=1e-3
    )


def test_the_spread_of_ten_levels_is_exact_however_many_rows_there_are():
    random = np.random.default_rng(10)
    level = np.tile(np.arange(10), 10_000)
    y = 2.0 + random.normal(0, 0.6, 10)[level] + random.normal(0, 0.5, level.size)
    model = PooledRegressor(between=Grouped("yeast", ())).fit(np.zeros((y.size, 1)), y, level)
    # With as many rows to each level restricted likelihood is the analysis of variance.
    means = np.array([y[level == k].mean() for k in range(10)])
    within = np.sum((y - means[level]) ** 2) / (y.size - 10)
    between = means.var(ddof=1) - within / 10_000
    assert model.residual_sd_ == pytest.approx(np.sqrt(within), rel=1e-5)
    assert model.group_sd_["yeast"] == pytest.approx(np.sqrt(between), rel=1e-5)


def test_wild_rows_without_an_intercept_do_not_overflow():
    random = np.random.default_rng(11)
    design = random.normal(size=(30, 1))
    slope = Grouped("slope", (0,), sd=1.0)
    model = PooledRegressor([slope], fit_intercept=False).fit(design, random.normal(0, 20, 30))
    assert np.all(np.isfinite(model.covariance_))
    assert model.residual_sd_ == pytest.approx(20, rel=0.3)


def test_no_difference_between_levels_is_a_spread_of_nought():
    random = np.random.default_rng(5)
    design = np.eye(10)[np.tile(np.arange(10), 12)]
    y = random.normal(0, 1.0, 120)
    y -= design @ (design.T @ y / 12)  # levels exactly alike
    model = PooledRegressor([Grouped("fruit", tuple(range(10)))]).fit(design, y)
    assert model.group_sd_["fruit"] < 0.02
    assert np.all(np.isfinite(model.covariance_))


def test_a_column_that_never_varies_teaches_nothing_and_breaks_nothing():
    random = np.random.default_rng(6)
    design = np.column_stack([random.normal(size=30), np.full(30, 3.0)])
    model = PooledRegressor().fit(design, design[:, 0] + random.normal(0, 0.1, 30))
    assert model.constant_.tolist() == [False, True]
    assert model.coef_[1] == 0.0
    assert np.all(model.covariance_[2] == 0.0)
    assert model.predict(np.array([[0.0, 3.0]]))[0] == pytest.approx(0.0, abs=0.1)


def test_a_known_spread_is_held_and_an_expected_one_drawn_upon():
    design, y, _ = crossed(rows=60, levels=(20, 60))
    fruit = tuple(range(1, 21))
    held = PooledRegressor([Grouped("fruit", fruit, sd=0.1)]).fit(design[:, :21], y)
    assert held.group_sd_["fruit"] == pytest.approx(0.1)
    free = PooledRegressor([Grouped("fruit", fruit)]).fit(design[:, :21], y)
    drawn = PooledRegressor([Grouped("fruit", fruit, sd=5.0, doubt=0.3)]).fit(design[:, :21], y)
    assert drawn.group_sd_["fruit"] > free.group_sd_["fruit"]


def test_three_rows_give_a_finite_wide_answer():
    design = np.array([[0.0], [1.0], [2.0]])
    model = PooledRegressor([Grouped("slope", (0,), sd=1.0)], residual=(0.5, 0.5))
    mean, sd = model.fit(design, np.array([1.0, 1.2, 1.1])).predict(design, return_std=True)
    assert np.all(np.isfinite(mean))
    assert np.all(sd > 0.1)


@pytest.mark.parametrize("robust", [False, True])
def test_mistyped_rows_bend_the_robust_fit_less(robust):
    random = np.random.default_rng(8)
    design = random.normal(size=(120, 1))
    y = 2.0 * design[:, 0] + random.normal(0, 0.2, 120)
    worst = np.argsort(design[:, 0])[-8:]
    y[worst] -= 10.0
    slope = PooledRegressor(robust=robust).fit(design, y).coef_[0]
    assert (abs(slope - 2.0) < 0.1) == robust


def test_spread_grows_away_from_the_data():
    random = np.random.default_rng(9)
    design = random.uniform(1.07, 1.13, (60, 1))  # a gravity: far from nought, hardly varying
    y = 0.5 * design[:, 0] + random.normal(0, 0.003, 60)
    _, sd = PooledRegressor().fit(design, y).predict(np.array([[1.1], [1.5]]), return_std=True)
    assert sd[0] == pytest.approx(0.003, rel=0.3)
    assert sd[1] > 2 * sd[0]


def test_contributions_add_up_to_the_prediction():
    design, y, grouped = crossed()
    model = PooledRegressor(grouped).fit(design, y)
    terms = {"slope": [0], "fruit": grouped[0].columns, "batch": grouped[1].columns}
    parts = model.contributions(design[:5], terms)
    total = sum(part.mean for part in parts.values()) + model.intercept_
    assert total == pytest.approx(model.predict(design[:5]), abs=1e-9)
    assert all(np.all(part.sd > 0) for part in parts.values())


def test_weights_that_are_all_nought_are_refused():
    with pytest.raises(ValueError, match="at least one non-zero"):
        PooledRegressor().fit(np.eye(3), np.ones(3), sample_weight=np.zeros(3))
