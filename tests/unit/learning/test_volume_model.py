from dataclasses import replace

import numpy as np
import polars as pl
import pytest
from unit.learning.simulated import mart

from pipeline.learning.usual import as_usually_done
from pipeline.learning.volume import (
    MeasuredCurve,
    StageCurve,
    _precision,
    fit_volume,
    litres_per_kg,
)
from pipeline.learning.volume.losses import loss_columns
from pipeline.learning.volume.release import Release, release_curve
from pipeline.learning.volume.stages import planned_stages, read_stages


@pytest.fixture(scope="module")
def fitted():
    return fit_volume(mart().logged(), mart().steps)


def test_predicts_recipes_nobody_has_made(fitted):
    planned = as_usually_done(mart().planned(fitted.fruits), mart().logged())
    expected = mart().truth(planned, "expected_finished_fraction")
    found = fitted.expected(planned)
    assert np.abs(found.mean - expected).mean() < 0.05  # the recipes differ by 0.2 and more
    assert np.corrcoef(found.mean, expected)[0, 1] > 0.95


def test_learns_which_fruit_holds_water_back(fitted):
    told = litres_per_kg(fitted, mart().logged())
    true = dict(
        mart()
        .maker.truth.batches.group_by("fruit")
        .agg(pl.col("net_litres_per_kg").mean())
        .filter(pl.col("fruit").is_in(list(told)))
        .rows()
    )
    pairs = np.array([(told[fruit][0], litres) for fruit, litres in true.items()])
    assert np.corrcoef(pairs.T)[0, 1] > 0.6
    assert all(sd > 0 for _, sd in told.values())


def test_with_two_batches_only_physics_speaks_and_says_how_unsure_it_is():
    few = mart().batches.head(2)
    model = fit_volume(
        mart().logged(few), mart().steps.filter(pl.col("batch_id").is_in(few["batch_id"]))
    )
    assert model.fit is None
    found = model.expected(mart().planned(model.fruits))
    assert np.all(np.isfinite(found.mean))
    assert np.all(found.sd > 0.01)


def test_a_batch_whose_water_is_unknown_is_left_out_and_not_taken_as_dry():
    batches = mart().batches
    lost = batches["batch_id"] == batches["batch_id"][0]
    unknown = batches.with_columns(pl.when(lost).then(None).otherwise("water_l").alias("water_l"))
    model = fit_volume(mart().logged(unknown), mart().steps)
    assert model.batches == fit_volume(mart().logged(), mart().steps).batches - 1


def test_what_was_topped_up_is_no_wine_of_the_fruit():
    musts = mart().logged()
    steps = mart().steps
    topped = steps.filter(pl.col("topped_up_l") > 0)
    assert topped.height > 0
    stages = read_stages(musts, steps)
    batch = topped["batch_id"][0]
    place = musts.ids.index(batch)
    bottled = (stages.must == place) & (stages.bottled > 0)
    row = mart().batches.filter(pl.col("batch_id") == batch).row(0, named=True)
    assert stages.net[bottled] == pytest.approx([row["finished_fraction_net"]])


def net_litres(musts, **number):
    """What a kg of each fruit line adds before any batch was seen, its treatment changed."""
    release = Release(musts.fruits, {"contact_days": 7.0, "pressing": 0.5})
    curve = release_curve(release, replace(musts, number=musts.number | number))
    return curve.per_kg(np.zeros(curve.width))


def test_harder_pressing_frees_more():
    musts = mart().logged()
    (hard, slope), (soft, _) = (
        net_litres(musts, pressing=np.full(len(musts), way)) for way in (1.0, 0.0)
    )
    assert np.all(hard > soft)
    assert soft.min() > -1.5
    assert hard.max() < 1.0
    assert np.all(np.isfinite(slope.data))


@pytest.mark.parametrize(
    ("name", "less", "more"),
    [
        ("contact_days", 3.0, 10.0),
        *((name, 0.0, 1.0) for name in ("cut_share", "crushed_share", "pureed_share")),
        ("frozen_share", 0.0, 1.0),
    ],
)
def test_more_days_a_finer_cut_and_frost_free_more(name, less, more):
    musts = mart().logged()

    def changed(value):
        number = musts.lines.number | {name: np.full(musts.lines.must.size, value)}
        return net_litres(replace(musts, lines=replace(musts.lines, number=number)))[0]

    assert np.all(changed(more) > changed(less))


@pytest.mark.parametrize("name", ["has_pectic_enzyme", "heat"])
def test_enzyme_and_heat_free_more(name):
    count = len(mart().logged())
    with_it, without = (
        net_litres(mart().logged(), **{name: np.full(count, way)})[0] for way in (1.0, 0.0)
    )
    assert np.all(with_it > without)


def test_bottling_takes_its_share_too(fitted):
    planned = as_usually_done(mart().planned(fitted.fruits), mart().logged())
    bottled = planned_stages(planned, np.full(len(planned), 2.0))
    in_the_jar = replace(bottled, bottled=np.zeros(len(planned)))
    after, before = (
        StageCurve(fitted, planned, stages)(fitted.fit.coefficients)[0]
        for stages in (bottled, in_the_jar)
    )
    assert np.all((after < before) & (after > before - 0.1))


def test_losses_share_one_spread_and_marks_are_held_to_a_hundredth(fitted):
    stages = read_stages(mart().logged(), mart().steps)
    columns = loss_columns(fitted.typical, mart().logged(), stages)
    losses, allowances = columns.grouped()
    named = {columns.names[place] for place in losses.columns}
    assert {"rackings", "first racking × load", "rackings, small vessel", "chilled"} <= named
    assert losses.doubt > 0
    assert {columns.names[place] for place in allowances.columns} >= {"to mark", "evaporation"}
    assert (allowances.sd, allowances.doubt) == (pytest.approx(0.01, abs=0.003), 0.0)


def test_batches_of_much_fruit_differ_more_and_more_so_where_it_was_not_weighed(fitted):
    logged = mart().logged()
    load = np.asarray(logged.load.sum(axis=1)).ravel()
    order = np.argsort(load)
    sd = fitted.new_batch_sd(logged)
    assert np.all(np.diff(sd[order]) >= 0)
    assert sd[order[-1]] > 1.3 * sd[order[0]]
    stages = read_stages(logged, mart().steps)
    stages = stages.take(np.isfinite(stages.net))
    error = logged.number | {"water_error_l": 0.2 * np.nan_to_num(logged["water_l"])}
    about = MeasuredCurve(fitted, replace(logged, number=error), stages)
    exact = MeasuredCurve(
        fitted, replace(logged, number=error | {"water_error_l": 0 * load}), stages
    )
    for curve in (about, exact):
        curve.weigh(fitted.fit.coefficients, None)
    known = np.isfinite(about.reach) & (logged["water_l"][stages.must] > 0)
    assert np.all(about.reach[known] >= exact.reach[known])
    assert np.median(about.reach[known] / exact.reach[known]) > 1.5


def test_every_racking_takes_its_share(fitted):
    planned = as_usually_done(mart().planned(fitted.fruits), mart().logged())
    shares = [fitted.expected(planned, np.full(len(planned), times)).mean for times in (1.0, 3.0)]
    lost = (shares[0] - shares[1]) / 2
    assert np.all(lost > 0.0)
    assert np.mean(lost) < 0.08


def test_no_fruit_gives_more_than_the_liquid_in_it_and_starch_holds_it_back():
    musts = mart().logged()
    curve = release_curve(Release(musts.fruits, {}), musts)
    liquid = musts.lines.number["liquid_l_kg"]
    assert np.all(curve.give0 < liquid)
    is_plain = (musts.lines.number["sugar_g_kg"] > 0) & (musts.lines.number["sugar_g_kg"] < 400)
    assert curve.give0[is_plain] == pytest.approx(0.9 * liquid[is_plain])
    starchy = musts.lines.number["starch_g_kg"] > 10
    assert starchy.any()
    assert np.median(curve.hold0[starchy]) > 1.2 * np.median(curve.hold0[~starchy])


def test_a_departure_beyond_what_any_fruit_shows_is_bounded():
    musts = mart().logged()
    release = Release(musts.fruits, {})
    curve = release_curve(release, musts)
    net, slope = curve.per_kg(np.full(curve.width, 50.0))
    assert np.all(np.isfinite(net))
    first = curve.give.shape[1]
    assert np.abs(slope[:, first:].toarray()).max() == pytest.approx(0, abs=1e-6)


def test_what_a_plan_leaves_open_is_done_as_usual():
    logged = mart().logged()
    planned = mart().planned(logged.fruits)
    assert np.all(np.isnan(planned["pressing"]))
    filled = as_usually_done(planned, logged)
    ways = logged["pressing"][np.isfinite(logged["pressing"])]
    assert np.all((filled["pressing"] >= ways.min()) & (filled["pressing"] <= ways.max()))
    assert np.all(filled["pressing_doubt"] >= 0)
    assert np.all(np.isfinite(filled["must_temperature_c"]))


def test_a_habit_with_exceptions_is_followed_and_its_exceptions_doubted():
    logged = mart().logged()
    ways = np.where(np.arange(len(logged)) % 10 == 0, 1.0, 0.0)
    mostly = replace(
        logged, number=logged.number | {"pressing": ways}, main_fruit=["plum"] * len(logged)
    )
    planned = replace(mart().planned(logged.fruits), main_fruit=["plum"] * 30)
    filled = as_usually_done(planned, mostly)
    assert filled["pressing"] == pytest.approx(0.0)
    share = float((ways == 1).mean())
    assert filled["pressing_doubt"] == pytest.approx(np.sqrt(share))


def steps_of(*rows):
    names = ("step", "volume_after_l", "volume_after_error", "bottles")
    frame = pl.DataFrame(list(rows), schema=list(names), orient="row")
    return frame.with_columns(
        pl.col("bottles").cast(pl.Float64),
        batch_id=pl.lit(mart().logged().ids[0]),
        step_number=pl.int_range(1, frame.height + 1),
        topped_up_l=pl.lit(None, pl.Float64),
    )


def test_bottles_that_were_only_counted_are_known_to_within_a_bottle():
    musts = mart().logged()
    target = musts["target_l"][0]
    counted = steps_of(("strain", 4.0, 0.0, None), ("bottle", 3.75, 0.0, 5.0))
    stages = read_stages(musts, counted)
    assert stages.counted * target == pytest.approx([0.0, 0.75])
    measured = steps_of(("strain", 4.0, 0.0, None), ("bottle", 3.61, 0.0, 3.61 / 0.75))
    assert read_stages(musts, measured).counted == pytest.approx([0.0, 0.0])


def test_an_approximate_volume_counts_less():
    musts = mart().logged()
    rough = read_stages(musts, steps_of(("strain", 4.0, 0.1, None), ("rack", 3.8, 0.0, None)))
    assert rough.error * musts["target_l"][0] == pytest.approx([0.4, 0.0])
    about, exact = _precision(rough)
    assert about < 0.2 * exact
