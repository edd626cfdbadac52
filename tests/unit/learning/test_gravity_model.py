import numpy as np
import polars as pl
import pytest
from unit.learning.simulated import gravity_of, mart

from pipeline.learning.ferments import expected_ferment
from pipeline.learning.gravity import MustCurve, fit_gravity
from pipeline.learning.gravity.supply import read_supply, topped_before_last
from pipeline.learning.musts import read_musts
from pipeline.learning.usual import as_usually_done


@pytest.fixture(scope="module")
def fitted():
    return gravity_of()


@pytest.fixture(scope="module")
def planned(fitted):
    musts = as_usually_done(mart().planned(fitted.fruits), mart().logged())
    return musts, expected_ferment(fitted, musts)


@pytest.mark.parametrize(
    ("outcome", "name", "most"),
    [("undiluted", "final_gravity", 0.005), ("alcohol", "alcohol", 0.8)],
)
def test_predicts_recipes_nobody_has_made(planned, outcome, name, most):
    musts, ferments = planned
    expected = mart().truth(musts, f"expected_{name}")
    assert np.nanmean(np.abs(ferments.mean[outcome] - expected)) < most
    assert np.corrcoef(ferments.mean[outcome], expected)[0, 1] > 0.85


def test_learns_what_yeasts_stand_that_were_stopped_by_it(fitted):
    musts = mart().logged()
    curve = MustCurve(fitted, musts, read_supply(musts, fitted.typical))
    coefficients = fitted.coefficients(curve.width)
    stands = curve.scalars(coefficients).tolerance
    state = curve.state(coefficients)
    stopped = state.potential - state.alcohol > 0.3
    yeast = np.array(musts.yeast, dtype=object)
    true = dict(mart().maker.truth.yeasts.select("yeast", "tolerance").rows())
    true = {name.casefold(): tolerance for name, tolerance in true.items()}
    often = [name for name in fitted.yeasts if (stopped & (yeast == name)).sum() >= 3]
    told = np.array([np.nanmean(stands[yeast == name]) for name in often])
    assert len(often) >= 3
    assert told == pytest.approx([true[name] for name in often], abs=1.5)
    assert np.corrcoef(told, [true[name] for name in often])[0, 1] > 0.7


def test_strength_is_never_known_exactly(planned):
    musts, ferments = planned
    load = np.asarray(musts.load.sum(axis=1)).ravel()
    least = np.hypot(0.7 * load, 0.012 * ferments.mean["alcohol"])
    assert np.all(ferments.sd["alcohol"] >= least * (1 - 1e-9))
    # Twelve per cent at a usual load is 11.5 to 12.5 at best.
    usual = np.hypot(0.7 * 0.35, 0.012 * 12.0)
    assert 1.645 * usual == pytest.approx(0.5, abs=0.05)


def test_doubt_about_the_yield_stands_in_every_strength(fitted, planned, monkeypatch):
    musts, ferments = planned
    monkeypatch.setattr("pipeline.learning.ferments.YIELD_DOUBT", 0.0)
    without = expected_ferment(fitted, musts)
    added = np.sqrt(ferments.sd["alcohol"] ** 2 - without.sd["alcohol"] ** 2)
    assert added == pytest.approx(0.012 * ferments.mean["alcohol"], rel=1e-6)


def test_past_the_bend_a_ferment_has_its_own_mood(fitted, planned, monkeypatch):
    musts, ferments = planned
    monkeypatch.setattr("pipeline.learning.ferments.TOLERANCE_NOISE", 0.0)
    calm = expected_ferment(fitted, musts).noise["undiluted"]
    more = ferments.noise["undiluted"] / calm
    excess = ferments.mean["excess"]
    assert more[excess > 1.0].min() > 1.01
    assert more[excess < 0.02].max() < 1.001


def test_each_fruit_and_each_yeast_has_its_own_numbers(fitted):
    curve = MustCurve(fitted, mart().logged(), read_supply(mart().logged(), fitted.typical))
    names = {group.name for group in curve.grouped()}
    of_fruit = ("more_sugar", "more_nitrogen", "extract", "litres", "early", "early_juice")
    assert {f"{part}: fruit" for part in of_fruit} <= names
    assert {f"{part}: yeast" for part in ("tolerance", "demand", "residue")} <= names


def refitted(**changed):
    batches = mart().batches.with_columns(**changed)
    return fit_gravity(mart().logged(batches), batches, mart().steps)


def test_a_batch_without_an_end_teaches_by_its_first_gravity_alone(fitted):
    ended = pl.col("final_gravity").is_not_null()
    assert (~mart().batches.select(ended).to_series()).sum() >= 3
    stood = {
        name: pl.when(ended).then(name).otherwise(1.09)
        for name in ("last_gravity", "stuck_gravity")
    }
    assert refitted(**stood).fit.coefficients == pytest.approx(fitted.fit.coefficients, abs=0)
    first = pl.when(ended).then("original_gravity").otherwise(pl.col("original_gravity") + 0.01)
    moved = refitted(original_gravity=first).fit.coefficients
    assert np.abs(moved - fitted.fit.coefficients).max() > 0.01


def test_how_noisy_readings_are_is_learnt_of_each_kind(fitted):
    random = np.random.default_rng(4)
    blurred = pl.Series(random.normal(0, 0.006, mart().batches.height))
    noise = {
        kind: refitted(**{f"{kind}_gravity": pl.col(f"{kind}_gravity") + blurred}).outcome_sd
        for kind in ("original", "final")
    }
    for kind, other in (("original", "final"), ("final", "original")):
        assert noise[kind][kind] > 1.7 * fitted.outcome_sd[kind]
        assert noise[other][kind] < 1.4 * fitted.outcome_sd[kind]


def test_a_stuck_batch_is_no_finished_gravity(fitted):
    finished = mart().batches.filter(pl.col("final_gravity").is_not_null())
    assert finished.filter("is_stuck").is_empty()
    assert fitted.batches <= finished.height


def test_one_yeast_written_two_ways_is_one_yeast(fitted):
    written = mart().batches["yeast"].drop_nulls().unique().to_list()
    assert len(fitted.yeasts) == len({name.casefold() for name in written})


def test_a_yeast_never_used_is_less_certain_than_one_used(fitted):
    musts = mart().planned(fitted.fruits)
    unknown = mart().musts.filter("is_planned").with_columns(yeast=pl.lit("Nobody's"))
    fruits = mart().must_fruits.filter("is_planned")
    other = expected_ferment(fitted, read_musts(unknown, fruits, fitted.fruits))
    known = expected_ferment(fitted, musts)
    bent = known.slope["undiluted"][:, :].any(axis=1)
    assert np.nanmean(other.sd["undiluted"][bent]) > np.nanmean(known.sd["undiluted"][bent])


def test_with_two_batches_nothing_is_fitted_and_the_interval_is_wide():
    few = mart().batches.head(2)
    model = fit_gravity(mart().logged(few), few, mart().steps)
    assert model.fit is None
    ferments = expected_ferment(model, mart().planned(model.fruits))
    assert np.nanmin(ferments.sd["alcohol"]) > 0.1


def test_sugar_that_was_lost_is_unknown_and_not_nought(fitted):
    batches = mart().batches
    first = batches.filter(pl.col("final_gravity").is_not_null() & pl.col("sugar_kg").is_not_null())
    lost = batches["batch_id"] == first["batch_id"][0]
    unknown = batches.with_columns(pl.when(lost).then(None).otherwise("sugar_kg").alias("sugar_kg"))
    model = fit_gravity(mart().logged(unknown), unknown, mart().steps)
    assert model.batches == fitted.batches - 1


def test_what_is_topped_up_before_the_last_reading_dilutes_it():
    frame = pl.DataFrame({"batch_id": ["a", "b", "c"], "last_day": [40.0, 40.0, 10.0]})
    steps = pl.DataFrame(
        {
            "batch_id": ["a", "b", "c"],
            "day": [20.0, 20.0, 20.0],
            "volume_after_l": [3.0, 3.0, 3.0],
            "topped_up_l": [1.0, 1.0, 1.0],
            "topped_up_with": ["water", None, "water"],
        }
    )
    kept, gravity = topped_before_last(frame, steps)
    assert kept[0] == pytest.approx(0.75)
    assert np.isnan(kept[1])  # with what is not known
    assert kept[2] == 1.0  # after the last reading
    assert gravity[0] == 1.0
