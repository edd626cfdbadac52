"""What a split batch would teach: closed form against plain linear algebra."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.learning.estimate import interval_factor
from pipeline.learning.trial import Differences, Noise, Pair

ROWS = np.array([[1.0, 0.0, 0.5], [0.0, 1.0, -0.3], [0.4, 0.4, 0.0]])
COVARIANCE = np.array([[0.20, 0.05, 0.0], [0.05, 0.10, 0.02], [0.0, 0.02, 0.30]])
OWN = np.array([0.02, 0.05, 0.01])
NOISE = Noise(glass=0.4, vessel=0.3)


def _differences(*, one_wine=False, unit_share=1.0):
    pairs = tuple(Pair(name, 0, 1, one_wine) for name in ("skins", "contact_days", "enzyme"))
    return Differences(
        pairs=pairs,
        value=np.array([-0.6, 0.1, 0.0]),
        shared=ROWS @ COVARIANCE @ ROWS.T,
        own=OWN,
        noise=NOISE,
        degrees=40.0,
        batches=40,
        unit_share=unit_share,
    )


@pytest.mark.parametrize("tried", [0, 1, 2])
@pytest.mark.parametrize(("glasses", "pairs"), [(1, 1), (4, 1), (4, 3)])
def test_what_is_left_is_the_posterior_of_coefficients_and_departures(tried, glasses, pairs):
    # The coefficients and one departure a recipe's change, all as coefficients of one regression.
    prior = np.zeros((6, 6))
    prior[:3, :3], prior[3:, 3:] = COVARIANCE, np.diag(OWN)
    design = np.hstack([ROWS, np.eye(3)])
    shown = 2 * (NOISE.vessel**2 + NOISE.glass**2 / glasses)
    precision = np.linalg.inv(prior)
    precision += pairs * np.outer(design[tried], design[tried]) / shown
    expected = np.diag(design @ np.linalg.inv(precision) @ design.T)
    found = _differences().variance_after(tried, glasses, pairs)
    np.testing.assert_allclose(found, expected, rtol=1e-10)


def test_a_trial_narrows_what_it_tries_most_where_nothing_is_shared():
    found = _differences()
    found.shared[:] = np.diag(np.diag(found.shared))
    before, after = found.variance_now(), found.variance_after(1, 4)
    np.testing.assert_allclose(after[[0, 2]], before[[0, 2]])
    assert after[1] < before[1]


def test_more_glasses_take_away_their_own_noise_and_never_the_vessels():
    found = _differences()
    left = [found.variance_after(0, glasses)[0] for glasses in (1, 2, 4, 1e9)]
    assert left == sorted(left, reverse=True)
    now, vessels = found.variance_now()[0], 2 * NOISE.vessel**2
    assert left[-1] == pytest.approx(now * vessels / (now + vessels))


def test_two_glasses_of_one_wine_have_no_vessels_between_them():
    assert NOISE.variance(4, is_one_wine=True) == pytest.approx(2 * 0.4**2 / 4)
    assert NOISE.variance(4) == pytest.approx(2 * (0.3**2 + 0.4**2 / 4))
    assert _differences(one_wine=True).variance_after(0, 1e9)[0] == pytest.approx(0.0, abs=1e-6)


def test_intervals_are_told_on_the_logbooks_own_scale():
    found = _differences(unit_share=0.5)
    estimate = found.estimate(-0.6, 0.04)
    assert estimate.value == pytest.approx(-0.3)
    half = interval_factor(40.0) * 0.2 * 0.5
    assert estimate.high - estimate.value == pytest.approx(half)
    assert found.half_width(0.04) == pytest.approx(half)


def test_a_change_that_no_coefficient_feels_is_not_a_trial():
    found = _differences()
    found.shared[2, :] = found.shared[:, 2] = 0.0
    assert [found.is_touched(k) for k in range(3)] == [True, True, False]
