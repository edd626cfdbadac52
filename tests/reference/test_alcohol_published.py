"""Ethanol–water, Tabarié, Balling and potential alcohol against published values (group c)."""

import pytest
from reference.published import agree, weight_in_air, with_source
from scipy.optimize import brentq

from pipeline.enology import ethanol
from pipeline.enology.alcohol import (
    POTENTIAL_ALCOHOL_FACTORS,
    alcohol_from_gravities,
    potential_alcohol,
)
from pipeline.enology.balling import balling_alcohol, balling_original_extract
from pipeline.enology.blending import blend_alcohol
from pipeline.enology.extract import real_attenuation, real_extract
from pipeline.enology.substances import (
    CO2_PER_HEXOSE,
    ETHANOL_DENSITY_G_L,
    ETHANOL_PER_HEXOSE,
    ETHANOL_PER_SUCROSE,
)
from pipeline.enology.tabarie import dealcoholised_gravity, dry_extract
from pipeline.enology.water import WATER_20_KG_L

SIXTY_F = 140 / 9  # [°C]


def density_at_proof(proof):
    """Density at 60 °F [kg/m3] of a spirit whose strength is stated at 60 °F, as in the US."""
    pure = ethanol.ethanol_density(1.0, SIXTY_F)

    def excess(fraction):
        return fraction * ethanol.ethanol_density(fraction, SIXTY_F) / pure - proof / 200

    return ethanol.ethanol_density(brentq(excess, 0, 1), SIXTY_F)


ETHANOL = {
    "density of ethanol-water at 20 C from % vol": (
        lambda i: ethanol.density_from_alcohol(i["abv_pct"])
    ),
    "OIML R 22 density rho(p,t)": (lambda i: ethanol.ethanol_density(i["mass_fraction"], i["t_C"])),
    "density of ethanol-water mixture whose strength at 20 C is a % vol": (
        lambda i: ethanol.density_from_alcohol(i["abv_pct_20C"], i["t_C"])
    ),
    "% mass from % vol (ethanol-water, 20 C)": (
        lambda i: ethanol.mass_percent_from_alcohol(i["abv_pct"])
    ),
    "% vol from % mass": lambda i: ethanol.alcohol_from_mass_percent(i["abw_pct"]),
    "volume of 500 mL ethanol + 500 mL water at 20 C": (
        lambda i: 1000 * blend_alcohol([i["ethanol_mL"] / 1000, i["water_mL"] / 1000], [100, 0])[1]
    ),
    "density of pure ethanol at 20 C": lambda _: ethanol.ethanol_density(1.0),
    "weight in air of 190-proof (95 % vol at 60 F) ethanol": (
        lambda i: weight_in_air(density_at_proof(i["proof_US"]) / 1000)
    ),
    "weight in air of water at 60 F": (
        lambda _: weight_in_air(ethanol.ethanol_density(0.0, SIXTY_F) / 1000)
    ),
    "SG 60/60 F (vacuum) of 100 proof spirit": (
        lambda i: density_at_proof(i["proof_US"]) / ethanol.ethanol_density(0.0, SIXTY_F)
    ),
    "Tabarie: relative density of dealcoholised wine": (
        lambda i: dealcoholised_gravity(i["dv_20_20"], i["abv_pct"])
    ),
    "total dry extract": lambda i: dry_extract(i["dv_20_20"], i["abv_pct"]),
    "Tabarie density form factor 1/rho_w(20 C)": lambda _: 1 / WATER_20_KG_L,
    "Balling original extract": (
        lambda i: balling_original_extract(i["abw_pct"], i["real_extract_pct"])
    ),
    "alcohol by mass from original and real extract (Balling)": (
        lambda i: balling_alcohol(i["OE_P"], i["RE_P"])
    ),
    "real extract from original and apparent extract": (
        lambda i: real_extract(i["OE_P"], i["AE_P"])
    ),
    "alcohol by volume from original and final SG "
    "(Balling balance + Tabarie + OIML R 22, no sugar added after S0)": (
        lambda i: alcohol_from_gravities(i["og"], i["fg"])
    ),
    "Gay-Lussac ethanol yield from hexose": lambda _: ETHANOL_PER_HEXOSE,
    "Gay-Lussac ethanol yield from sucrose": lambda _: ETHANOL_PER_SUCROSE,
    "CO2 yield from hexose": lambda _: CO2_PER_HEXOSE,
    # These two rows are printed for 10 % vol: 154.3 g/L of hexose, 15.43 for each per cent.
    "hexose needed per 1 % vol, theoretical": (
        lambda _: 10 * ETHANOL_DENSITY_G_L / 100 / ETHANOL_PER_HEXOSE
    ),
    "sucrose needed per 1 % vol, theoretical": (
        lambda _: 10 * ETHANOL_DENSITY_G_L / 100 / ETHANOL_PER_SUCROSE
    ),
    "EU/OIV conventional factor, invert sugar per 1 % vol": (
        lambda _: POTENTIAL_ALCOHOL_FACTORS["eu"]
    ),
    "practical factor, must sugar per 1 % vol": lambda _: POTENTIAL_ALCOHOL_FACTORS["practical"],
    "potential alcohol from fermentable sugar": (
        lambda i: potential_alcohol(i["sugar_g_L_as_invert"], i["factor"])
    ),
}


@pytest.mark.parametrize("check", with_source("c"))
def test_alcohol(check):
    agree(check, ETHANOL)


@pytest.mark.parametrize(("original", "apparent", "share"), [(20, -1.0, 0.860), (24, 2.0, 0.751)])
def test_real_attenuation_beside_the_apparent_one(original, apparent, share):
    # Notes of rows c163 and c169: over 100 % apparent is about 87 % real in a dry wine.
    assert 1 - real_extract(original, apparent) / original == pytest.approx(share, abs=0.001)


def test_dry_wine_is_seven_eighths_attenuated_by_either_way():
    by_balling = 1 - real_extract(21.57, -1.3) / 21.57
    assert real_attenuation(1.090, 0.995) == pytest.approx(by_balling, abs=0.015)
