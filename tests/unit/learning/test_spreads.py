"""The restricted likelihood, its slope and its information against their plain definitions.

With V the covariance of the rows and P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹, the derivatives of
-2 log restricted likelihood along log deviations are tr(P V̇) − y'P V̇ P y, and half their expected
second derivatives tr(P V̇ P V̇), V̇ being that of V (H. D. Patterson, R. Thompson, Biometrika 58,
1971, 545-554; from memory).
"""

import numpy as np
import pytest

from pipeline.learning.mixed import MixedModel, spreads
from pipeline.learning.mixed.gram import build_gram, rank
from pipeline.learning.mixed.spreads import Grouped, Problem, _point

ROWS, FRUITS, BATCHES = 40, 6, 15


@pytest.fixture(scope="module")
def rows():
    random = np.random.default_rng(3)
    fixed = np.column_stack([np.ones(ROWS), random.normal(size=ROWS)])
    fruit = np.eye(FRUITS)[random.integers(0, FRUITS, ROWS)] * random.uniform(0.3, 2, (ROWS, 1))
    batch, reach = random.integers(0, BATCHES, ROWS), random.uniform(0.5, 2.0, ROWS)
    weight = random.uniform(0.5, 2.0, ROWS)
    y = fixed @ [1.0, 2.0] + fruit @ random.normal(0, 0.5, FRUITS) + random.normal(0, 0.4, ROWS)
    return fixed, fruit, batch, reach, weight, y + 0.6 * reach * random.normal(size=BATCHES)[batch]


def point(rows, logs, is_eliminated):
    fixed, fruit, batch, reach, weight, y = rows
    of_batch = np.eye(BATCHES)[batch] * reach[:, None]
    parts = [fixed, fruit] if is_eliminated else [fixed, fruit, of_batch]
    design = np.hstack(parts)
    of_column = np.repeat([-1, 0, 1], [2, FRUITS, BATCHES])[: design.shape[1]]
    levels = (batch, reach) if is_eliminated else (None, None)
    gram = build_gram(design, y, weight, *levels)
    problem = Problem(
        gram=gram,
        groups=(Grouped("fruit", ()), Grouped("batch", ())),
        of_column=of_column,
        fixed_rank=rank(gram.square[:2, :2]),
        residual=None,
        y_scale=1.0,
    )
    return _point(problem, logs)


@pytest.mark.parametrize("is_eliminated", [False, True])
def test_criterion_slope_and_information_are_those_of_the_restricted_likelihood(
    rows, is_eliminated, monkeypatch
):
    monkeypatch.setattr(spreads, "RIDGE", 1e-12)
    fixed, fruit, batch, reach, weight, y = rows
    logs = np.log([0.4, 0.5, 0.6])
    of_batch = np.eye(BATCHES)[batch] * reach[:, None]
    parts = [np.diag(1 / weight), fruit @ fruit.T, of_batch @ of_batch.T]
    slopes = [2 * np.exp(2 * log) * part for log, part in zip(logs, parts, strict=True)]
    whole = sum(slopes) / 2
    inverse = np.linalg.inv(whole)
    within = fixed.T @ inverse @ fixed
    projected = inverse - inverse @ fixed @ np.linalg.inv(within) @ fixed.T @ inverse
    found = point(rows, logs, is_eliminated)
    # Weights are part of the rows here; the criterion leaves their constant out.
    criterion = np.linalg.slogdet(whole)[1] + np.log(weight).sum() + np.linalg.slogdet(within)[1]
    criterion += y @ projected @ y + (ROWS - 2) * np.log(2 * np.pi)
    assert found.plain == pytest.approx(criterion, rel=1e-8)
    gradient = [np.trace(projected @ s) - y @ projected @ s @ projected @ y for s in slopes]
    assert found.gradient == pytest.approx(gradient, rel=1e-6)
    expected = [[np.trace(projected @ s @ projected @ t) for t in slopes] for s in slopes]
    assert found.information == pytest.approx(np.array(expected), rel=1e-6)


def test_a_factor_of_one_level_is_harmless():
    random = np.random.default_rng(5)
    x = random.normal(size=30)
    y = 1.0 + 2.0 * x + random.normal(0, 0.3, 30)
    plain = MixedModel().fit(x[:, None], y)
    with_level = MixedModel([Grouped("yeast", (1,))]).fit(np.column_stack([x, np.ones(30)]), y)
    assert with_level.coef_[0] == pytest.approx(plain.coef_[0], abs=1e-4)
    assert with_level.residual_sd_ == pytest.approx(plain.residual_sd_, rel=1e-3)
    assert np.all(np.isfinite(with_level.covariance_))


def test_degrees_of_freedom_are_the_rows_less_what_coefficients_use():
    random = np.random.default_rng(6)
    design = np.hstack([random.normal(size=(50, 3)), np.eye(8)[random.integers(0, 8, 50)]])
    y = design[:, 0] + random.normal(size=50)
    fruit = tuple(range(3, 11))
    fixed = MixedModel().fit(design[:, :3], y)
    assert fixed.degrees_ == pytest.approx(46)
    # Held to nought a group uses nothing, held wide one degree a level, its mean being the
    # intercept's.
    for sd, degrees in ((1e-4, 46), (30.0, 39)):
        held = MixedModel([Grouped("fruit", fruit, sd)]).fit(design, y)
        assert held.degrees_ == pytest.approx(degrees, abs=0.05)


def test_what_a_step_works_with_does_not_grow_with_the_rows():
    random = np.random.default_rng(8)

    def sums(batches):
        batch = np.repeat(np.arange(batches), 3)
        x = random.normal(size=(batch.size, 4))
        gram = build_gram(x, x[:, 0], np.ones(batch.size), batch)
        part = gram.eliminated
        return gram.square.shape, part.nodes.size, part.cross_square.shape

    assert sums(100) == sums(10_000) == ((4, 4), 1, (1, 4, 4))
