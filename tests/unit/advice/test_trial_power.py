"""Right answers that a difference brings, against tasters simulated glass by glass."""

import numpy as np
import pytest

from pipeline.advice.tasting.power import POWER, chance_to_see
from pipeline.advice.trial.power import answers_to_see, share_right
from pipeline.enology.sensory import hits_needed

ANSWERS = 200_000


@pytest.mark.parametrize("apart", [0.0, 0.5, 1.0, 2.0])
def test_shares_agree_with_simulated_tasters(apart):
    rng = np.random.default_rng(7)
    glasses = rng.normal(0.0, 1.0, (ANSWERS, 3)) + np.array([0.0, 0.0, apart])
    gaps = np.abs(glasses[:, [0, 0, 1]] - glasses[:, [1, 2, 2]])
    odd = gaps.argmin(axis=1) == 0  # the two alike are the nearest two
    assert share_right("triangle", apart, 1.0) == pytest.approx(odd.mean(), abs=0.004)
    more = glasses[:, 2] > glasses[:, 0]
    assert share_right("paired", apart, 1.0) == pytest.approx(more.mean(), abs=0.004)


def test_only_the_difference_in_noises_counts():
    assert share_right("paired", -0.6, 0.3) == pytest.approx(share_right("paired", 2.0, 1.0))


def test_answers_needed_are_exact_and_enough():
    paired, triangle = answers_to_see(0.5, 0.4)
    assert (paired["test"], triangle["test"]) == ("paired", "triangle")
    for found in (paired, triangle):
        needed = found["tastings_needed"]
        assert chance_to_see(found["test"], needed, found["share_who_can_tell"]) >= POWER
        assert found["hits_needed"] == hits_needed(found["test"], needed)
    # Being asked which is harsher tells more than being asked for the odd one.
    assert paired["tastings_needed"] < triangle["tastings_needed"]


def test_a_difference_lost_in_the_noise_takes_more_than_a_house_holds():
    for found in answers_to_see(0.05, 1.0):
        assert found["tastings_needed"] is None
        assert found["hits_needed"] is None
