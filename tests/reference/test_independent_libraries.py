"""The same quantities by independent libraries: iapws, CoolProp, pint, scipy."""

import CoolProp.CoolProp as coolprop  # noqa: N813
import numpy as np
import pint
import pytest
from iapws import IAPWS95
from scipy.optimize import brentq

from pipeline.enology import sucrose, units
from pipeline.enology.alcohol import alcohol_from_gravities
from pipeline.enology.balling import balling_original_extract
from pipeline.enology.ethanol import (
    alcohol_from_mass_percent,
    ethanol_density,
    mass_percent_from_alcohol,
)
from pipeline.enology.gravity import alcohol_from_fermented_refractometer
from pipeline.enology.substances import ATOMIC_WEIGHT, MOLAR_MASS
from pipeline.enology.sweetening import sugar_after_sweetening, sugar_to_sweeten
from pipeline.enology.tabarie import dry_extract
from pipeline.enology.water import water_density

REGISTRY = pint.UnitRegistry()
PINT_NAMES = {
    "litre": "litre",
    "millilitre": "millilitre",
    "centilitre": "centilitre",
    "hectolitre": "hectolitre",
    "us gallon": "gallon",
    "us quart": "quart",
    "us pint": "pint",
    "us cup": "cup",
    "us fluid ounce": "fluid_ounce",
    "us tablespoon": "tablespoon",
    "us teaspoon": "teaspoon",
    "imperial gallon": "imperial_gallon",
    "imperial quart": "imperial_quart",
    "imperial pint": "imperial_pint",
    "imperial cup": "imperial_cup",
    "imperial fluid ounce": "imperial_fluid_ounce",
    "troy ounce": "troy_ounce",
}


@pytest.mark.parametrize("celsius", [0, 5, 10, 15.5556, 20, 25, 30, 38])
def test_water_by_iapws95(celsius):
    expected = IAPWS95(T=celsius + 273.15, P=0.101325).rho
    assert water_density(celsius) == pytest.approx(expected, abs=0.0015)


@pytest.mark.parametrize(
    ("celsius", "allowed"), [(0.1, 0.0015), (20, 0.0015), (40, 0.0015), (60, 0.03), (95, 0.22)]
)
def test_water_by_coolprop(celsius, allowed):
    expected = coolprop.PropsSI("D", "T", celsius + 273.15, "P", 101325, "Water")
    assert water_density(celsius) == pytest.approx(expected, abs=allowed)


@pytest.mark.parametrize("celsius", [0, 10, 20, 30, 40])
def test_ethanol_by_coolprop(celsius):
    # The newer equation of state is 0.02 % above the alcohol tables at 20 °C.
    expected = coolprop.PropsSI("D", "T", celsius + 273.15, "P", 101325, "Ethanol")
    assert ethanol_density(1.0, celsius) == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize(
    ("substance", "fluid"),
    [
        ("water", "Water"),
        ("ethanol", "Ethanol"),
        ("carbon dioxide", "CarbonDioxide"),
        ("sulphur dioxide", "SulfurDioxide"),
    ],
)
def test_molar_mass_by_coolprop(substance, fluid):
    assert MOLAR_MASS[substance] == pytest.approx(1000 * coolprop.PropsSI("M", fluid), abs=0.006)


@pytest.mark.parametrize("name", units.LITRES)
def test_volume_by_pint(name):
    expected = REGISTRY.Quantity(1, PINT_NAMES[name]).to("litre").magnitude
    assert units.LITRES[name] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("name", units.KILOGRAMS)
def test_mass_by_pint(name):
    expected = REGISTRY.Quantity(1, PINT_NAMES.get(name, name)).to("kilogram").magnitude
    assert units.KILOGRAMS[name] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("ours", "unit", "si"),
    [
        (units.BAR_PER_PSI, "psi", "bar"),
        (units.BAR_PER_ATMOSPHERE, "atmosphere", "bar"),
        (units.L_PER_BUSHEL, "bushel", "litre"),
    ],
)
def test_other_unit_by_pint(ours, unit, si):
    assert ours == pytest.approx(REGISTRY.Quantity(1, unit).to(si).magnitude, rel=1e-9)


@pytest.mark.parametrize("fahrenheit", [-40, 32, 60, 68, 212])
def test_temperature_by_pint(fahrenheit):
    expected = REGISTRY.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert units.celsius_from_fahrenheit(fahrenheit) == pytest.approx(expected, abs=1e-9)
    assert units.fahrenheit_from_celsius(expected) == pytest.approx(fahrenheit, abs=1e-9)


def test_atomic_weights_make_the_alcohol_of_a_sucrose():
    # Mass of sucrose + water = mass of 4 ethanol + 4 carbon dioxide: nothing is lost.
    left = MOLAR_MASS["sucrose"] + MOLAR_MASS["water"]
    right = 4 * MOLAR_MASS["ethanol"] + 4 * MOLAR_MASS["carbon dioxide"]
    assert left == pytest.approx(right)
    assert ATOMIC_WEIGHT["H"] == pytest.approx(1.008)


@pytest.mark.parametrize("brix", [-5, 0, 5, 12, 22, 35, 40, 45, 60, 75])
def test_gravity_from_brix_by_scipy(brix):
    root = brentq(lambda s: sucrose.brix_from_gravity(s) - brix, 0.9, 1.4, xtol=1e-13)
    assert sucrose.gravity_from_brix(brix) == pytest.approx(root, abs=1e-10)


@pytest.mark.parametrize("sugar", [-100, 0, 50, 240, 500, 900, 1050])
def test_gravity_from_sugar_by_scipy(sugar):
    root = brentq(lambda s: sucrose.sugar_from_gravity(s) - sugar, 0.9, 1.4, xtol=1e-13)
    assert sucrose.gravity_from_sugar(sugar) == pytest.approx(root, abs=1e-10)


@pytest.mark.parametrize("abv", [0, 0.5, 8, 14, 40, 70, 96, 99.9])
def test_mass_percent_by_scipy(abv):
    root = brentq(lambda p: alcohol_from_mass_percent(p) - abv, 0, 100, xtol=1e-12)
    assert mass_percent_from_alcohol(abv) == pytest.approx(root, abs=1e-8)


@pytest.mark.parametrize("original", [1.03, 1.06, 1.085, 1.11, 1.15])
@pytest.mark.parametrize("final", [0.990, 1.000, 1.020])
def test_balance_that_defines_alcohol_by_scipy(original, final):
    density = sucrose.density_from_gravity(final)

    def gap(abv):
        ethanol = abv * 0.78924 / density
        extract = dry_extract(final, abv) / (10 * density)
        return balling_original_extract(ethanol, extract) - sucrose.brix_from_gravity(original)

    assert alcohol_from_gravities(original, final) == pytest.approx(brentq(gap, 0, 29), abs=1e-5)


@pytest.mark.parametrize("target", [5, 20, 80, 300])
def test_sugar_to_sweeten_by_scipy(target):
    def excess(sugar_kg):
        return sugar_after_sweetening(2.0, 4.5, sugar_kg) - target

    assert sugar_to_sweeten(2.0, target, 4.5) == pytest.approx(brentq(excess, 0, 10), abs=1e-9)


def test_volume_relations_between_the_gallons():
    both = np.array([units.LITRES["us gallon"], units.LITRES["imperial gallon"]])
    assert both[1] / both[0] == pytest.approx(1.20095, abs=1e-5)
    assert units.LITRES["us fluid ounce"] > units.LITRES["imperial fluid ounce"]


# Refractive index at 20 °C, CRC Handbook, concentrative properties (from memory).
SUCROSE_INDEX = {
    0: 1.3330,
    1: 1.3344,
    2: 1.3359,
    3: 1.3373,
    4: 1.3388,
    5: 1.3403,
    6: 1.3418,
    7: 1.3433,
}
ETHANOL_INDEX = {2: 1.3342, 5: 1.3360, 8: 1.3381, 10: 1.3395, 12: 1.3410, 14: 1.3425}


@pytest.mark.parametrize("mass_percent", ETHANOL_INDEX)
def test_what_ethanol_adds_to_a_refractometer_by_refractive_indices(mass_percent):
    brix = np.interp(ETHANOL_INDEX[mass_percent], list(SUCROSE_INDEX.values()), list(SUCROSE_INDEX))
    # A must that fermented to nothing but ethanol of this strength would show that Brix.
    original = sucrose.gravity_from_brix(balling_original_extract(mass_percent, 0.0))
    assert alcohol_from_fermented_refractometer(brix, original) == pytest.approx(
        mass_percent, abs=0.15
    )
