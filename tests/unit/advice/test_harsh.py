"""The answer of `hedgerow harsh`: evidence with the trade's rules beside it."""

from __future__ import annotations

import json
from types import SimpleNamespace

import makers
import polars as pl
import pytest

from pipeline.advice import harsh
from pipeline.advice.harsh_practice import PRACTICE
from pipeline.cellar import load_cellar
from pipeline.errors import UnknownNameError
from pipeline.learning.explain.factors import FACTORS
from pipeline.learning.musts import read_musts
from pipeline.learning.taste import fit_taste


@pytest.fixture(scope="module")
def asked(tmp_path_factory):
    folder = tmp_path_factory.mktemp("harsh")
    makers.write(makers.simulate(7, 40, planned=0), folder)
    cellar = load_cellar(folder)
    fruits = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    batches = cellar.table("batches")
    taste = fit_taste(read_musts(batches, fruits), batches, cellar.table("glasses"))
    return cellar, SimpleNamespace(taste=taste)


def test_drivers_have_the_fixed_shape(asked):
    found = json.loads(json.dumps(harsh.answer(*asked)))
    assert set(found) == {"drivers"}
    assert {driver["factor"] for driver in found["drivers"]} == set(PRACTICE)
    for driver in found["drivers"]:
        assert set(driver) == {"factor", "effect", "per", "doubts"}


def test_a_batch_has_the_fixed_shape_and_advice_only_where_it_is_harsher(asked):
    cellar, models = asked
    harshest = cellar.table("batches").sort("harshness", descending=True, nulls_last=True)
    batch = harshest["batch_id"][0]
    found = json.loads(json.dumps(harsh.answer(cellar, models, batch)))
    assert list(found) == [
        *("batch", "harshness", "measured", "expected", "reasons", "confounded_sets", "cautions")
    ]
    assert found["batch"] == batch
    assert found["reasons"][0]["next_time"]
    for reason in found["reasons"]:
        assert reason["practice"].startswith("common practice, no source:")
        if reason["contribution"]["value"] <= 0:
            assert reason["now"] == reason["next_time"] == []


def test_every_factor_has_its_rule_of_the_trade():
    assert set(PRACTICE) == {factor.name for factor in FACTORS} | {"taster"}


def test_sweetening_is_never_advised_without_stabilising():
    for practice in PRACTICE.values():
        for line in (*practice.now, *practice.next_time):
            if line.startswith("stir sugar"):
                assert "stabilise" in line
                assert "bursts" in line


def test_an_unknown_batch_is_named(asked):
    with pytest.raises(UnknownNameError, match="no batch 'nowhere'"):
        harsh.answer(*asked, "nowhere")
