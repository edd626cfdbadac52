from dataclasses import replace

import numpy as np
import pytest

from pipeline.enology.ethanol import relative_density_from_alcohol
from pipeline.enology.extract import lowest_gravity
from pipeline.enology.sucrose import gravity_from_sugar
from pipeline.learning.ferment import (
    _GRAVITY_OF_ALCOHOL,
    _GRAVITY_OF_SUGAR,
    Scalars,
    Supply,
    ferment,
    slopes,
)


def supply(**changed):
    plain = {
        "poured": 1.0,
        "fruit": 0.4,
        "juice": 0.3,
        "dried_off": 0.0,
        "late_sugar": 0.0,
        "early_sugar": 220.0,
        "juice_sugar": 0.0,
        "fruit_sugar": 40.0,
        "nitrogen": 400.0,
        "kept": 1.0,
        "topping": 1.0,
    }
    return Supply(**{name: np.atleast_1d(value) for name, value in (plain | changed).items()})


def scalars(**changed):
    plain = {
        "more_sugar": 0.0,
        "litres": 0.0,
        "early": 0.0,
        "early_juice": 0.0,
        "more_nitrogen": 80.0,
        "demand": 0.0,
        "tolerance": 15.0,
        "cost": 0.0,
        "corner": 0.0,
        "gain": 0.0,
        "residue": 2.0,
        "extract": 20.0,
    }
    return Scalars(**{name: np.atleast_1d(value) for name, value in (plain | changed).items()})


def test_well_under_its_tolerance_a_yeast_makes_what_the_sugar_allows():
    state = ferment(supply(), scalars())
    hexose = (220 * 1.0526 + 40) / 1.3
    assert state.alcohol[0] == pytest.approx((hexose - 2) / 16.6, abs=0.01)
    assert state.residual[0] == pytest.approx(2.0, abs=0.2)
    dry = lowest_gravity(state.alcohol[0], 22.0)
    assert state.undiluted[0] == pytest.approx(dry, abs=1e-4)


def test_past_its_tolerance_it_makes_that_and_leaves_the_rest():
    state = ferment(supply(early_sugar=400.0), scalars())
    assert state.alcohol[0] == pytest.approx(15.0, abs=0.1)
    assert state.residual[0] == pytest.approx((400 * 1.0526 + 40) / 1.3 - 15 * 16.6, abs=2)


def test_a_shortage_of_nitrogen_costs_strength_only_where_it_binds():
    short = ferment(supply(early_sugar=400.0, nitrogen=0.0), scalars())
    assert short.shortfall[0] > 0.5
    assert short.alcohol[0] < 14.0
    weak = ferment(supply(early_sugar=120.0, nitrogen=0.0), scalars())
    fed = ferment(supply(early_sugar=120.0), scalars())
    assert weak.alcohol[0] == pytest.approx(fed.alcohol[0], abs=0.02)


def test_the_first_reading_sees_only_what_the_fruit_has_given():
    early = ferment(supply(), scalars(early=-5.0, early_juice=0.0))
    assert early.original[0] == pytest.approx(float(gravity_from_sugar(220.0)), abs=0.001)
    late = ferment(supply(), scalars(early=5.0, early_juice=0.0))
    assert late.original[0] == pytest.approx(late.equivalent[0], abs=0.006)


def test_topping_up_with_water_pulls_the_reading_to_one():
    plain, topped = ferment(supply(), scalars()), ferment(supply(kept=0.5), scalars())
    assert topped.final[0] - 1 == pytest.approx((plain.final[0] - 1) / 2, abs=1e-9)
    assert topped.undiluted[0] == plain.undiluted[0]


def test_slopes_are_those_of_the_curve():
    at, known = scalars(), supply(early_sugar=270.0)
    found = slopes(known, at, ("undiluted",))["undiluted"]
    step = 0.05
    above = ferment(known, replace(at, tolerance=at.tolerance + step)).undiluted
    below = ferment(known, replace(at, tolerance=at.tolerance - step)).undiluted
    assert found["tolerance"][0] == pytest.approx(float((above - below)[0] / 2 / step), rel=0.05)


def test_what_a_gram_of_sugar_yields_hides_behind_the_rest_of_the_extract():
    """Of dry wines of any strength: 1.2 % more alcohol, and no gravity shows it."""
    sugar = np.array([150.0, 200.0, 250.0])
    known = supply(early_sugar=sugar)
    plain = ferment(known, scalars(tolerance=18.0))
    more = ferment(known, scalars(tolerance=18.0, gain=np.log(1.012)))
    # So much extract for each % vol more: a line in the sugar, as the model's glycerol is.
    hidden = np.polyval(np.polyfit(sugar, (plain.undiluted - more.undiluted) / 3.88e-4, 1), sugar)
    again = ferment(known, scalars(tolerance=18.0, gain=np.log(1.012), extract=20.0 + hidden))
    assert again.alcohol / plain.alcohol == pytest.approx(1.012, abs=1e-3)
    assert again.undiluted == pytest.approx(plain.undiluted, abs=2e-5)
    assert again.original == pytest.approx(plain.original, abs=2e-4)


def test_polynomials_stand_in_for_the_formulas_far_closer_than_a_hydrometer():
    sugar, alcohol = np.linspace(0, 900, 2003), np.linspace(0, 25, 2003)
    assert _GRAVITY_OF_SUGAR(sugar) == pytest.approx(gravity_from_sugar(sugar), abs=5e-6)
    exact = relative_density_from_alcohol(alcohol)
    assert _GRAVITY_OF_ALCOHOL(alcohol) == pytest.approx(exact, abs=5e-6)
