"""A wine as a literal, and the small logbook."""

import pytest
from unit.advice.logbook import build_cellar
from unit.advice.wines import reading

from pipeline.advice.bench.wine import Wine
from pipeline.learning.estimate import Estimate


@pytest.fixture
def wine():
    """4 L of a wine at 1.000, 12 % vol, pH 3.4, 5 g/L acid, with 20 g/L of sugar."""
    return Wine(
        batch_id="a",
        name="plum",
        state="ageing",
        volume=reading(4.0),
        gravity=reading(1.000),
        alcohol=Estimate(12.0, 11.4, 12.6, "% vol", 1),
        sugar=Estimate(20.0, 10.0, 30.0, "g/L", 1),
        ph=reading(3.4),
        acidity=reading(5.0),
        free_so2=reading(10.0),
    )


@pytest.fixture(scope="session")
def cellar(tmp_path_factory):
    return build_cellar(tmp_path_factory.mktemp("logbook"))
