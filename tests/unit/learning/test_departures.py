"""A change is known less surely than its coefficients, and one that reaches nothing surely."""

import numpy as np
import pytest

from pipeline.learning.departures import DEPARTURES, Departure
from pipeline.learning.forecast import UNITS


def test_a_change_is_doubted_by_its_own_size_and_a_little_besides() -> None:
    departure = Departure(misfit=2.0, share=0.3, least=0.4)
    found = departure.widened(np.array([0.0, -1.0]), np.array([0.5, 0.5]))
    assert found == pytest.approx([np.sqrt(1 + 0.16), np.sqrt(1 + 0.09 + 0.16)])


def test_what_reaches_nothing_changes_nothing_for_sure() -> None:
    departure = Departure(misfit=2.0, share=0.3, least=0.4)
    assert departure.widened(np.zeros(2), np.array([0.0, 1e-12])).tolist() == [0.0, 1e-12]


def test_no_change_is_told_more_surely_than_its_coefficients_are() -> None:
    assert set(DEPARTURES) == set(UNITS) - {"acidity"}  # of which no coefficients are kept
    assert all(one.misfit >= 1.0 for one in DEPARTURES.values())
