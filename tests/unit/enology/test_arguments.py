"""Every function takes floats and arrays alike, passes NaN through and refuses the impossible."""

import inspect
import pkgutil
from importlib import import_module

import numpy as np
import pytest

from pipeline import enology
from pipeline.enology import (
    acidity,
    alcohol,
    balling,
    blending,
    carbonation,
    composition,
    copper,
    deacidification,
    enzymes,
    ethanol,
    extract,
    fruit,
    gravity,
    ledger,
    must,
    nitrogen,
    stabilising,
    sucrose,
    sulphite,
    sweetening,
    tabarie,
    tannin,
    units,
    validity,
    water,
)
from pipeline.enology.arguments import checked

# Function, its arguments, and for each numeric argument something impossible.
CASES = [
    (acidity.convert_acidity, (6.0, "tartaric", "malic"), {"acid_g_l": -1}),
    (acidity.milliequivalents, (6.0,), {"acid_g_l": -1}),
    (
        acidity.acidity_from_titration,
        (12.0, 0.1, 15.0),
        {"base_ml": -1, "base_normality": 0, "sample_ml": 0},
    ),
    (acidity.acid_to_add, (1.0, 4.5), {"rise_g_l": -1, "volume_l": -1}),
    (acidity.acidity_from_addition, (5.0, 4.5, "citric"), {"acid_g": -1, "volume_l": 0}),
    (deacidification.base_to_remove, (1.0, 4.5), {"drop_g_l": -1, "volume_l": -1}),
    (
        deacidification.acidity_removed,
        (5.0, 4.5, "calcium carbonate"),
        {"base_g": -1, "volume_l": 0},
    ),
    (alcohol.potential_alcohol, (200.0, 16.83), {"sugar_g_l": -1, "sugar_per_percent": 5}),
    (alcohol.sugar_for_alcohol, (12.0, 16.83), {"abv": -1, "sugar_per_percent": 5}),
    *(
        (relation, (1.09, 0.995), {"original_gravity": 0.8, "final_gravity": 0.8})
        for relation in alcohol.RELATIONS.values()
    ),
    (balling.balling_original_extract, (9.0, 2.0), {"mass_percent": -1, "real_extract": 99}),
    (balling.balling_alcohol, (20.0, 2.0), {"original_extract": -1, "real_extract": 99}),
    (blending.water_to_dilute, (16.0, 12.0, 4.0), {"value": -1, "target": 0, "volume_l": -1}),
    (carbonation.henry_constant, (20.0,), {"temperature_c": -1}),
    (carbonation.co2_solubility_water, (20.0, 1.0), {"temperature_c": -1, "pressure_bar": -1}),
    (carbonation.co2_from_sugar, (10.0,), {"fermentable_sugar_g_l": -1}),
    (carbonation.co2_volumes, (5.0,), {"co2_g_l": -1}),
    (
        carbonation.co2_dissolved,
        (2.0, 12.0, 5.0, 15.0),
        {"pressure_bar": -1, "abv": -1, "sugar_g_l": -1, "temperature_c": 99},
    ),
    (
        carbonation.bottle_overpressure,
        (10.0, 12.0, 25.0, 5.0),
        {
            "fermentable_sugar_g_l": -1,
            "abv": -1,
            "temperature_c": 99,
            "other_sugar_g_l": -1,
        },
    ),
    (carbonation.sugar_per_bar, (12.0, 20.0), {"abv": -1, "temperature_c": 99}),
    (copper.copper_added, (0.004, 1.0), {"solution_percent": -1, "solution_ml_per_100_ml": -1}),
    (enzymes.degrees_too_hot, (80.0, "pectic enzyme"), {"temperature_c": -1}),
    (ethanol.ethanol_density, (0.1, 15.0), {"mass_fraction": 1.1, "temperature_c": 50}),
    (ethanol.alcohol_from_mass_percent, (10.0,), {"mass_percent": 101}),
    (ethanol.mass_percent_from_alcohol, (12.0,), {"abv": 101}),
    (ethanol.density_from_alcohol, (12.0, 15.0), {"abv": 101, "temperature_c": 50}),
    (ethanol.relative_density_from_alcohol, (12.0,), {"abv": 101}),
    (extract.real_extract, (20.0, -1.0), {"original_extract": -1, "apparent_extract": -20}),
    (
        extract.apparent_attenuation,
        (1.09, 0.995),
        {"original_gravity": 0.8, "gravity": 0.8},
    ),
    (extract.real_attenuation, (1.09, 0.995), {"original_gravity": 0.8, "gravity": 0.8}),
    (extract.lowest_gravity, (12.0, 20.0), {"abv": -1, "sugar_free_extract_g_l": -1}),
    (
        extract.residual_sugar,
        (1.0, 12.0, 20.0),
        {"gravity": 0.8, "abv": -1, "sugar_free_extract_g_l": -1},
    ),
    (
        extract.residual_sugar_error,
        (0.001, 0.3, 6.0),
        {"gravity_error": -1, "abv_error": -1, "extract_error_g_l": -1},
    ),
    (fruit.fruit_displaced_volume, (2.0,), {"fruit_kg": -1}),
    (
        fruit.juice_released,
        (2.0, 0.6, 1.05),
        {"fruit_kg": -1, "juice_yield_fraction": 1.1, "juice_gravity": 0.8},
    ),
    (fruit.juice_strained, (2.0, 0.6), {"fruit_kg": -1, "juice_yield_fraction": 1.1}),
    (fruit.pulp_kept, (2.0, 0.6), {"fruit_kg": -1, "juice_yield_fraction": 1.1}),
    (composition.starch_to_sugar, (50.0, 0.8), {"starch_g": -1, "converted_fraction": 1.1}),
    (composition.invert_from_sucrose, (50.0,), {"sucrose_g": -1}),
    (
        composition.fruit_supplies,
        (2.0, 90.0, 0.1),
        {"fruit_kg": -1, "grams_per_kg": -1, "refuse_fraction": 1.1},
    ),
    (
        composition.dried_concentration,
        (90.0, 850.0, 250.0),
        {"grams_per_kg_fresh": -1, "water_g_kg_fresh": 1000, "water_g_kg_dried": -1},
    ),
    (fruit.vessel_for, (4.5, 0.2), {"volume_l": -1, "headspace_fraction": -1}),
    (
        gravity.corrected_gravity,
        (1.08, 25.0, 15.6, 0.001),
        {"reading_sg": 1080, "temperature_c": 101, "calibrated_at_c": 68, "offset": 0.5},
    ),
    (
        gravity.hydrometer_reading,
        (1.08, 25.0, 15.6),
        {"gravity": 1080, "temperature_c": 101, "calibrated_at_c": 68},
    ),
    (gravity.gravity_from_refractometer, (20.0,), {"brix": 99}),
    (
        gravity.gravity_from_fermented_refractometer,
        (9.2, 1.082),
        {"brix": -1, "original_gravity": 0.9},
    ),
    (
        gravity.alcohol_from_fermented_refractometer,
        (9.2, 1.082),
        {"brix": -1, "original_gravity": 0.9},
    ),
    (
        ledger.equivalent_gravity_after_sugar,
        (1.07, 4.0, 0.2),
        {"gravity": 2, "volume_l": 0, "sugar_kg": -1},
    ),
    (
        ledger.equivalent_gravity_after_liquid,
        (1.07, 4.0, 0.5, 1.0),
        {"gravity": 2, "volume_l": 0, "added_l": -1, "added_gravity": 2},
    ),
    (
        ledger.alcohol_after_topping_up,
        (12.0, 4.0, 0.5, 0.0),
        {"abv": -1, "volume_l": 0, "added_l": -1, "added_abv": -1},
    ),
    (
        ledger.volume_yield,
        (5.0, 4.0, 0.5),
        {"start_l": 0, "finished_l": -1, "water_added_l": -1},
    ),
    (must.dissolved_sugar_volume, (1.0,), {"sugar_kg": -1}),
    (must.must_gravity, (1.0, 4.5), {"sugar_kg": -1, "volume_l": 0}),
    (
        must.gravity_after_sugar,
        (1.03, 4.0, 0.2),
        {"gravity": 2, "volume_l": 0, "sugar_kg": -1},
    ),
    (
        must.volume_after_sugar,
        (1.03, 4.0, 0.2),
        {"gravity": 2, "volume_l": 0, "sugar_kg": -1},
    ),
    (
        must.sugar_for_gravity,
        (1.03, 1.08, 4.0),
        {"gravity": 2, "target_gravity": 2, "volume_l": -1},
    ),
    (
        must.water_to_mark,
        (4.5, 1.0, 1.5, 0.2),
        {"mark_l": -1, "sugar_kg": -1, "fruit_kg": -1, "other_l": -1},
    ),
    (
        must.strained_volume,
        (3.0, 1.0, 1.5, 0.6, 0.2),
        {
            "water_l": -1,
            "sugar_kg": -1,
            "fruit_kg": -1,
            "juice_yield_fraction": 2,
            "other_l": -1,
        },
    ),
    (
        must.gravity_of_mixture,
        (1.01, 4.0, 1.0, 1.0),
        {"gravity": 2, "volume_l": 0, "added_gravity": 2, "added_l": -1},
    ),
    (must.specific_volume_of_sugar, (20.0,), {"brix": 0}),
    (nitrogen.nitrogen_needed_at_brix, (22.0,), {"brix": -1}),
    (nitrogen.nitrogen_needed, (1.09,), {"original_gravity": 2}),
    (
        nitrogen.nitrogen_added,
        (3.0, 4.5, 200.0),
        {"nutrient_g": -1, "volume_l": 0, "mg_per_g": -1},
    ),
    (
        nitrogen.nutrient_to_add,
        (100.0, 4.5, 200.0),
        {"deficit_mg_l": -1, "volume_l": -1, "mg_per_g": 0},
    ),
    (stabilising.sorbate_to_add, (150.0, 4.5), {"sorbic_mg_l": -1, "volume_l": -1}),
    (stabilising.sorbic_added, (1.0, 4.5), {"sorbate_g": -1, "volume_l": 0}),
    (stabilising.sorbic_needed, (12.0, 3.4), {"abv": -1, "ph": 9}),
    (sucrose.brix_from_gravity, (1.09,), {"gravity": 1090}),
    (sucrose.gravity_from_brix, (22.0,), {"brix": 99}),
    (sucrose.plato_from_gravity, (1.09,), {"gravity": 1090}),
    (sucrose.density_from_gravity, (1.09,), {"gravity": 1090}),
    (sucrose.gravity_from_density, (1.09,), {"density_kg_l": 1090}),
    (sucrose.sugar_from_gravity, (1.09,), {"gravity": 1090}),
    (sucrose.gravity_from_sugar, (200.0,), {"sugar_g_l": 2000}),
    (sulphite.sulphite_pk, (12.0, 22.0), {"abv": 30, "temperature_c": 50}),
    (sulphite.molecular_fraction, (3.4,), {"ph": 9}),
    (sulphite.molecular_so2, (30.0, 3.4), {"free_so2_mg_l": -1, "ph": 9}),
    (sulphite.free_so2_needed, (3.4, 0.8), {"ph": 9, "molecular_mg_l": -1}),
    (sulphite.sulphite_to_add, (50.0, 4.5), {"so2_mg_l": -1, "volume_l": -1}),
    (sulphite.so2_added, (0.4, 4.5), {"sulphite_g": -1, "volume_l": 0}),
    (
        sulphite.tablets_to_add,
        (50.0, 4.5, 0.44),
        {"so2_mg_l": -1, "volume_l": -1, "tablet_g": 0},
    ),
    (
        composition.juice_sugar_from_brix,
        (22.0, 0.12),
        {"brix": 99, "other_solids_fraction": 1.1},
    ),
    (
        sulphite.so2_dose_for_free,
        (10.0, 32.0, 0.4),
        {"free_so2_mg_l": -1, "target_free_so2_mg_l": -1, "bound_fraction": 1},
    ),
    (sulphite.solution_ml, (0.2, 10.0), {"powder_g": -1, "grams_per_100_ml": 0}),
    (
        sweetening.sugar_to_gravity,
        (1.0, 1.01, 4.5),
        {"gravity": 2, "target_gravity": 2, "volume_l": -1},
    ),
    (
        sweetening.sugar_to_sweeten,
        (2.0, 20.0, 4.5),
        {"sugar_g_l": -1, "target_sugar_g_l": -1, "volume_l": -1},
    ),
    (
        sweetening.sugar_after_sweetening,
        (2.0, 4.5, 0.1),
        {"sugar_g_l": -1, "volume_l": 0, "sugar_kg": -1},
    ),
    (
        sweetening.diluted_by_sweetening,
        (12.0, 4.5, 0.1),
        {"value": -1, "volume_l": 0, "sugar_kg": -1},
    ),
    (
        sweetening.bench_to_batch,
        (4.2, 0.195, 4.5),
        {"bench_dose": -1, "bench_volume_l": 0, "volume_l": -1},
    ),
    (tabarie.dealcoholised_gravity, (0.995, 12.0), {"gravity": 0.8, "abv": -1}),
    (tabarie.dry_extract, (0.995, 12.0), {"gravity": 0.8, "abv": -1}),
    (tannin.tannin_added, (0.5, 4.5), {"tannin_g": -1, "volume_l": 0}),
    (
        tannin.tannin_exposure,
        (0.4, 2.0, 0.5, 1.0, 6.0),
        {
            "fruit_load": -1,
            "tannin_class": 4,
            "skins_share": 1.1,
            "days_before_yeast": -1,
            "days_after_yeast": -1,
        },
    ),
    (units.celsius_from_fahrenheit, (68.0,), {"temperature_f": -500}),
    (units.fahrenheit_from_celsius, (20.0,), {"temperature_c": -300}),
    (units.grams_per_litre_from_pounds_per_gallon, (1.0,), {"pounds_per_gallon": -1}),
    (water.water_density, (20.0,), {"temperature_c": 101}),
]
# Not elementwise: lists of wines, entries, counts, words; and the two that other tests cover.
OTHERS = {
    "alcohol_ledger",
    "alcohol_spread",
    "banana_sugar_and_starch",
    "blend",
    "blend_alcohol",
    "checked",
    "chosen",
    "doubts",
    "enzyme_window",
    "equivalent_original_gravity",
    "gravity_pair",
    "hits_needed",
    "is_valid",
    "limit",
    "p_value",
    "returned",
    "share_of_first",
    "so2_limit_eu",
    "wine_gravity",
}
EACH = [pytest.param(case, id=case[0].__name__) for case in CASES]
PLACES = [
    pytest.param((function, arguments, place, bad), id=f"{function.__name__}-{name}")
    for function, arguments, impossible in CASES
    for place, (name, bad) in enumerate(impossible.items())
]


def with_array(arguments, place, values):
    return (*arguments[:place], np.array(values, dtype=float), *arguments[place + 1 :])


def public_functions():
    for module in pkgutil.iter_modules(enology.__path__):
        members = vars(import_module(f"pipeline.enology.{module.name}")).items()
        for name, member in members:
            is_own = inspect.isfunction(member) and member.__module__.startswith("pipeline.enology")
            if is_own and not name.startswith("_"):
                yield member


def test_no_function_is_left_out():
    tested = {function.__name__ for function, _, _ in CASES}
    assert {function.__name__ for function in public_functions()} == tested | OTHERS


@pytest.mark.parametrize("case", EACH)
def test_floats_give_a_float(case):
    function, arguments, _ = case
    assert type(function(*arguments)) is float
    assert np.isfinite(function(*arguments))


@pytest.mark.parametrize("case", PLACES)
def test_an_array_keeps_its_shape_and_its_values(case):
    function, arguments, place, _ = case
    value = arguments[place]
    many = function(*with_array(arguments, place, [[value, value, value]]))
    assert many.shape == (1, 3)
    assert many == pytest.approx(function(*arguments))


@pytest.mark.parametrize("case", PLACES)
def test_unknown_stays_unknown(case):
    function, arguments, place, bad = case
    value = arguments[place]
    many = function(*with_array(arguments, place, [value, np.nan, bad]))
    assert np.isnan(many).tolist() == [False, True, True]
    lone = (*arguments[:place], np.nan, *arguments[place + 1 :])
    assert np.isnan(function(*lone))


@pytest.mark.parametrize("case", PLACES)
def test_an_odd_row_stops_nothing(case):
    # Warnings are errors here, so a stray division or logarithm would show.
    function, arguments, place, _ = case
    odd = [arguments[place], np.nan, np.inf, -np.inf, 0.0, 1e12, -1e12]
    many = function(*with_array(arguments, place, odd))
    assert many[0] == pytest.approx(function(*arguments))
    assert not np.isinf(many).any()


@pytest.mark.parametrize("case", EACH)
def test_the_impossible_is_refused_by_name_value_and_range(case):
    function, arguments, impossible = case
    for place, (name, bad) in enumerate(impossible.items()):
        wrong = (*arguments[:place], bad, *arguments[place + 1 :])
        with pytest.raises(ValueError, match=rf"{name} must be .*, got {bad:g}"):
            function(*wrong)


@pytest.mark.parametrize(
    ("low", "high", "rule"),
    [(0, 1, "between 0 and 1 L"), (0, np.inf, "at least 0 L"), (-np.inf, -1, "at most -1 L")],
)
def test_ranges_are_worded(low, high, rule):
    bad = 2 if high < 2 else -5
    with pytest.raises(ValueError, match=f"volume_l must be {rule}, got {bad}"):
        checked(bad, "volume_l", low, high, "L")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: acidity.convert_acidity(1, "lemon"),
            "from_acid must be one of tartaric, .*'lemon'",
        ),
        (lambda: deacidification.base_to_remove(1, 1, "lime"), "base must be one of .* got 'lime'"),
        (
            lambda: deacidification.base_to_remove(
                1, 1, "calcium carbonate", is_tartrate_precipitating=True
            ),
            "only potassium bicarbonate counts twice",
        ),
        (lambda: nitrogen.nitrogen_needed(1.09, "greedy"), "demand must be one of low, medium"),
        (lambda: sulphite.molecular_fraction(3.4, "oiv"), "abv must be given for the oiv constant"),
        (lambda: sulphite.molecular_fraction(3.4, "mine"), "constant must be one of customary"),
        (lambda: sulphite.so2_added(1, 1, "salt"), "salt must be one of potassium metabisulphite"),
        (
            lambda: composition.banana_sugar_and_starch("soft"),
            "ripeness must be one of under, ripe",
        ),
        (lambda: enzymes.enzyme_window("rennet"), "enzyme must be one of pectic enzyme, amylase"),
        (lambda: alcohol.alcohol_linear(1.00, 1.02), "use the ledger if sugar went in between"),
        (lambda: validity.doubts("nothing"), "relation must be one of .* got 'nothing'"),
        (lambda: blending.blend([1, 1], [3.2, 3.6], "pH"), "cannot be averaged"),
        (lambda: blending.blend([1], [3, 4], "acid"), "as many as volumes_l .1., got 2"),
        (lambda: blending.blend([0, 0], [3, 4], "acid"), "not all 0"),
        (lambda: blending.share_of_first(12, 11, 14), "target must be between 12 and 11"),
        (lambda: blending.share_of_first(12, 12, 12), "which must differ"),
    ],
)
def test_refusals_say_what_would_do(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_a_gravity_that_rose_is_unknown_in_an_array_and_zero_if_only_noise():
    strength = alcohol.alcohol_from_gravities(
        np.array([1.080, 1.080, 1.080]), np.array([1.080, 1.082, 1.095])
    )
    assert strength[:2] == pytest.approx([0, 0])
    assert np.isnan(strength[2])


def test_share_of_first_is_unknown_where_it_cannot_be():
    share = blending.share_of_first(np.array([15, 15, np.nan]), 11.0, np.array([12, 18, 12]))
    assert share[0] == pytest.approx(0.25)
    assert np.isnan(share[1:]).all()


def test_a_must_of_water_has_no_attenuation():
    assert np.isnan(extract.apparent_attenuation(1.0005, 1.0))
    assert np.isnan(extract.real_attenuation(1.0005, 1.0))


def test_arrays_broadcast_against_each_other():
    both = alcohol.alcohol_from_gravities(np.array([[1.08], [1.10]]), np.array([0.99, 1.0, 1.01]))
    assert both.shape == (2, 3)
    assert both[1, 2] == pytest.approx(alcohol.alcohol_from_gravities(1.10, 1.01))
