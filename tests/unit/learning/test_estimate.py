import math

import pytest

from pipeline.learning.estimate import Doubt, estimate_from, interval_factor


def test_an_estimate_has_the_shape_that_commands_print():
    found = estimate_from(4.0, 0.5, "L", 12)
    assert found is not None
    assert list(found.as_dict()) == ["value", "low", "high", "level", "unit", "batches"]
    assert (found.level, found.unit, found.batches) == (0.9, "L", 12)
    assert (found.low, found.high) == (
        pytest.approx(3.178, abs=1e-3),
        pytest.approx(4.822, abs=1e-3),
    )


def test_few_degrees_of_freedom_widen_the_interval():
    assert interval_factor(4) == pytest.approx(2.132, abs=1e-3)  # Student's t, 0.95
    assert interval_factor(0) == interval_factor(3)


def test_an_interval_stays_inside_what_is_possible():
    found = estimate_from(0.02, 0.1, "1", 3, bounds=(0.0, 1.0))
    assert found is not None
    assert found.low == 0.0


@pytest.mark.parametrize(("value", "sd"), [(math.nan, 0.1), (1.0, math.nan), (1.0, math.inf)])
def test_what_is_not_known_is_no_estimate(value, sd):
    assert estimate_from(value, sd, "L", 3) is None


def test_a_doubt_has_the_shape_that_commands_print():
    assert Doubt("few_batches", "two").as_dict() == {"code": "few_batches", "text": "two"}
