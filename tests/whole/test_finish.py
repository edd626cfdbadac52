"""The running batches of a simulated maker: dates in order, and silence where none can be said."""

import json
from datetime import date

import polars as pl
import pytest
from makers.maker import simulate
from makers.write import write

from pipeline.advice.finish import answer
from pipeline.cellar import load_cellar
from pipeline.learning import fit_models
from pipeline.learning.forecast import forecast_end


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    folder = write(simulate(11, 80, planned=2), tmp_path_factory.mktemp("logs") / "club")
    cellar = load_cellar(folder)
    return cellar, fit_models(cellar)


def test_each_running_batch_ends_at_its_gravity_and_between_two_dates(club):
    cellar, models = club
    found = answer(cellar, models)
    running = cellar.table("batches").filter(pl.col("state") == "fermenting")
    assert {one["batch"] for one in found["batches"]} | set(found["without_curve"]) == set(
        running["batch_id"]
    )
    assert found["batches"]
    for one in found["batches"]:
        end, last = one["final_gravity"], one["last_gravity"]
        assert end["low"] < end["value"] < end["high"]
        assert one["curve"][0]["gravity"]["value"] == pytest.approx(last)
        if one["done_on"] is not None:
            low, value, high = (
                date.fromisoformat(one["done_on"][part]) for part in ("low", "value", "high")
            )
            assert low <= value <= high
    json.dumps(found, allow_nan=False)


def test_the_first_gravity_of_a_running_batch_moves_its_end(club):
    cellar, models = club
    running = cellar.table("batches").filter(pl.col("state") == "fermenting")
    named = pl.col("must_id").is_in(running["batch_id"].to_list()) & ~pl.col("is_planned")
    musts, fruits = (cellar.table(name).filter(named) for name in ("musts", "must_fruits"))
    original = dict(running.select("batch_id", "original_gravity").drop_nulls().iter_rows())
    ends = forecast_end(models, musts, fruits, original)
    told = {
        one["batch"]: one["final_gravity"]["value"] for one in answer(cellar, models)["batches"]
    }
    place = {name: row for row, name in enumerate(musts["must_id"])}
    assert told == {name: pytest.approx(ends.mean[place[name]]) for name in told}
    unread = forecast_end(models, musts, fruits, {})
    assert any(abs(ends.mean[place[name]] - unread.mean[place[name]]) > 1e-5 for name in told)
