"""Where a straight line through ordered steps is good enough, and where it is not.

Glasses are drawn from a cumulative-logit model on steps 0 to 10, of which two treatments shift the
hidden scale, and both models' cell means are set beside the true ones.
"""

import numpy as np
import pytest
from reference.cumulative_logit import fit_cumulative_logit
from scipy.special import expit

from pipeline.learning.pooled import PooledRegressor

GLASSES, SEEDS = 400, (1, 2, 3, 4)
CELLS = np.array([[0, 0], [1, 0], [0, 1], [1, 1]], dtype=float)
EFFECT = np.array([1.8, 1.8])  # two steps in the middle of the scale
STEP = 0.9  # [logits]


def errors(middle: float) -> dict[str, np.ndarray]:
    """Mean error of cell means by line and by logit, by seed; share of glasses at an end."""
    cuts = (np.arange(10) - middle + 0.5) * STEP
    hidden = (CELLS - 0.5) @ EFFECT
    true = expit(hidden[:, None] - cuts).sum(axis=1)
    found = []
    for seed in SEEDS:
        rng = np.random.default_rng(seed)
        treated = rng.integers(0, 2, (GLASSES, 2)).astype(float)
        felt = (treated - 0.5) @ EFFECT + rng.logistic(size=GLASSES)
        rating = (felt[:, None] > cuts).sum(axis=1)
        line = PooledRegressor().fit(treated, rating.astype(float)).predict(CELLS)
        # Steps that nobody marked have no threshold of their own.
        marked, place = np.unique(rating, return_inverse=True)
        logit = fit_cumulative_logit(place + 1, treated)
        above = expit((CELLS @ logit.coefficients)[:, None] - logit.thresholds)
        ordered = marked[0] + above @ np.diff(marked)
        at_end = np.mean((rating == 0) | (rating == 10))
        too_far = (line[1] - line[0]) - (true[1] - true[0])
        found.append((np.abs(line - true).mean(), np.abs(ordered - true).mean(), at_end, too_far))
    return dict(zip(("line", "logit", "at_end", "too_far"), np.array(found).T, strict=True))


@pytest.fixture(scope="module")
def middle():
    return errors(5.0)


@pytest.fixture(scope="module")
def crowded():
    return errors(0.0)


def test_in_the_middle_of_the_scale_a_line_is_as_good(middle):
    assert middle["at_end"].max() < 0.2
    assert middle["line"].mean() < 0.2
    assert middle["line"].mean() < 1.25 * middle["logit"].mean()


def test_where_glasses_crowd_at_nought_a_line_is_worse_and_overstates(crowded):
    assert crowded["at_end"].min() > 0.5
    assert crowded["line"].mean() > 1.5 * crowded["logit"].mean()
    assert crowded["too_far"].min() > 0.1


def test_even_there_it_errs_by_less_than_anybody_tastes(crowded):
    """Half a point of ten is the least that is worth changing a recipe for."""
    assert crowded["line"].max() < 0.5
