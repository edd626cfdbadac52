"""Reasons for sticking are told only where they matter, doubts where batches have not spoken."""

from dataclasses import replace

import numpy as np
import pytest

from pipeline.advice.sticking import sticking_doubts, stuck_reasons
from pipeline.learning.sticking_chances import Chances


def _chances(usual=-3.0, learnt=0.8, **parts):
    names = ("nitrogen_shortfall", "sugar_excess", "heat_or_cold", "yeast")
    return Chances(
        usual=usual,
        parts={name: np.array([parts.get(name, 0.0)]) for name in names},
        sd=np.array([0.4]),
        learnt=np.array([learnt]),
        batches=90,
        stuck=3,
    )


def test_the_gravest_reason_comes_first_and_small_ones_are_left_out():
    chances = _chances(nitrogen_shortfall=0.9, sugar_excess=1.4, yeast=0.1)
    reasons = stuck_reasons(chances, 0)
    assert [reason["factor"] for reason in reasons] == ["sugar_excess", "nitrogen_shortfall"]
    assert reasons[0]["chance_without"] < reasons[1]["chance_without"] < chances.chance(0).value


def test_what_makes_a_rare_thing_rarer_is_not_worth_a_word():
    assert stuck_reasons(_chances(usual=-5.5, nitrogen_shortfall=0.6), 0) == []


def test_what_is_unknown_has_no_chance_and_no_reasons():
    chances = _chances(sugar_excess=np.nan)
    assert chances.chance(0) is None
    assert stuck_reasons(chances, 0) == []


def test_common_knowledge_is_named_where_it_speaks():
    (doubt,) = sticking_doubts(_chances(learnt=0.3), 0)
    assert doubt.code == "few_batches"
    assert doubt.text.startswith("of 90 batches 3 stuck, too few")
    assert sticking_doubts(_chances(learnt=0.7), 0) == []


def test_the_interval_holds_the_chance_and_is_wider_with_more_doubt():
    one = _chances(nitrogen_shortfall=0.5).chance(0)
    assert 0 < one.low < one.value < one.high < 1
    assert one.value == pytest.approx(0.08, abs=0.005)
    assert (one.unit, one.batches) == ("1", 90)


def test_before_any_batch_there_is_no_usual_must_to_set_it_beside():
    first = replace(_chances(sugar_excess=2.0, learnt=0.0), batches=0, stuck=0)
    assert stuck_reasons(first, 0) == []
    (doubt,) = sticking_doubts(first, 0)
    assert doubt.text.startswith("no batch has ended, too few")
