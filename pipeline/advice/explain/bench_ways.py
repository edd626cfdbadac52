"""Which number of the bench follows from which, by which formula."""

from __future__ import annotations

from pipeline.advice.bench.sweetening import GLASS_L
from pipeline.advice.explain import bench
from pipeline.advice.explain import blend as blends
from pipeline.advice.explain.plain import Way, constant, from_others, typed
from pipeline.advice.trace.sources import source_of
from pipeline.enology.blending import share_of_first, water_to_dilute
from pipeline.enology.carbonation import bottle_overpressure
from pipeline.enology.stabilising import sorbate_to_add, sorbic_needed
from pipeline.enology.sulphite import free_so2_needed, molecular_so2
from pipeline.enology.sulphite_doses import so2_dose_for_free, solution_ml, sulphite_to_add
from pipeline.enology.sweetening import (
    bench_to_batch,
    diluted_by_sweetening,
    sugar_after_sweetening,
    sugar_to_sweeten,
)

_BENCH = "advice.bench"


def _same(name: str) -> Way:
    return from_others(_BENCH, name, work=lambda value: value)


_ADDED = ("residual_sugar_g_l", "alcohol_percent", "volume_l", "batch_sugar_kg")
_READINGS: dict[str, Way] = {
    "*readings.*.line": bench.line_of_reading,
    "*readings.*.value": bench.reading,
    "*readings.*": bench.of_the_mart,
}
# What a wine is once sugar was stirred in, wherever that is said.
_SWEETENED: dict[str, Way] = {
    "*.batch_sugar_kg": bench.sugar_for,
    "*.gravity_after": bench.gravity_after,
    "*.sugar_after_g_l": from_others(
        sugar_after_sweetening, "residual_sugar_g_l", "volume_l", "batch_sugar_kg"
    ),
    "*.alcohol_after_percent": from_others(
        diluted_by_sweetening, "alcohol_percent", "volume_l", "batch_sugar_kg"
    ),
    "*.pressure_if_it_ferments_bar": from_others(
        bottle_overpressure, *_ADDED, work=bench.pressure_of
    ),
}
_MEASURED_OUT: dict[str, Way] = {
    "*.glass_syrup_ml": from_others(solution_ml, "glass_sugar_g", "syrup_g_per_100_ml"),
    "*.solution_10_percent_ml": from_others(solution_ml, "grams"),
    "*.level_teaspoons": bench.in_spoons,
    "*.teaspoon_error": constant("logbook.quantity_cells.SPOON_ERROR"),
}
BENCH_WAYS: dict[str, Way] = {
    **_READINGS,
    "sweeten.target_sugar_g_l": typed("--sweeten-to"),
    "sweeten.glass_l": constant("advice.bench.sweetening.GLASS_L"),
    "sweeten.syrup_g_per_100_ml": constant("advice.bench.sweetening.SYRUP_PERCENT"),
    "*.stirred_in_g_l": constant("advice.bench.sweetening.LADDER_G_L"),
    "*.glass_sugar_g": from_others(
        _BENCH, "stirred_in_g_l", "glass_l", work=lambda step, glass: step * glass
    ),
    "sweeten.ladder[[]].batch_sugar_kg": from_others(
        bench_to_batch,
        "glass_sugar_g",
        "glass_l",
        "volume_l",
        work=lambda grams, glass, litres: bench_to_batch(grams / 1000, glass, litres),
    ),
    "sweeten.dose.batch_sugar_kg": from_others(
        sugar_to_sweeten, "residual_sugar_g_l", "target_sugar_g_l", "volume_l"
    ),
    "gravity.target_gravity": typed("--gravity"),
    "gravity.dose.share_of_wine": from_others(share_of_first, "gravity", 1.0, "target_gravity"),
    "gravity.dose.water_l": from_others(
        _BENCH, "volume_l", "share_of_wine", work=lambda wine, share: wine * (1 / share - 1)
    ),
    "alcohol.alcohol_now_percent": _same("alcohol_percent"),
    "alcohol.target_percent": typed("--alcohol"),
    "alcohol.water_l": from_others(
        water_to_dilute, "alcohol_now_percent", "target_percent", "volume_l"
    ),
    "alcohol.share_of_wine": from_others(
        _BENCH, "volume_l", "water_l", work=lambda wine, water: wine / (wine + water)
    ),
    "alcohol.acidity_after_g_l": from_others(
        _BENCH, "acidity_g_l", "share_of_wine", work=lambda acid, share: acid * share
    ),
    "alcohol.glass_water_ml": from_others(
        _BENCH, "share_of_wine", work=lambda share: 1000 * GLASS_L * (1 - share)
    ),
    "sulphite.ph": _same("ph"),
    "sulphite.molecular_target_mg_l": constant(
        "enology.sulphite.MOLECULAR_TARGET_MG_L", source_of(free_so2_needed)
    ),
    "sulphite.free_needed_mg_l": from_others(free_so2_needed, "ph"),
    "sulphite.free_now_mg_l": _same("free_so2_mg_l"),
    "sulphite.molecular_now_mg_l": from_others(molecular_so2, "free_now_mg_l", "ph"),
    "sulphite.rise_mg_l": bench.sulphite_rise(so2_dose_for_free),
    "sulphite.dose.grams": from_others(sulphite_to_add, "rise_mg_l", "volume_l"),
    "sulphite.total_added_before_mg_l": _same("so2_added_mg_l"),
    "sulphite.total_added_after_mg_l": from_others(
        _BENCH, "total_added_before_mg_l", "rise_mg_l", work=lambda before, rise: before + rise
    ),
    "sorbate.sorbic_needed_mg_l": from_others(sorbic_needed, "alcohol_percent", "ph"),
    "sorbate.sorbic_added_before_mg_l": _same("sorbic_added_mg_l"),
    "sorbate.rise_mg_l": bench.sorbic_rise(sorbic_needed),
    "sorbate.dose.grams": from_others(sorbate_to_add, "rise_mg_l", "volume_l"),
    "acidity.acidity_now_g_l": _same("acidity_g_l"),
    "acidity.target_g_l": typed("--acidity"),
    "acidity.change_g_l": from_others(
        _BENCH, "target_g_l", "acidity_now_g_l", work=bench.acid_change
    ),
    "acidity.choices[[]].grams": bench.acid_grams,
    "acidity.choices[[]].glass_solution_10_percent_ml": bench.acid_grams,
    "blend.volume_l": blends.blended_volume,
    "blend.parts[[]].share": blends.share,
    "blend.parts[[]].volume_l": blends.of_a_part(lambda share, made: share * made),
    "blend.parts[[]].glass_ml": from_others(
        _BENCH, "share", work=lambda share: 1000 * GLASS_L * share
    ),
    "blend.parts[[]].left_l": blends.left,
    "blend.targets[[]].wanted": blends.wanted,
    "blend.targets[[]].reached": blends.reached,
    "*.volume_after_l": bench.volume_after,
    **_SWEETENED,
    "*.dose.grams": from_others(_BENCH, "batch_sugar_kg", work=lambda kg: 1000 * kg),
    **_MEASURED_OUT,
}
