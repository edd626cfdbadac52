"""Tasters are told from wines: severity, use of the scale, slips of the pen."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.learning.taste.tasters import Glasses, Pours, judge_pours

NAMES = ("Ada", "Bo", "Cass")


def judged(mark: np.ndarray, taster: np.ndarray, pour: np.ndarray, names=NAMES) -> Pours:
    glasses = Glasses(mark, taster, pour, int(pour.max()) + 1)
    return judge_pours(glasses, names, glass_sd=0.5, severity_sd=1.0)


def everyone(severity, scale, noise=0.1, pours=40):
    chance = np.random.default_rng(1)
    wine = chance.normal(5.0, 1.5, pours)
    pour, taster = (grid.ravel() for grid in np.mgrid[0:pours, 0 : len(severity)])
    mark = 5.0 + severity[taster] + scale[taster] * (wine[pour] - 5.0)
    return wine, mark + noise * chance.normal(size=mark.size), taster, pour


def test_a_severe_taster_is_told_from_a_harsh_wine():
    severity = np.array([-1.0, 0.2, 0.8])
    wine, mark, taster, pour = everyone(severity, np.ones(3))
    found = judged(mark, taster, pour)
    assert found.tasters.severity == pytest.approx(severity, abs=0.12)
    assert found.worth == pytest.approx(wine, abs=0.35)


def test_the_use_of_the_scale_is_learnt():
    scale = np.array([0.75, 1.0, 1.25])
    _, mark, taster, pour = everyone(np.zeros(3), scale, pours=80)
    assert judged(mark, taster, pour).tasters.scale == pytest.approx(scale, abs=0.06)


def test_wines_keep_their_order_when_tasters_miss_evenings():
    severity = np.array([-1.5, 0.0, 1.5])
    wine, mark, taster, pour = everyone(severity, np.ones(3))
    here = ~((taster == 0) & (pour < 20)) & ~((taster == 2) & (pour >= 20))
    found = judged(mark[here], taster[here], pour[here])
    raw = np.bincount(pour[here], mark[here]) / np.bincount(pour[here])
    assert np.corrcoef(found.worth, wine)[0, 1] > 0.99 > np.corrcoef(raw, wine)[0, 1]


def test_one_slip_of_the_pen_bends_little():
    _, mark, taster, pour = everyone(np.zeros(3), np.ones(3))
    slipped = mark.copy()
    slipped[0] += 6.0
    shift = judged(slipped, taster, pour).worth - judged(mark, taster, pour).worth
    assert abs(shift[0]) < 0.6 < 2.0  # a plain mean would move by 2
    assert np.abs(shift[1:]).max() < 0.1


def test_a_careless_taster_counts_less():
    _, mark, taster, pour = everyone(np.zeros(3), np.ones(3))
    noise = 1.5 * np.random.default_rng(2).normal(size=mark.size)
    found = judged(mark + np.where(taster == 2, noise, 0.0), taster, pour)
    assert found.tasters.noise[2] > 2 * found.tasters.noise[0]


def test_a_single_taster_is_taken_at_their_word():
    mark = np.array([3.0, 4.0, 6.0])
    found = judged(mark, np.zeros(3, int), np.arange(3), ("Ada",))
    assert found.tasters.severity == pytest.approx([0.0])
    assert found.worth == pytest.approx(mark)


def test_a_pour_without_a_mark_weighs_nothing():
    glasses = Glasses(np.array([4.0, 5.0]), np.array([0, 1]), np.array([0, 0]), 2)
    found = judge_pours(glasses, NAMES, glass_sd=0.5, severity_sd=1.0)
    assert found.weight[1] == 0
    assert found.weight[0] > 0


def test_severities_are_told_beside_each_other_and_so_are_scales():
    """All mark harder and wider than they might: that is nobody's habit, it is the wines."""
    _, mark, taster, pour = everyone(np.array([0.5, 1.0, 1.5]), np.array([1.2, 1.3, 1.4]))
    found = judged(mark, taster, pour).tasters
    assert found.severity.mean() == pytest.approx(0.0, abs=1e-6)
    assert found.scale.mean() == pytest.approx(1.0, abs=0.02)
