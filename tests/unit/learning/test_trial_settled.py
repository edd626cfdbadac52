"""What pairs of arms showed, and how it is weighed against what was known."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.learning.taste.pours import PourTable
from pipeline.learning.trial import Differences, Noise, Pair
from pipeline.learning.trial_settled import Arms, Settled, Shown, shown_by

NOISE = Noise(glass=0.4, vessel=0.3)


def _pours(rows, sugar=None):
    """Return a table of (must, evening, taster, mark), each row a pour of its own."""
    count = len(rows)
    return PourTable(
        must=np.array([row[0] for row in rows]),
        age=np.full(count, 200.0),
        residual_sugar=np.full(count, np.nan) if sugar is None else np.array(sugar),
        evening=[row[1] for row in rows],
        glass_taster=np.array([row[2] for row in rows]),
        glass_pour=np.arange(count),
        marks={"harshness": np.array([row[3] for row in rows], dtype=float)},
        tasters=("Ann", "Bo"),
    )


def test_only_who_marked_both_on_one_evening_counts():
    pours = _pours(
        [
            *[(0, "may", 0, 4.0), (1, "may", 0, 3.0)],
            *[(0, "may", 1, 6.0), (1, "june", 1, 2.0)],  # on two evenings
            *[(0, "june", 0, np.nan), (1, "june", 0, 3.0)],  # one left blank
            (2, "july", 1, 9.0),  # another batch
        ]
    )
    shown = shown_by(pours, "harshness", [Arms(0, 1)])
    assert shown is not None
    assert (shown.tastings, shown.tasters, shown.evenings) == (1, 1, 1)
    assert shown.mean() == -1.0
    assert shown_by(pours, "harshness", [Arms(0, 2)]) is None


def test_two_glasses_of_one_wine_are_told_apart_by_their_sugar():
    rows = [(0, "may", 0, 5.0), (0, "may", 0, 4.0), (0, "may", 0, 3.0)]
    pours = _pours(rows, sugar=[np.nan, 10.0, 20.0])
    shown = shown_by(pours, "harshness", [Arms(0, 0, other_sugar=20.0)])
    assert shown is not None
    assert shown.mean() == -2.0
    assert Arms(0, 0, other_sugar=20.0).is_one_wine


def test_pairs_weigh_by_what_their_glasses_and_vessels_leave_open():
    shown = Shown((np.array([-1.0, -1.0, -1.0, -1.0]), np.array([1.0])), 4, 1)
    value, variance = shown.weighed(NOISE, is_one_wine=False)
    weights = np.array([1 / NOISE.variance(4), 1 / NOISE.variance(1)])
    assert value == pytest.approx(weights @ [-1.0, 1.0] / weights.sum())
    assert variance == pytest.approx(1 / weights.sum())
    with_more = shown.weighed(NOISE, more=3, is_one_wine=False)[1]
    with_pair = shown.weighed(NOISE, pairs=1, each=4, is_one_wine=False)[1]
    assert with_pair < with_more < variance


def test_after_more_of_everything_the_interval_only_narrows():
    shown = Shown((np.array([-0.4, 0.1, -0.2]),), 3, 1)
    before = Differences(
        pairs=(Pair("skins", 0, 1),),
        value=np.array([-0.5]),
        shared=np.array([[0.12]]),
        own=np.array([0.03]),
        noise=NOISE,
        degrees=30.0,
        batches=30,
        unit_share=1.0,
    )
    found = Settled(before, shown, -0.4, 0.08, is_one_wine=False)
    now = found.variance_with()
    assert found.variance_with(more=5) < now
    assert found.variance_with(pairs=2, each=3) < now
    # With endless tastings what is left is what the vessels leave.
    vessels = 2 * NOISE.vessel**2
    assert found.variance_with(more=10**9) == pytest.approx(0.15 * vessels / (0.15 + vessels))
