"""How much must to finish 4.5 L: a maker's eight batches, by the pooled regressor.

The data and the worked answer are invented in the pattern that makers report (situation 42): loss =
-0.19 + 0.594 kg, residual standard deviation 0.035 L; for 2.5 kg a loss of 1.30 L, 95 % of new
batches 1.21 to 1.39 L; start with 5.8 L of must.
"""

import numpy as np
import pytest
from scipy import stats

from pipeline.learning.pooled import PooledRegressor

MUST_L = np.array([5.0, 5.2, 5.0, 5.4, 5.5, 5.6, 5.8, 6.0])
FRUIT_KG = np.array([1.0, 1.4, 1.6, 1.8, 2.0, 2.3, 2.7, 3.0])
FINISHED_L = np.array([4.55, 4.55, 4.25, 4.55, 4.50, 4.45, 4.40, 4.35])


@pytest.fixture(scope="module")
def model() -> PooledRegressor:
    return PooledRegressor().fit(FRUIT_KG[:, None], MUST_L - FINISHED_L)


def test_loss_rises_with_the_fruit_as_the_worked_answer_says(model: PooledRegressor) -> None:
    assert model.intercept_ == pytest.approx(-0.19, abs=0.005)
    assert model.coef_[0] == pytest.approx(0.594, abs=0.0005)
    assert model.residual_sd_ == pytest.approx(0.035, abs=0.0005)


def test_the_interval_for_a_new_batch(model: PooledRegressor) -> None:
    posterior = model.posterior(np.array([[2.5]]))
    sd = float(np.hypot(posterior.sd[0], model.residual_sd_))
    half = float(stats.t.ppf(0.975, FRUIT_KG.size - 2)) * sd
    loss = float(posterior.mean[0])
    assert loss == pytest.approx(1.30, abs=0.02)
    assert (loss - half, loss + half) == pytest.approx((1.21, 1.39), abs=0.02)
    assert 4.5 + loss == pytest.approx(5.8, abs=0.02)


def test_beyond_the_fruit_loads_seen_the_interval_widens(model: PooledRegressor) -> None:
    sd = model.posterior(np.array([[2.0], [3.0], [4.5]])).sd
    assert sd[0] < sd[1] < sd[2]
