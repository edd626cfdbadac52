import numpy as np
import pytest

from pipeline.learning.mixed.curved import MOST_BATCHES, Fitting, fit_curve, thinned
from pipeline.learning.mixed.spreads import Grouped


def decay(days):
    """A curve in two coefficients: how much, and the logarithm of how fast."""

    def curve(at):
        left = np.exp(-days * np.exp(at[1]))
        mean = (1 + at[0]) * (1 - left)
        slope = np.column_stack([1 - left, (1 + at[0]) * left * days * np.exp(at[1])])
        return mean, slope, np.ones(days.size)

    return curve


def fitted(y, days, groups=None):
    fitting = Fitting(
        [Grouped("all", (0, 1), 1.0)], (0.05, 0.5), None if groups is None else Grouped("batch", ())
    )
    return fit_curve(decay(days), y, fitting, lambda *_: np.ones(days.size), groups)


def test_recovers_a_curve():
    random = np.random.default_rng(1)
    days = random.uniform(0.2, 6, 80)
    fit = fitted(decay(days)(np.array([0.4, -0.7]))[0] + random.normal(0, 0.02, 80), days)
    assert fit.coefficients == pytest.approx([0.4, -0.7], abs=0.1)
    assert fit.regressor.residual_sd_ == pytest.approx(0.02, rel=0.4)


def test_a_mistyped_row_bends_it_little():
    random = np.random.default_rng(2)
    days = random.uniform(0.2, 6, 80)
    y = decay(days)(np.array([0.4, -0.7]))[0] + random.normal(0, 0.02, 80)
    y[days.argmax()] += 5.0
    fit = fitted(y, days)
    assert fit.coefficients == pytest.approx([0.4, -0.7], abs=0.12)
    assert fit.tails[days.argmax()] < 0.01


def test_batches_have_effects_of_their_own():
    random = np.random.default_rng(3)
    batch = np.repeat(np.arange(40), 3)
    days = random.uniform(0.2, 6, 120)
    effect = random.normal(0, 0.2, 40)
    y = decay(days)(np.array([0.4, -0.7]))[0] + effect[batch] + random.normal(0, 0.02, 120)
    fit = fitted(y, days, batch)
    assert fit.regressor.group_sd_["batch"] == pytest.approx(effect.std(), rel=0.2)
    assert np.corrcoef(fit.regressor.group_effects_, effect)[0, 1] > 0.95


def test_a_huge_logbook_is_thinned_evenly():
    rows = np.arange(3 * MOST_BATCHES)
    found = thinned(rows)
    assert found.size == MOST_BATCHES
    assert (found[0], found[-1]) == (0, rows[-1])
    assert thinned(rows[:10]).tolist() == rows[:10].tolist()
