import pytest
from unit.show.samples import estimate

from pipeline.counts import counted
from pipeline.show.measures import Measure, chance, is_apart, joined, measure_of, negated
from pipeline.show.units import Units

METRIC, US = Units(currency="GBP"), Units(show="us")


@pytest.mark.parametrize(
    ("half", "text"),
    [
        (0.4, "3.5 L (3.1 to 3.9)"),
        (0.04, "3.52 L (3.48 to 3.56)"),
        (0.0004, "3.52 L (3.52 to 3.52)"),
        (2.5, "4 L (1 to 6)"),
        (0.0, "3.52 L (3.52 to 3.52)"),
    ],
)
def test_a_volume_keeps_the_decimals_its_interval_leaves_known(half, text):
    assert measure_of("finished_volume", METRIC).full(estimate(3.52, half)) == text


def test_an_interval_is_written_in_the_units_of_the_logbook():
    assert measure_of("finished_volume", US).span(estimate(3.785411784, 0.4)) == (
        "0.9 to 1.1 US gal"
    )


def test_a_gravity_always_has_the_decimals_of_a_hydrometer():
    assert measure_of("final_gravity", METRIC).full(estimate(0.994, 0.02)) == (
        "0.994 (0.974 to 1.014)"
    )


def test_a_difference_is_signed_and_drops_the_offset_of_the_scale():
    warmer = measure_of("must_temperature", US).difference()
    assert warmer.full(estimate(5, 1)) == "+9 °F (7 to 11)"
    assert measure_of("finished_volume", METRIC).difference().write(-0.6) == "−0.60 L"
    assert measure_of("harshness", METRIC).difference().full(estimate(-1.3, 0.5)) == (
        "−1.3 points (−1.8 to −0.8)"
    )


def test_money_carries_its_currency_and_both_decimals():
    assert (
        measure_of("cost_per_bottle", METRIC).full(estimate(1.3, 0.2)) == "GBP 1.30 (1.10 to 1.50)"
    )


def test_what_is_not_known_is_a_dash():
    volume = measure_of("finished_volume", METRIC)
    unknown = {"value": None, "low": None, "high": None}
    assert {volume.full(None), volume.full(unknown), volume.span(None), volume.near(None)} == {"–"}
    assert volume.write(float("nan")) == "–"


def test_words_pass_through_and_unnamed_measures_keep_their_name():
    assert measure_of("yeast", METRIC).full("Lantern") == "Lantern"
    assert measure_of("jar_colour", METRIC) == Measure("jar colour", "", 2)
    assert measure_of("fruit_load_kg_l", METRIC).name == "fruit load"
    assert measure_of("residual_sugar_g_l", METRIC).name == "sugar left"


def test_nought_has_no_sign():
    assert measure_of("finished_volume", METRIC).write(-0.001) == "0.00 L"


def test_apart_means_that_the_interval_leaves_nought_out():
    assert is_apart(estimate(1, 0.5))
    assert is_apart(estimate(-1, 0.5))
    assert not is_apart(estimate(0.1, 0.5))
    assert not is_apart(None)
    assert not is_apart({"value": None})


def test_a_turned_sign_keeps_low_below_high():
    turned = negated(estimate(-2, 0.5))
    assert (turned["low"], turned["value"], turned["high"]) == (1.5, 2, 2.5)


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.5, "50 in 100"), (0.97, "97 in 100"), (1.0, "more than 98 in 100"), (0.0, "fewer than 2")],
)
def test_chances_never_claim_certainty(probability, text):
    assert chance(probability).startswith(text)


def test_lists_and_counts_read_as_sentences():
    assert joined(["a", "b", "c"]) == "a, b and c"
    assert joined(["a"]) == "a"
    assert joined([]) == ""
    assert counted(1, "batch", "batches") == "1 batch"
    assert counted(0, "row") == "0 rows"
