"""What adds up to an expectation does so to the last digit, and is told against what is usual."""

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import load_cellar
from pipeline.cellar.notes import keep, keeping
from pipeline.cellar.plan import PlannedLines, plan_musts
from pipeline.learning import fit_models
from pipeline.learning.forecast import (
    OF_FERMENT,
    Forecast,
    VolumeForecast,
    forecast,
    forecast_volume,
)
from pipeline.learning.parts import (
    PHYSICS,
    USUAL_WINE,
    acidity_parts,
    gravity_parts,
    taste_parts,
    volume_parts,
)

CLOSE = {"rtol": 0, "atol": 1e-9}


@pytest.fixture(scope="module")
def cellar(tmp_path_factory):
    folder = tmp_path_factory.mktemp("maker") / "logbook"
    makers.write(makers.simulate(11, batches=60), folder)
    return load_cellar(folder)


@pytest.fixture(scope="module", params=["much", "nothing"])
def models(cellar, request):
    """Models of a whole logbook, and models that have seen next to nothing."""
    if request.param == "much":
        return fit_models(cellar)

    class Nearly:
        settings = cellar.settings

        def table(self, name):
            frame = cellar.table(name)
            key = "must_id" if "must_id" in frame.columns else "batch_id"
            first = cellar.table("batches")["batch_id"].head(2).to_list()
            return frame.filter(pl.col(key).is_in(first))

    return fit_models(Nearly())


@pytest.fixture
def plans(cellar, models):
    musts = cellar.table("musts").filter("is_planned")
    return forecast(models, musts, cellar.table("must_fruits").filter("is_planned"))


def test_volume_adds_up(models, plans):
    parts = volume_parts(models, plans.musts)
    total = np.sum(list(parts.values()), axis=0)
    np.testing.assert_allclose(total, plans["finished_fraction"].mean, **CLOSE)
    is_taught = models.volume.fit is not None
    assert any(np.abs(part).max() > 0.01 for name, part in parts.items() if name != PHYSICS) is (
        is_taught
    )


@pytest.mark.parametrize("outcome", OF_FERMENT)
def test_the_ferment_adds_up(models, plans, outcome):
    parts = gravity_parts(models, plans.musts, outcome)
    np.testing.assert_allclose(
        np.sum(list(parts.values()), axis=0), plans[outcome].mean, rtol=1e-9, atol=1e-9
    )


@pytest.mark.parametrize("answer", ["harshness", "score"])
def test_taste_adds_up(models, plans, answer):
    for row, parts in enumerate(taste_parts(models, plans.taste, answer)):
        assert sum(parts.values()) == pytest.approx(plans[answer].mean[row], abs=1e-9)
        if models.taste.batches > 5:
            assert USUAL_WINE in parts


def test_acidity_adds_up(models, plans):
    parts = acidity_parts(models, plans.musts)
    np.testing.assert_allclose(np.sum(list(parts.values()), axis=0), plans["acidity"].mean, **CLOSE)


def test_nothing_is_kept_unless_it_is_asked_for(cellar, models):
    lines = cellar.table("staged_recipes")
    keep("nobody asked")
    with keeping() as kept:
        plans = plan_musts(lines, 0.75)
        forecast(models, plans.musts, plans.must_fruits)
        forecast_volume(models, plans.musts, plans.must_fruits)
    keep("nobody asks any more")
    assert [type(thing) for thing in kept] == [PlannedLines, Forecast, VolumeForecast]
    assert kept[0].lines is lines
