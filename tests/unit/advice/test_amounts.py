"""Amounts are rewritten in the maker's own units and in steps that can be measured."""

import pytest

from pipeline.advice.amounts import poured, resized
from pipeline.advice.fill.texts import target_cell
from pipeline.logbook.quantity import Expects, Quantity, read_quantity

VOLUME = Expects("an amount", frozenset({"volume"}), "2 gal", may_be_mark=True)
POUND = 0.45359237


@pytest.mark.parametrize(
    ("like", "now", "wanted", "text"),
    [
        ("4 lb", 4 * POUND, 3 * POUND, "3 lb"),
        ("4 lb 8 oz", 4.5 * POUND, 3.6 * POUND, "3 lb 8 oz"),
        ("1/2 lb", 0.5 * POUND, 0.4 * POUND, "6 1/2 oz"),
        ("1.5 kg", 1.5, 1.26, "1.3 kg"),
        ("900 g", 0.9, 0.733, "750 g"),
        ("12 g", 0.012, 0.0078, "8 g"),
        ("1/2 tsp", 0.0016, 0.0008, "1/4 tsp"),
        ("1 ½ tsp", 0.0048, 0.0032, "1 tsp"),
        ("to 1 gal", 4.546, 5.11, "to 1 1/8 gal"),
        ("3 1/2 qt", 3.312, 3.79, "4 qt"),
        ("3.2 L", 3.2, 3.52, "3.5 L"),
        ("1 us gal", 3.785, 4.3, "1 1/8 us gal"),
        ("to 1 gal (Imp)", 4.546, 5.2, "to 1 1/8 imp gal"),
        ("2 fl oz", 0.06, 0.1, "3 1/2 fl oz"),
    ],
)
def test_amount_is_written_as_the_maker_wrote_it(
    like: str, now: float, wanted: float, text: str
) -> None:
    found = resized(like, now, wanted)
    assert found is not None
    assert found.text == text
    assert found.si == pytest.approx(wanted, rel=0.13)


def test_si_is_what_the_text_means() -> None:
    found = resized("4 lb 8 oz", 4.5 * POUND, 3.6 * POUND)
    assert found is not None
    assert found.si == pytest.approx(3.5 * POUND)


@pytest.mark.parametrize("like", ["1 packet", "2 tablets"])
def test_pieces_are_not_divided(like: str) -> None:
    assert resized(like, 0.005, 0.003) is None


def test_a_decimal_comma_is_read_and_written_where_the_logbook_has_it() -> None:
    found = resized("1,5 kg", 1.5, 1.26, ",")
    assert found is not None
    assert found.text == "1,3 kg"
    assert found.si == pytest.approx(1.3)


@pytest.mark.parametrize(
    ("like", "now", "low", "high", "texts"),
    [
        (
            "to 1 gal",
            4.54609,
            5.08,
            5.15,
            ["to 1 gal 19 fl oz", "to 1 gal 1 pt", "to 1 gal 1 pt 1 fl oz"],
        ),
        ("1 us gal", 3.785411784, 4.02, 4.06, ["1 us gal 1/2 us pt", "1 us gal 9 us fl oz"]),
        ("6 pt", 3.4095675, 3.40, 3.45, ["6 pt", "6 pt 1 fl oz"]),
        ("3.2 L", 3.2, 4.02, 4.16, ["4.05 L", "4.1 L", "4.15 L"]),
        ("18 L", 18.0, 20.2, 20.8, ["20.25 L", "20.5 L", "20.75 L"]),
        ("8 lb", 3.6, 4.0, 5.0, []),
    ],
)
def test_a_jug_measures_finer_than_a_gallon_jar(like, now, low, high, texts) -> None:
    assert [amount.text for amount in poured(like, now, low, high)] == texts


@pytest.mark.parametrize(
    "like", ["to 1 gal", "1 gal 1 pt 3 fl oz", "5 qt", "9 cups", "4.5 L", "900 mL"]
)
@pytest.mark.parametrize("gallon", ["us", "imperial"])
def test_what_a_jug_measures_reads_back_as_what_it_means(like: str, gallon: str) -> None:
    now = read_quantity(like, VOLUME)
    assert isinstance(now, Quantity)
    si = getattr(now, gallon)
    found = poured(like, si, 0.9 * si, 1.3 * si)
    assert len(found) > 3
    for amount in found:
        again = read_quantity(amount.text, VOLUME)
        assert isinstance(again, Quantity), again
        assert getattr(again, gallon) == pytest.approx(amount.si)
        assert again.is_to_mark == now.is_to_mark


@pytest.mark.parametrize(
    ("show", "text"),
    [
        ("metric", "5,3 L"),
        ("imperial", "1 imp gal 1 imp pt 7 imp fl oz"),
        ("us", "1 us gal 3 us pt 3 us fl oz"),
    ],
)
def test_a_target_is_written_in_the_units_shown(show: str, text: str) -> None:
    assert target_cell(5.3, show, ",") == text
