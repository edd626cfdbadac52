"""Sugar, blending, starch and units against published values (groups h, i, j)."""

import polars as pl
import pytest
from reference.published import agree, with_source

from pipeline.enology import composition, must, units
from pipeline.enology.blending import blend_alcohol, share_of_first
from pipeline.enology.limits import limit
from pipeline.enology.substances import (
    GLUCOSE_PER_MALTOSE,
    GLUCOSE_PER_STARCH,
    INVERT_PER_SUCROSE,
)
from pipeline.enology.sucrose import brix_from_gravity, gravity_from_brix
from pipeline.files import project_file

LB, GALLON = units.KG_PER_LB, units.L_PER_US_GALLON


def dissolving(formula):
    return lambda i: formula(gravity_from_brix(i["brix"]), i["volume_L"], i["sugar_g"] / 1000)


MUST = {
    "legal volume increase from dry sugar": (
        # 27 CFR 24.181 counts whole gallons; 0.618 L/kg gives 0.9997 of one.
        lambda i: round(must.dissolved_sugar_volume(i["sugar_lb"] * LB) / GALLON, 3)
    ),
    "specific volume of dissolved sugar implied by 27 CFR 24.181": (
        lambda _: must.DISSOLVED_SUGAR_L_PER_KG
    ),
    "apparent specific volume of sucrose in water at 20 C": (
        lambda i: must.specific_volume_of_sugar(i["brix"])
    ),
    "volume after dissolving sugar in must": dissolving(must.volume_after_sugar),
    "Brix after dissolving sugar in must": (
        lambda i: brix_from_gravity(dissolving(must.gravity_after_sugar)(i))
    ),
    "dry sugar to raise Brix (mass Pearson square)": (
        lambda i: (
            1000
            * must.sugar_for_gravity(
                gravity_from_brix(i["brix_from"]), gravity_from_brix(i["brix_to"]), i["volume_L"]
            )
        )
    ),
    "Pearson square: fraction of component 1": (
        lambda i: share_of_first(i["c1"], i["c2"], i["target"])
    ),
    "fortification blend ABV with contraction (hydroalcoholic)": (
        lambda i: blend_alcohol([i["V1_L"], i["V2_L"]], [i["abv1"], i["abv2"]])[0]
    ),
    "invert sugar from sucrose": lambda _: INVERT_PER_SUCROSE,
    "US max alcohol, natural fruit wine after sweetening": (
        lambda _: limit("alcohol us fruit").value
    ),
    "US max total solids, natural fruit wine": lambda _: limit("solids us fruit").value,
}

VOLUME = {  # names of the units library, [L]
    "quart": "us quart",
    "imperial_quart": "imperial quart",
    "pint": "us pint",
    "imperial_pint": "imperial pint",
    "fluid_ounce": "us fluid ounce",
    "imperial_fluid_ounce": "imperial fluid ounce",
    "cup": "us cup",
    "tablespoon": "us tablespoon",
    "gallon": "us gallon",
    "imperial_gallon": "imperial gallon",
    "liter": "litre",
    "milliliter": "millilitre",
}
MASS = {"troy_ounce": "troy ounce"}


def size(unit):
    if unit == "bushel":
        return units.L_PER_BUSHEL
    if unit in ("psi", "atmosphere", "bar"):
        return {"psi": units.BAR_PER_PSI, "atmosphere": units.BAR_PER_ATMOSPHERE, "bar": 1}[unit]
    if unit in VOLUME:
        return units.LITRES[VOLUME[unit]]
    return units.KILOGRAMS[MASS.get(unit, unit)]


def concentration(inputs):
    mass, volume = inputs["from"].split("/")
    gallon = {
        "gallon": GALLON,
        "kilogallon": 1000 * GALLON,
        "imperial_gallon": units.L_PER_IMPERIAL_GALLON,
    }[volume]
    pounds = size(mass) / LB
    return units.grams_per_litre_from_pounds_per_gallon(pounds, gallon)


UNITS = {
    "unit conversion": lambda i: i["value"] * size(i["from"]) / size(i["to"]),
    "temperature conversion": lambda i: units.celsius_from_fahrenheit(i["degF"]),
    "concentration conversion": concentration,
}


def banana(column):
    table = pl.read_csv(project_file("data", "reference", "fruit.csv"))
    return table.filter(pl.col("fruit") == "banana")[column].item()


FRUIT = {
    "glucose from starch (anhydroglucose + H2O)": lambda _: GLUCOSE_PER_STARCH,
    "glucose from maltose": lambda _: GLUCOSE_PER_MALTOSE,
    "banana pulp starch by peel colour stage": lambda i: composition.BANANA_STARCH[i["stage"] - 1],
    "banana pulp sugar by peel colour stage": lambda i: composition.BANANA_SUGAR[i["stage"] - 1],
    "banana starch, fully ripe": lambda _: composition.BANANA_STARCH[
        composition.BANANA_STAGE["over"] - 1
    ],
    "banana total sugars, USDA SR": lambda _: banana("sugars_g_per_100g"),
    "banana juice yield, pectinase 50 C 2 h": lambda _: banana("juice_yield_fraction"),
    "banana single-strength minimum Brix": lambda _: banana("min_brix_21cfr101_30"),
}


@pytest.mark.parametrize("check", with_source("h"))
def test_must(check):
    agree(check, MUST)


@pytest.mark.parametrize("check", with_source("i"))
def test_units(check):
    agree(check, UNITS)


@pytest.mark.parametrize("check", with_source("j"))
def test_fruit(check):
    agree(check, FRUIT)


@pytest.mark.parametrize("stage", range(8))
def test_banana_sugar_and_starch_add_up_while_it_ripens(stage):
    # Starch turns into sugar; respiration takes the sum from 22.7 to 20.1 g/100 g.
    total = composition.BANANA_SUGAR[stage] + composition.BANANA_STARCH[stage] * GLUCOSE_PER_STARCH
    assert 20.0 <= total <= 22.8
