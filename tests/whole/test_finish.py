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
