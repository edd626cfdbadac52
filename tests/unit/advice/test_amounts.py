"""Amounts are rewritten in the maker's own units and in steps that can be measured."""

import pytest

from pipeline.advice.amounts import resized

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
