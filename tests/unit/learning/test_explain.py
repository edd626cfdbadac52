"""Reasons for harshness: the planted cause first, aliases told, doubts where they are due."""

from __future__ import annotations

import copy
import shutil
from dataclasses import dataclass
from pathlib import Path

import makers
import numpy as np
import polars as pl
import pytest

from pipeline.cellar import load_cellar
from pipeline.errors import UnknownNameError
from pipeline.learning.explain import explain_batch, smooth_batches
from pipeline.learning.explain.drivers import harsh_drivers
from pipeline.learning.musts import read_musts
from pipeline.learning.taste import TasteModel, fit_taste

FACTORS = {
    *("fruit", "fruit_load", "enzyme", "freezing", "skins", "contact_days", "tannin_added"),
    *("acidity", "alcohol", "residual_sugar", "must_temperature", "nitrogen_shortfall", "age"),
    *("sulphite", "ripeness", "yeast", "taster", "crushing"),
}


@dataclass
class Fitted:
    maker: makers.Maker
    model: TasteModel
    batches: pl.DataFrame
    glasses: pl.DataFrame
    must_fruits: pl.DataFrame

    def again(self, **changed: pl.Expr) -> TasteModel:
        batches = self.batches.with_columns(**changed)
        return fit_taste(read_musts(batches, self.must_fruits), batches, self.glasses)


def fitted(folder: Path, seed: int, batches: int, **planted) -> Fitted:
    maker = makers.simulate(seed, batches, planned=0, **planted)
    makers.write(maker, folder)
    cellar = load_cellar(folder)
    fruits = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    batches, glasses = cellar.table("batches"), cellar.table("glasses")
    model = fit_taste(read_musts(batches, fruits), batches, glasses)
    return Fitted(maker, model, batches, glasses, fruits)


@pytest.fixture(scope="module")
def acid(tmp_path_factory) -> Fitted:
    return fitted(tmp_path_factory.mktemp("acid"), 1, 80, cause="acidity")


def harshest(model: TasteModel) -> str:
    return model.musts.ids[int(np.nanargmax(model.measured("harshness")[0]))]


def test_the_planted_cause_is_named_first(acid):
    batch, cause = acid.maker.truth.cause
    assert explain_batch(acid.model, batch).reasons[0].factor == cause


def test_a_planted_batch_of_much_tannin_is_explained_by_it(tmp_path):
    found = fitted(tmp_path, 2, 60, cause="tannin_added")
    batch, cause = found.maker.truth.cause
    reason = explain_batch(found.model, batch).reasons[0]
    assert reason.factor == cause
    assert reason.contribution.low > 0


def test_every_factor_is_weighed_once_the_largest_first(acid):
    reasons = explain_batch(acid.model, harshest(acid.model)).reasons
    values = [reason.contribution.value for reason in reasons]
    assert len(reasons) == len(FACTORS)
    assert {reason.factor for reason in reasons} == FACTORS
    assert values == sorted(values, reverse=True)


def test_what_a_batch_shares_with_the_smooth_ones_explains_nothing(acid):
    model = copy.deepcopy(acid.model)
    batch = harshest(model)
    row = model.musts.ids.index(batch)
    smooth, _ = smooth_batches(model, row)
    model.inputs.number["alcohol"][row] = model.inputs.number["alcohol"][smooth].mean()
    by_name = {r.factor: r for r in explain_batch(model, batch).reasons}
    assert by_name["alcohol"].contribution.value == pytest.approx(0.0, abs=1e-9)


def test_its_own_glasses_pull_a_batch_from_what_is_expected(acid):
    found = explain_batch(acid.model, harshest(acid.model))
    low, high = sorted((found.measured, found.expected))
    assert low <= found.harshness.value <= high


def test_an_untasted_batch_is_explained_by_what_went_in(acid):
    measured, _ = acid.model.measured("harshness")
    untasted = acid.model.musts.ids[int(np.flatnonzero(np.isnan(measured))[0])]
    found = explain_batch(acid.model, untasted)
    assert found.harshness is None
    assert found.measured is None
    assert 0 < found.expected < 10


@pytest.mark.parametrize("alias", [("enzyme", "freezing"), ("fruit", "skins")])
def test_a_strict_alias_is_reported_with_its_doubt(tmp_path, alias):
    found = fitted(tmp_path, 1, 60, alias=alias)
    reasons = explain_batch(found.model, harshest(found.model))
    assert any(set(alias) <= set(group) for group in reasons.confounded_sets)
    doubts = {r.factor: {d.code for d in r.doubts} for r in reasons.reasons}
    assert all("confounded" in doubts[factor] for factor in alias)


def test_what_never_varied_is_said_to_teach_nothing(acid):
    model = acid.again(has_pectic_enzyme=pl.lit(True), yeast=pl.lit("one"))
    codes = {d.factor: {doubt.code for doubt in d.doubts} for d in harsh_drivers(model)}
    assert "no_variation" in codes["enzyme"] & codes["yeast"]
    assert "no_variation" not in codes["alcohol"]


def test_yeasts_that_are_all_alike_are_not_set_against_themselves(acid):
    model = copy.copy(acid.model)
    flat = copy.copy(model.harshness)
    object.__setattr__(flat, "mean", lambda wine: np.full(len(wine), 3.0))
    object.__setattr__(model, "harshness", flat)
    drivers = {driver.factor: driver for driver in harsh_drivers(model)}
    assert drivers["yeast"].effect is None
    assert drivers["fruit"].effect is None


def test_an_input_not_noted_is_said_to_be_missing(acid):
    batch = harshest(acid.model)
    warm = pl.when(pl.col("batch_id") == batch).then(None)
    model = acid.again(must_temperature_mean_c=warm.otherwise("must_temperature_mean_c"))
    by_name = {r.factor: r for r in explain_batch(model, batch).reasons}
    assert "missing_input" in {d.code for d in by_name["must_temperature"].doubts}


def test_a_value_beyond_all_others_is_said_to_be_outside(acid):
    batch = harshest(acid.model)
    much = pl.when(pl.col("batch_id") == batch).then(3.0).otherwise("tannin_added_g_l")
    by_name = {r.factor: r for r in explain_batch(acid.again(tannin_added_g_l=much), batch).reasons}
    assert "outside_experience" in {d.code for d in by_name["tannin_added"].doubts}


def test_a_handful_of_batches_gives_no_verdict(tmp_path):
    found = fitted(tmp_path, 5, 9)
    assert found.model.batches < 12
    for driver in harsh_drivers(found.model):
        if driver.factor != "taster":
            assert "few_batches" in {doubt.code for doubt in driver.doubts}


def test_of_a_few_batches_whatever_differs_in_one_goes_together(tmp_path):
    model = fitted(tmp_path, 6, 5).model
    for batch in model.musts.ids:
        found = explain_batch(model, batch)
        assert len(found.confounded_sets) <= 1
        differing = {r.factor for r in found.reasons if abs(r.contribution.value) > 0.3}
        together = set(found.confounded_sets[0]) if found.confounded_sets else set()
        assert len(differing - {"taster"}) < 2 or differing - {"taster"} <= together


def test_the_worked_logbook_cannot_tell_fruit_skins_and_days_apart(tmp_path):
    worked = Path(__file__).parents[2] / "whole" / "worked"
    shutil.copytree(worked, tmp_path / "worked")
    cellar = load_cellar(tmp_path / "worked")
    fruits = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    batches = cellar.table("batches")
    model = fit_taste(read_musts(batches, fruits), batches, cellar.table("glasses"))
    found = explain_batch(model, "W2")
    assert any({"fruit", "skins", "contact_days"} <= set(group) for group in found.confounded_sets)
    skins = next(reason for reason in found.reasons if reason.factor == "skins")
    assert {"few_batches", "confounded"} <= {doubt.code for doubt in skins.doubts}


def test_drivers_point_the_way_the_maker_truly_tastes(acid):
    effects = {d.factor: d.effect for d in harsh_drivers(acid.model)}
    assert effects["alcohol"].low > 0
    assert effects["tannin_added"].low > 0
    assert effects["age"].high < 0


def test_an_unknown_batch_is_named(acid):
    with pytest.raises(UnknownNameError, match="no batch 'nowhere'"):
        explain_batch(acid.model, "nowhere")
