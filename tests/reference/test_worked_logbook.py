"""The four worked batches: what their numbers must come to, by the formulas alone."""

import pytest

from pipeline.enology.acidity import acidity_from_addition
from pipeline.enology.alcohol import alcohol_from_gravities, alcohol_linear
from pipeline.enology.extract import (
    apparent_attenuation,
    dry_extract,
    real_attenuation,
)
from pipeline.enology.gravity import corrected_gravity
from pipeline.enology.ledger import (
    LedgerEntry,
    alcohol_after_topping_up,
    alcohol_ledger,
    equivalent_original_gravity,
)
from pipeline.enology.must import gravity_after_sugar
from pipeline.enology.nitrogen import nitrogen_added
from pipeline.enology.sulphite import molecular_so2

FED = LedgerEntry(volume_l=3.6, sugar_kg=0.227)
WATERED = LedgerEntry(volume_l=3.0, added_l=0.75)


def test_pear_original_gravity():
    assert corrected_gravity(1.0835, 25.0) == pytest.approx(1.0846, abs=0.0006)


def test_pear_alcohol():
    assert alcohol_from_gravities(1.0846, 0.994) == pytest.approx(12.1, abs=0.3)
    assert alcohol_linear(1.0846, 0.994) == pytest.approx(11.9, abs=0.05)


def test_pear_extract_and_attenuation():
    strength = alcohol_from_gravities(1.0846, 0.994)
    assert dry_extract(0.994, strength) == pytest.approx(25, abs=2)
    assert apparent_attenuation(1.0846, 0.994) == pytest.approx(1.077, abs=0.005)
    assert real_attenuation(1.0846, 0.994) == pytest.approx(0.87, abs=0.01)


def test_pear_nitrogen_acid_and_sulphite():
    assert nitrogen_added(3.0, 4.25) == pytest.approx(150, abs=1)
    assert acidity_from_addition(12.0, 4.25, "citric") == pytest.approx(3.31, abs=0.01)
    assert molecular_so2(28.0, 3.40) == pytest.approx(0.70, abs=0.01)


def test_damson_ledger():
    assert alcohol_from_gravities(1.072, 1.030) == pytest.approx(5.6, abs=0.1)
    assert gravity_after_sugar(1.030, 3.6, 0.227) == pytest.approx(1.052, abs=0.002)
    assert equivalent_original_gravity(1.072, [FED]) == pytest.approx(1.092, abs=0.003)
    assert alcohol_ledger(1.072, 0.996, [FED]) == pytest.approx(12.9, abs=0.5)


def test_damson_after_topping_up_with_water():
    before = alcohol_ledger(1.072, 0.996, [FED])
    assert alcohol_after_topping_up(before, 3.0, 0.75) == pytest.approx(before * 0.8)
    assert alcohol_after_topping_up(before, 3.0, 0.75) == pytest.approx(10.3, abs=0.5)
    # 0.996 thinned by a fifth reads 0.9968; the ledger comes to the same strength.
    assert alcohol_ledger(1.072, 0.9968, [FED, WATERED]) == pytest.approx(10.3, abs=0.5)


def test_damson_first_minus_last_gravity_is_wrong_by_three():
    naive = alcohol_linear(1.072, 0.996)
    assert naive == pytest.approx(10.0, abs=0.05)
    assert alcohol_ledger(1.072, 0.996, [FED]) - naive == pytest.approx(3, abs=0.3)


def test_quince_stuck_and_sweet():
    strength = alcohol_from_gravities(1.096, 1.0235)
    assert strength == pytest.approx(9.7, abs=0.3)
    assert dry_extract(1.0235, strength) == pytest.approx(95, abs=4)
    assert real_attenuation(1.096, 1.0235) == pytest.approx(0.59, abs=0.01)
    # The worked page prints 73.5 %; by densities of NBS C440 it is 74.0.
    assert apparent_attenuation(1.096, 1.0235) == pytest.approx(0.735, abs=0.006)
