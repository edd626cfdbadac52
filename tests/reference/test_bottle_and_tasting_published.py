"""Bottle pressure, legal limits and tasting tests against published values (groups l and k)."""

import pytest
from reference.published import LEARNING_ROWS, NOT_FORMULAS, agree, all_checks, checks, with_source
from scipy.stats import binom

from pipeline.enology import carbonation, sensory
from pipeline.enology.limits import limit
from pipeline.enology.substances import MOLAR_MASS
from pipeline.enology.units import BAR_PER_ATMOSPHERE


def overpressure(inputs):
    return carbonation.bottle_overpressure(
        inputs["fermentable_sugar_g_L"], inputs["abv_pct"], inputs["t_C"]
    )


BOTTLE = {
    "US home wine per calendar year, 2+ adults": lambda _: limit("home wine us two adults").value,
    "US home wine per calendar year, 1 adult": lambda _: limit("home wine us one adult").value,
    "US still-wine CO2 ceiling": lambda _: limit("still wine co2 us").value,
    "CO2 solubility in water at 20 C, 1 atm CO2": (
        lambda _: carbonation.co2_solubility_water(20.0)
    ),
    "Henry solubility of CO2 at 25 C": lambda _: (
        # g/L at 1 bar -> mol per m3 and Pa.
        carbonation.co2_solubility_water(25.0, 1.0) / MOLAR_MASS["carbon dioxide"] * 1000 / 1e5
    ),
    "density of CO2 gas implied by EU litres/grams pair": lambda _: carbonation.CO2_G_PER_VOLUME,
    "overpressure at 20 C if residual sugar referments in the bottle (12 % vol, "
    "wine saturated with CO2 at 1 atm at bottling, no headspace)": overpressure,
    "overpressure at 10 C from refermented residual sugar "
    "(12 % vol, saturated at 1 atm CO2 at 20 C, no headspace)": overpressure,
    "CO2 from refermenting residual hexose": lambda i: carbonation.co2_volumes(
        carbonation.co2_from_sugar(i["fermentable_sugar_g_L"])
    ),
    "sugar per bar of overpressure at 20 C, 12 % vol": lambda _: carbonation.sugar_per_bar(12.0),
    "pressure ratio 30 C vs 20 C at constant dissolved CO2": lambda _: (
        carbonation.henry_constant(30.0) / carbonation.henry_constant(20.0)
    ),
    "EU minimum overpressure of sparkling wine": lambda _: limit("sparkling eu").value,
    "OIV methanol limit, red wine": lambda _: limit("methanol oiv red").value,
    "EFSA acute reference dose for cyanide": lambda _: limit("cyanide efsa").value,
}

TASTING = {
    "triangle test critical value, alpha 0.05": (
        lambda i: sensory.hits_needed("triangle", i["n"], 0.05)
    ),
    "triangle test critical value, alpha 0.01": (
        lambda i: sensory.hits_needed("triangle", i["n"], 0.01)
    ),
    "paired test critical value, one-sided alpha 0.05": (
        lambda i: sensory.hits_needed("paired", i["n"], 0.05)
    ),
    "paired preference critical value, two-sided alpha 0.05": (
        lambda i: sensory.hits_needed("preference", i["n"], 0.05)
    ),
    "triangle test p-value": lambda i: sensory.p_value("triangle", i["n"], i["correct"]),
    "paired preference two-sided p-value": (
        lambda i: sensory.p_value("preference", i["n"], i["k"])
    ),
}


@pytest.mark.parametrize("check", with_source("l"))
def test_bottle_and_limits(check):
    agree(check, BOTTLE)


@pytest.mark.parametrize("check", with_source("k"))
def test_tasting(check):
    agree(check, TASTING)


def test_four_grams_a_bar_holds_in_a_cold_cellar_only():
    assert carbonation.sugar_per_bar(12.0, 10.0) == pytest.approx(4.0, abs=0.2)
    assert carbonation.sugar_per_bar(12.0, 20.0) == pytest.approx(2.96, abs=0.05)


def test_solubility_by_two_independent_sources_agrees_within_three_per_cent():
    by_eu = carbonation.co2_dissolved(BAR_PER_ATMOSPHERE, 0.0)
    assert carbonation.co2_solubility_water(20.0) == pytest.approx(by_eu, rel=0.03)


@pytest.mark.parametrize("tastings", [3, 6, 10, 24, 60])
@pytest.mark.parametrize(("test", "chance"), [("triangle", 1 / 3), ("paired", 1 / 2)])
def test_tasting_agrees_with_the_binomial_of_scipy(test, chance, tastings):
    for hits in range(tastings + 1):
        expected = binom.sf(hits - 1, tastings, chance)
        assert sensory.p_value(test, tastings, hits) == pytest.approx(expected, rel=1e-9)


def test_no_row_is_left_without_a_test():
    tested = {check.check_id for group in "abcdefghijkl" for check in checks(group)}
    learning = {f"k{number}" for number in LEARNING_ROWS}
    assert {check.check_id for check in all_checks()} <= tested | learning | set(NOT_FORMULAS)
    assert len(tested) >= 350
