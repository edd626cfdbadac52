"""Sucrose solutions, water and hydrometers against published tables (groups a and b)."""

import numpy as np
import pytest
from reference.published import POUNDS_PER_GALLON, agree, weight_in_air, with_source

from pipeline.enology.gravity import corrected_gravity, hydrometer_reading, water_density
from pipeline.enology.must import gravity_after_sugar, must_gravity
from pipeline.enology.sucrose import (
    brix_from_gravity,
    density_from_gravity,
    gravity_from_brix,
    plato_from_gravity,
    sugar_from_gravity,
)
from pipeline.enology.tabarie import dry_extract
from pipeline.enology.units import KG_PER_LB, L_PER_US_GALLON


def density(inputs):
    return density_from_gravity(gravity_from_brix(inputs["brix"]))


def sugar(inputs):
    return sugar_from_gravity(gravity_from_brix(inputs["brix"]))


SUCROSE = {
    "sucrose solution weight in air per US gallon, 20 C": lambda i: weight_in_air(density(i)),
    "apparent SG 20/20 from Brix": lambda i: gravity_from_brix(i["brix"]),
    "dissolved solids per US gallon": lambda i: sugar(i) / 1000 * POUNDS_PER_GALLON,
    "true density of sucrose solution at 20 C": lambda i: 1000 * density(i),
    "sugar concentration of sucrose solution at 20 C": sugar,
    "Brix from apparent SG 20/20": lambda i: brix_from_gravity(i["sg"]),
    "degrees Plato from apparent SG 20/20": lambda i: plato_from_gravity(i["sg"]),
    "total dry extract (as sucrose) from relative density of dealcoholised wine": (
        lambda i: dry_extract(i["sg"], 0.0)
    ),
    "SG of 1 lb sucrose made up to 1 US gal": lambda i: must_gravity(
        i["sugar_lb"] * KG_PER_LB, i["final_volume_gal"] * L_PER_US_GALLON
    ),
    "SG of 1 lb sucrose ADDED to 1 US gal water": lambda i: gravity_after_sugar(
        1.0, i["water_gal"] * L_PER_US_GALLON, i["sugar_lb"] * KG_PER_LB
    ),
}

WATER = {
    "density of water at 101.325 kPa": lambda i: water_density(i["t_C"]),
    "hydrometer reading corrected to calibration temperature": lambda i: corrected_gravity(
        i["reading_sg"], i["t_C"], i["cal_C"]
    ),
    "SG shift of a 60 F hydrometer vs a 20 C hydrometer in the same 20 C liquid": (
        lambda i: hydrometer_reading(i["sg_20_20"], i["t_C"], 140 / 9)
    ),
}


@pytest.mark.parametrize("check", with_source("a"))
def test_sucrose(check):
    agree(check, SUCROSE)


@pytest.mark.parametrize("check", with_source("b"))
def test_water_and_hydrometer(check):
    agree(check, WATER)


# ICUMSA SPS-4 density polynomial at 20 °C (from memory), an independent fit to other measurements.
ICUMSA = (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890)


@pytest.mark.parametrize("brix", [5, 10, 20, 30, 40, 45, 50, 55, 60])
def test_sucrose_density_agrees_with_icumsa_to_sixty_brix(brix):
    share = brix / 100
    icumsa = 998.2072 + sum(c * share**k for k, c in enumerate(ICUMSA, start=1))
    # NBS and ICUMSA themselves differ by up to 0.2 kg/m3 at 60 °Bx.
    assert 1000 * density({"brix": brix}) == pytest.approx(icumsa, abs=0.25)


# NBS Circular C440 Table 109, relative density 20/4 (from memory); 1 at 4 °C is 0.999972 kg/L.
@pytest.mark.parametrize(
    ("brix", "relative"),
    [(10, 1.03814), (20, 1.08097), (30, 1.12698), (40, 1.17645), (50, 1.22957), (60, 1.28646)],
)
def test_sucrose_density_agrees_with_nbs_table_109(brix, relative):
    assert density({"brix": brix}) == pytest.approx(relative * 0.999972, abs=1.2e-4)


def test_brix_times_ten_is_not_sugar():
    assert sugar_from_gravity(gravity_from_brix(22.0)) - 220 == pytest.approx(19.8, abs=0.1)


def test_hydrometer_offset_shifts_both_readings_alike():
    drop = np.subtract(*corrected_gravity(np.array([1.094, 1.000]), 20.0, offset=0.004))
    assert drop == pytest.approx(0.094)
