"""A small measurement of the picks against the truth; the large one is in tests/scale."""

import makers
import numpy as np
import pytest
from scale.trial_quality import asked_of, fitted, picked_best, try_all


@pytest.mark.slow
def test_the_pick_truly_narrows_most_in_nine_recipes_of_ten():
    found = []
    for seed in (101, 102):
        maker = makers.simulate(seed, 40, planned=6, draws=4)
        cellar, models = fitted(maker)
        found += [try_all(maker, cellar, models, recipe, 40) for recipe in maker.planned_recipes]
    assert sum(len(asked_of(tried)) > 1 for tried in found) >= 6
    share = picked_best(found, lambda one: one.by_true_noise)
    assert np.mean(share >= 1 - 1e-9) >= 0.9
    assert share.mean() >= 0.95
    every = [one for tried in found for one in tried]
    inside = np.mean([abs(one.value - one.truth) <= one.now / 2 for one in every])
    assert inside >= 0.75
