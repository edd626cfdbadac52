"""Makers nobody has seen, in two worlds of different laws: errors and intervals on their plans."""

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import load_cellar
from pipeline.learning import fit_models, gravity, volume
from pipeline.learning.forecast import forecast
from pipeline.learning.taste import fit as taste_fit

OUTCOMES = ("finished_fraction", "final_gravity", "alcohol")
# By how much what the posterior says of expectations is widened, since no formula is the wine.
WIDENED = {
    "finished_fraction": volume.MISFIT,
    "final_gravity": gravity.MISFIT,
    "score": taste_fit.MISFIT,
}


def plans_told(seed, nature, folder):
    """Realised, expected in truth, told, low and high of a maker's planned recipes, by outcome."""
    maker = makers.simulate(seed, 100, nature=nature, draws=60)
    makers.write(maker, folder)
    cellar = load_cellar(folder)
    planned = [cellar.table(name).filter("is_planned") for name in ("musts", "must_fruits")]
    models = fit_models(cellar)
    told, sure = (forecast(models, *planned, with_doubts=doubts) for doubts in (True, False))
    rows = pl.DataFrame({"recipe": told.musts.ids})
    truth = rows.join(maker.truth.planned, on="recipe", how="left", maintain_order="left")
    found = {}
    for name in OUTCOMES:
        answers = [told[name].new_batch(row) for row in range(truth.height)]
        sides = [[getattr(one, side) for one in answers] for side in ("value", "low", "high")]
        true = [truth[f"{part}_{name}"].cast(pl.Float64) for part in ("realised", "expected")]
        found[name] = np.array([*(part.to_numpy() for part in true), *sides], dtype=float)
    for name in WIDENED:
        expected = truth[f"expected_{name}"].cast(pl.Float64).to_numpy()
        found[f"{name} off"] = (sure[name].mean - expected) / sure[name].sd
    return found


@pytest.fixture(scope="module", params=["everyday", "elsewhere"])
def told(request, tmp_path_factory):
    parts = [
        plans_told(seed, request.param, tmp_path_factory.mktemp("maker")) for seed in (71, 72, 73)
    ]
    return {name: np.hstack([part[name] for part in parts]) for name in parts[0]}


@pytest.mark.parametrize(
    ("name", "most"), [("finished_fraction", 1.75), ("final_gravity", 2.7), ("alcohol", 2.8)]
)
def test_errors_stay_near_those_of_the_truth_itself(told, name, most):
    realised, expected, value, _, _ = told[name]
    known = np.isfinite(realised)
    error = np.abs(value - realised)[known].mean()
    assert error < most * np.abs(expected - realised)[known].mean()


@pytest.mark.parametrize("name", OUTCOMES)
def test_nine_of_ten_new_batches_lie_within_their_interval(told, name):
    realised, _, _, low, high = told[name]
    known = np.isfinite(realised)
    inside = ((low <= realised) & (realised <= high))[known]
    assert inside.size > 70
    assert 0.82 <= inside.mean() <= 0.98


@pytest.mark.parametrize(("name", "widened"), WIDENED.items())
def test_expectations_err_more_than_the_posterior_says_and_as_much_as_is_told(told, name, widened):
    off = told[f"{name} off"]
    off = np.abs(off[np.isfinite(off)])
    by_posterior, as_told = (np.mean(off < 1.645 * times) for times in (1 / widened, 1.0))
    assert by_posterior < 0.89
    assert 0.84 <= as_told <= 0.97
