"""What the numbers on the way to an answer are called, and how they are written."""

import re
from dataclasses import replace
from functools import cache

from pipeline.cellar.comments import column_comments
from pipeline.show.measures import Measure, measure_of, measures
from pipeline.show.units import NOT_KNOWN, Units
from pipeline.show.words_harsh import FACTORS, factor_name

OF, AT, CHANGE = " of ", " at ", "change of "
# Measures that are told at several loads, or on several musts.
_LOOKED_UP = (
    "finished_fraction",
    "chance_stuck",
    "final_gravity",
    "equivalent",
    "water_per_litre_of_target",
)
# Numbers on the way that no answer names.
_NAMES = {
    "sugar_g": "sugar",
    "fruit_sugar_g": "sugar from the fruit",
    "fruit_acid_g": "acid from the fruit",
    "fruit_acid_g_l": "acid from fruit and juice",
    "fruit_liquid_l": "juice in the fruit",
    "fruit_strained_l": "juice that runs off",
    "fruit_displaced_l": "room of the fruit",
    "sugar_l": "room of the sugar",
    "late_sugar_kg": "sugar fed later",
    "must_l": "strained must",
    "strained_expected_l": "must to be strained",
    "liquid_l": "liquid in the vessel",
    "equivalent_gravity": "start with all sugar in it",
    "alcohol_before_topping": "strength before topping up",
    "undiluted_share": "share that is not topping up",
    "undiluted_sugar_g_l": "sugar left, by gravity and strength",
    "sugar_at_start_g_l": "sugar at the start",
    "sugar_in_all_g_l": "sugar in all",
    "before_l": "liquid before",
    "sugar_kg": "sugar",
    "added_l": "liquid added",
    "kg": "weight",
    "nitrogen_g": "nitrogen in the nutrient",
    "nitrogen_added_mg_l": "nitrogen added",
    "so2_g": "sulphur dioxide in the sulphite",
    "so2_added_mg_l": "sulphite added",
    "ta_tartaric_g_l": "acidity, as tartaric",
    "skins_share": "skins left on",
    "contact_days": "days on the fruit",
    "ferment_temperature_c": "warmth of the ferment",
    "taste_day": "age at tasting",
    "sweeten_to_g_l": "sugar wanted",
    "bottles": "bottles",
    "rackings": "rackings",
    "harshness": "harshness",
    "score": "score",
    "cost": "cost",
    "gravity": "gravity",
    "last_gravity": "last gravity",
    "equivalent": "gravity at the start",
    "volume_l": "volume",
    "grams": "weight",
    "rise_mg_l": "still to add",
    "molecular_target_mg_l": "molecular sulphite that protects",
    "free_needed_mg_l": "free sulphite needed",
    "free_now_mg_l": "free sulphite now",
    "total_added_before_mg_l": "added so far",
    "total_added_after_mg_l": "added in all",
    "solution_10_percent_ml": "as a 10 % solution",
    "level_teaspoons": "level teaspoons",
    "teaspoon_error": "how far a spoon may be out",
    "pressure_if_it_ferments_bar": "pressure if it ferments again",
    "filled_l": "room that all of it takes",
    "smallest_l": "smallest bucket",
    "jar_l": "must to be strained",
    "written_for_l": "volume it is written for",
    "factor": "times as much",
    "amount_kg": "amount",
    "amount_l": "amount",
    "removed_day": "day it comes out",
    "day": "day",
    "pieces": "packets or tablets",
    "headspace_fraction": "room for the cap and the foam",
    "effect_mean": "difference",
    "mae": "average error",
    "rmse": "typical error",
    "baseline_mae": "average error of the best simple guess",
    "coverage_90": "share inside the range",
    "width_90": "width of the range",
    "variance": "how much varies (square of the spread), in the model's own steps,",
    "interval_width_now": "width of the range now",
    "interval_width_after": "width of the range afterwards",
}
_POWDER_UP_TO_KG = 0.06  # lighter than this is weighed in grams by everybody
# What a name ends in that its unit says already.
_SUFFIX = re.compile(r"_(?:mg_l|g_l|kg_l|l_kg|kg|l|ml|g|c|percent|bar)$")
# Unit: the measure that is written in it, whatever the number is called.
_OF_UNIT = {
    "L": "finished_volume",
    "kg": "fruit",
    "SG": "final_gravity",
    "% vol": "alcohol",
    "°C": "must_temperature",
    "kg/L": "fruit_load",
    "L/kg": "litres_per_kg",
    "money": "cost",
    "of 10": "harshness",
    "0–10": "harshness",
    "points": "points",
    "share 0–1": "finished_fraction",
    "chance 0–1": "chance_stuck",
    "1": "finished_fraction",
}
# Units that say nothing a reader needs.
_UNSAID = frozenset({"SG", "0–3", "1", "money", "batches", "bottles", "pH"})


def name_of_number(measure: str, units: Units) -> str:
    """Return what a measure is called, with whose it is where it is one of several."""
    if measure.startswith(CHANGE):
        return f"{CHANGE}{name_of_number(measure.removeprefix(CHANGE), units)}"
    base, at, where = measure.partition(AT)
    if at and base in _LOOKED_UP:
        return f"{name_of_number(base, units)}, {where.replace('_', ' ')}"
    base, of, whose = measure.partition(OF)
    return f"{_name(base, units)}{of}{whose}"


def _name(base: str, units: Units) -> str:
    if base in _NAMES:
        return _NAMES[base]
    factor, colon, told = base.partition(":")
    if factor in FACTORS and colon:
        return f"{factor_name(factor)}{colon}{told}"
    known = measure_of(base, units).name
    if known != base.replace("_", " "):
        return known
    meaning = _meanings().get(base, "")
    return (meaning[:1].lower() + meaning[1:]).rstrip(".") or _SUFFIX.sub("", base).replace(
        "_", " "
    )


@cache
def _meanings() -> dict[str, str]:
    return dict(column_comments().sort("table").select("column", "meaning").iter_rows())


def written_number(measure: str, value: float | None, unit: str, units: Units) -> str:
    """Write a number in the logbook's units."""
    if value is None:
        return NOT_KNOWN
    if unit == "kg" and abs(value) < _POWDER_UP_TO_KG:
        return Measure("", "g", 2).write(1000 * value)
    return measure_of_step(measure, unit, units).write(value)


def measure_of_step(measure: str, unit: str, units: Units) -> Measure:
    """Return how the number of a step is written: as its unit is, else as its name is."""
    if measure.startswith(CHANGE):
        changed = measure.removeprefix(CHANGE)
        return measure_of_step(changed, unit, units).difference()
    known = measures(units)
    base = measure.partition(OF)[0]
    if unit in _OF_UNIT:
        return known[_OF_UNIT[unit]]
    found = measure_of(base, units)
    decimals = 0 if unit in ("days", "batches") else found.decimals
    if found.unit or found.is_fixed or unit in _UNSAID:
        return replace(found, decimals=decimals)
    return replace(found, unit=unit, decimals=decimals)
