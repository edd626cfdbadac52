"""Quantities inside a sentence, in the units that the logbook shows."""

import pytest

from pipeline.show.units import Units


@pytest.mark.parametrize(
    ("show", "load", "warmth"),
    [
        ("metric", "per 0.1 kg/L more", "27 °C, not 22 °C"),
        # 0.1 kg/L is 1.002 lb to 4.546 L and 0.835 lb to 3.785 L.
        ("imperial", "per 1.0 lb/imp gal more", "27 °C, not 22 °C"),
        ("us", "per 0.8 lb/US gal more", "81 °F, not 72 °F"),
    ],
)
def test_a_sentence_is_told_in_the_logbooks_units(show, load, warmth):
    units = Units(show)
    assert units.told("per 0.1 kg/L more") == load
    assert units.told("27 °C, not 22 °C") == warmth
    assert units.told("with it, not without") == "with it, not without"
