"""What must hold for every must and wine: inverses invert, curves rise or fall, mass is kept."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.enology import (
    acidity,
    blending,
    deacidification,
    ledger,
    must,
    nitrogen,
    sucrose,
    sulphite,
)
from pipeline.enology.alcohol import (
    alcohol_from_gravities,
    alcohol_spread,
    potential_alcohol,
    sugar_for_alcohol,
)
from pipeline.enology.balling import balling_alcohol, balling_original_extract
from pipeline.enology.carbonation import bottle_overpressure
from pipeline.enology.ethanol import (
    alcohol_from_mass_percent,
    density_from_alcohol,
    mass_percent_from_alcohol,
)
from pipeline.enology.extract import lowest_gravity, residual_sugar
from pipeline.enology.gravity import (
    alcohol_from_fermented_refractometer,
    corrected_gravity,
    gravity_from_fermented_refractometer,
    hydrometer_reading,
)
from pipeline.enology.stabilising import sorbate_to_add, sorbic_added
from pipeline.enology.sweetening import (
    diluted_by_sweetening,
    sugar_after_sweetening,
    sugar_to_gravity,
    sugar_to_sweeten,
)
from pipeline.enology.tannin import tannin_exposure
from pipeline.enology.units import celsius_from_fahrenheit, fahrenheit_from_celsius
from pipeline.enology.water import water_density

# A busy machine is no reason to fail.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


def between(low, high):
    return st.floats(low, high, allow_nan=False)


gravities = between(0.98, 1.30)
must_gravities = between(1.03, 1.15)
volumes = between(0.5, 200)
strengths = between(0, 20)


# Inverses invert.


@given(between(0, 70))
def test_brix_returns(brix):
    gravity = sucrose.gravity_from_brix(brix)
    assert sucrose.brix_from_gravity(gravity) == pytest.approx(brix, abs=1e-8)


@given(gravities)
def test_sugar_returns(gravity):
    sugar = sucrose.sugar_from_gravity(gravity)
    assert sucrose.gravity_from_sugar(sugar) == pytest.approx(gravity, abs=1e-9)


@given(gravities)
def test_density_returns(gravity):
    density = sucrose.density_from_gravity(gravity)
    assert sucrose.gravity_from_density(density) == pytest.approx(gravity, abs=1e-12)


@given(between(0, 100))
def test_strength_returns(abv):
    assert alcohol_from_mass_percent(mass_percent_from_alcohol(abv)) == pytest.approx(abv, abs=2e-4)


@given(gravities, between(5, 38), between(15, 20))
def test_hydrometer_returns(gravity, celsius, calibrated):
    reading = hydrometer_reading(gravity, celsius, calibrated)
    assert corrected_gravity(reading, celsius, calibrated) == pytest.approx(gravity, abs=1e-12)


@given(must_gravities, volumes, between(0, 0.2))
def test_sugar_for_gravity_returns(gravity, volume, kg_per_litre):
    sugar = kg_per_litre * volume
    after = must.gravity_after_sugar(gravity, volume, sugar)
    assert must.sugar_for_gravity(gravity, after, volume) == pytest.approx(sugar, abs=1e-6)


@given(between(0, 25), between(0, 60))
def test_balling_returns(original, share):
    real = original * share / 60
    ethanol = balling_alcohol(original, real)
    assert balling_original_extract(ethanol, real) == pytest.approx(original, abs=1e-9)


@given(between(0, 400), volumes)
def test_doses_return(dose, volume):
    grams = sulphite.sulphite_to_add(dose, volume)
    assert sulphite.so2_added(grams, volume) == pytest.approx(dose)
    assert sorbic_added(sorbate_to_add(dose, volume), volume) == pytest.approx(dose)
    nutrient = nitrogen.nutrient_to_add(dose, volume)
    assert nitrogen.nitrogen_added(nutrient, volume) == pytest.approx(dose)


@given(between(0, 20), volumes, st.sampled_from(["tartaric", "malic", "citric", "lactic"]))
def test_acid_returns(rise, volume, acid):
    grams = acidity.acid_to_add(rise, volume, acid)
    assert acidity.acidity_from_addition(grams, volume, acid) == pytest.approx(rise)
    stated = acidity.convert_acidity(rise, "tartaric", acid)
    assert acidity.convert_acidity(stated, acid, "tartaric") == pytest.approx(rise)


@given(between(0, 3), volumes, st.sampled_from(sorted(deacidification.TARTARIC_NEUTRALISED_PER_G)))
def test_base_returns(drop, volume, base):
    grams = deacidification.base_to_remove(drop, volume, base)
    assert deacidification.acidity_removed(grams, volume, base) == pytest.approx(drop)


@given(between(2.8, 4.2), between(0.1, 2), strengths)
def test_free_so2_returns(ph, target, abv):
    for constant in ("customary", "oiv", "oiv thermodynamic"):
        free = sulphite.free_so2_needed(ph, target, constant, abv)
        assert sulphite.molecular_so2(free, ph, constant, abv) == pytest.approx(target)


@given(between(0, 30), between(0, 200), volumes)
def test_sweetening_returns(sugar, more, volume):
    kg = sugar_to_sweeten(sugar, sugar + more, volume)
    assert sugar_after_sweetening(sugar, volume, kg) == pytest.approx(sugar + more)


@given(between(-40, 250))
def test_temperature_returns(fahrenheit):
    celsius = celsius_from_fahrenheit(fahrenheit)
    assert fahrenheit_from_celsius(celsius) == pytest.approx(fahrenheit)


@given(between(0, 16))
def test_potential_alcohol_returns(abv):
    assert potential_alcohol(sugar_for_alcohol(abv)) == pytest.approx(abv)


# Monotone where physics is.


def rises(values):
    return (np.diff(values) > 0).all()


def test_scales_rise_with_gravity():
    gravity = np.linspace(0.9, 1.39, 2000)
    for scale in (
        sucrose.brix_from_gravity,
        sucrose.plato_from_gravity,
        sucrose.sugar_from_gravity,
        sucrose.density_from_gravity,
    ):
        assert rises(scale(gravity))


def test_density_falls_with_alcohol_and_warmth():
    assert rises(-density_from_alcohol(np.linspace(0, 100, 500)))
    assert rises(-water_density(np.linspace(4.5, 100, 500)))


@given(must_gravities)
def test_drier_is_stronger(original):
    final = np.linspace(0.985, original, 50)
    assert rises(-alcohol_from_gravities(original, final))


@given(between(0.985, 1.02))
def test_more_sugar_at_the_start_is_stronger(final):
    assert rises(alcohol_from_gravities(np.linspace(1.03, 1.16, 50), final))


@given(strengths)
def test_residual_sugar_rises_with_gravity_and_strength(abv):
    assert rises(residual_sugar(np.linspace(1.010, 1.05, 20), abv))
    assert rises(residual_sugar(1.010, np.linspace(0, 18, 20)))
    assert residual_sugar(0.990, abv) >= 0


@given(strengths, between(5, 60))
def test_a_wine_at_its_lowest_gravity_has_no_sugar_left(abv, extract):
    gravity = lowest_gravity(abv, extract)
    assert residual_sugar(gravity, abv, extract) == pytest.approx(0, abs=1e-5)


def test_molecular_share_falls_with_ph_and_rises_with_strength_and_warmth():
    assert rises(-sulphite.molecular_fraction(np.linspace(2.8, 4.2, 50)))
    assert rises(sulphite.molecular_fraction(3.4, "oiv", np.linspace(0, 20, 50)))
    assert rises(sulphite.molecular_fraction(3.4, "oiv", 12.0, np.linspace(5, 40, 50)))


def test_bottle_pressure_rises_with_sugar_strength_and_warmth():
    assert rises(bottle_overpressure(np.linspace(0, 30, 20), 12.0))
    assert rises(bottle_overpressure(10.0, np.linspace(0, 20, 20)))
    assert rises(bottle_overpressure(10.0, 12.0, np.linspace(0, 35, 20)))


@given(between(0, 3), between(0, 1))
def test_tannin_never_falls_with_time_and_never_passes_what_is_there(tannic, skins):
    days = np.linspace(0, 60, 50)
    index = tannin_exposure(0.4, tannic, skins, 0.0, days)
    assert (np.diff(index) >= 0).all()
    assert index.max() <= 0.4


@given(must_gravities, between(0.985, 1.02))
def test_spread_holds_the_main_relation(original, final):
    low, high = alcohol_spread(original, final)
    assert low <= alcohol_from_gravities(original, final) <= high


@given(must_gravities, between(0.05, 1.0))
def test_refractometer_falls_from_the_original_gravity(original, share):
    start = sucrose.brix_from_gravity(original)
    now = gravity_from_fermented_refractometer(start * share, original)
    assert now <= original + 1e-4
    same = gravity_from_fermented_refractometer(start, original)
    assert same == pytest.approx(original, abs=2e-4)


@given(must_gravities, between(0.15, 0.9))
def test_refractometer_and_hydrometer_tell_the_same_strength(original, share):
    # Two ways to one wine: refraction with Balling's balance, and gravity with Tabarié's relation.
    brix = sucrose.brix_from_gravity(original) * share
    now = gravity_from_fermented_refractometer(brix, original)
    if not 0.98 < now < original - 0.002:
        return
    by_mass = alcohol_from_fermented_refractometer(brix, original)
    by_volume = by_mass * sucrose.density_from_gravity(now) / 0.78924
    assert by_volume == pytest.approx(alcohol_from_gravities(original, now), abs=0.01)


# Mass is conserved in every balance.


@given(must_gravities, volumes, between(0, 0.3))
def test_stirring_sugar_in_keeps_mass_and_sugar(gravity, volume, kg_per_litre):
    sugar = kg_per_litre * volume
    after = must.gravity_after_sugar(gravity, volume, sugar)
    litres = must.volume_after_sugar(gravity, volume, sugar)
    mass = volume * sucrose.density_from_gravity(gravity) + sugar
    assert litres * sucrose.density_from_gravity(after) == pytest.approx(mass)
    dissolved = volume * sucrose.sugar_from_gravity(gravity) / 1000 + sugar
    assert litres * sucrose.sugar_from_gravity(after) / 1000 == pytest.approx(dissolved)


@given(st.lists(st.tuples(volumes, strengths), min_size=2, max_size=6))
def test_blending_keeps_ethanol_and_water(wines):
    volume, abv = (np.array(column) for column in zip(*wines, strict=True))
    strength, litres = blending.blend_alcohol(volume, abv)
    assert litres * strength == pytest.approx(float(volume @ abv), abs=1e-4 * volume.sum())
    mass = float(volume @ density_from_alcohol(abv))
    assert litres * density_from_alcohol(strength) == pytest.approx(mass)


@given(st.lists(st.tuples(volumes, between(0, 300)), min_size=1, max_size=6))
def test_blending_keeps_sugar(wines):
    volume, sugar = (np.array(column) for column in zip(*wines, strict=True))
    mixed = blending.blend(volume, sugar, "sugar")
    assert mixed * volume.sum() == pytest.approx(float(volume @ sugar))


@given(strengths, volumes, volumes, strengths)
def test_topping_up_keeps_alcohol(abv, volume, more, other):
    mixed = ledger.alcohol_after_topping_up(abv, volume, more, other)
    assert mixed * (volume + more) == pytest.approx(abv * volume + other * more)


@given(between(0, 30), volumes, between(0, 5))
def test_sweetening_keeps_alcohol(abv, volume, sugar):
    thinner = diluted_by_sweetening(abv, volume, sugar)
    total = volume + must.dissolved_sugar_volume(sugar)
    assert thinner * total == pytest.approx(abv * volume)


@given(must_gravities, volumes, st.lists(between(0.001, 0.03), min_size=1, max_size=5))
def test_feeding_in_steps_equals_feeding_at_once(original, volume, steps):
    fed = [kg * volume for kg in steps]
    litres, gravity, entries = volume, original, []
    for sugar in fed:
        entries.append(ledger.LedgerEntry(litres, sugar_kg=sugar))
        litres = float(must.volume_after_sugar(gravity, litres, sugar))
        gravity = float(must.gravity_after_sugar(gravity, entries[-1].volume_l, sugar))
    at_once = must.gravity_after_sugar(original, volume, sum(fed))
    in_steps = ledger.equivalent_original_gravity(original, entries)
    assert in_steps == pytest.approx(at_once, abs=1e-9)


@given(between(1, 20), between(0, 3), between(0, 5), between(0, 2))
def test_water_to_the_mark_fills_to_the_mark(mark, sugar, fruit, other):
    water = must.water_to_mark(mark, sugar, fruit, other)
    taken = must.dissolved_sugar_volume(sugar) + must.fruit_displaced_volume(fruit) + other
    assert water + taken == pytest.approx(max(mark, taken))


@given(volumes, between(0, 1), between(1e-3, 0.02))
def test_sugar_to_gravity_lands_on_the_gravity(volume, share, rise):
    now = 0.992 + 0.02 * share
    sugar = sugar_to_gravity(now, now + rise, volume)
    mass = volume * sucrose.density_from_gravity(now) + sugar
    litres = volume + must.dissolved_sugar_volume(sugar)
    assert sucrose.gravity_from_density(mass / litres) == pytest.approx(now + rise, abs=1e-9)
