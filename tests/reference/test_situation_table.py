"""Every situation that makers report, the command that answers it, and the test that holds it."""

import ast
from pathlib import Path

import pytest

from pipeline.calls import COMMANDS

TESTS = Path(__file__).parents[1]
FORMULAS, ANSWERS = "reference/test_situations.py", "reference/test_situation_commands.py"
ENTRIES = "reference/test_situation_entries.py"
CHECKS, TRAPS = "unit/logbook/test_checks_batches.py", "unit/logbook/test_traps.py"
CELLS, WORKED = "unit/logbook/test_cells.py", "whole/test_worked_logbook.py"
_CHECKED = "test_check_takes_no_brix_for_a_gravity_and_no_date_for_an_amount"

# number, what the maker asks, command, (file, test) that holds the worked answer
SITUATIONS = [
    (1, "four and a half bottles from a six-bottle jar", "load",
     [(FORMULAS, "test_four_and_a_half_bottles_from_a_six_bottle_jar"), (WORKED, "test_value"),
      (ENTRIES, "test_load_tells_what_a_jar_yielded")]),
    (2, "topped up with water, then read the gravity", "load",
     [(FORMULAS, "test_topping_up_with_water_drops_gravity_and_strength"),
      ("unit/cellar/test_tables.py",
       "test_topping_up_with_wine_does_not_dilute_and_with_water_does"),
      (ENTRIES, "test_load_takes_topping_up_with_water_for_dilution")]),
    (4, "gallons of water, or water to the gallon", "sheet",
     [(FORMULAS, "test_a_gallon_on_top_or_made_up_to_a_gallon"),
      (ANSWERS, "test_sheet_tells_a_gallon_on_top_from_up_to_a_gallon")]),
    (5, "British recipe, American jug", "sheet",
     [(FORMULAS, "test_british_recipe_in_an_american_jug"),
      (ANSWERS, "test_sheet_scales_a_british_recipe_to_an_american_jug")]),
    (7, "how big the bucket must be", "sheet",
     [(FORMULAS, "test_bucket_for_a_pulp_ferment"),
      (ANSWERS, "test_sheet_names_a_bucket_with_room_for_the_cap")]),
    (8, "must raised to 1.085: do the numbers agree", "bench",
     [(FORMULAS, "test_must_raised_to_1085_implies_its_volume"),
      (ENTRIES, "test_bench_says_which_volume_a_first_gravity_speaks_of")]),
    (9, "measured start below the recipe's sum", "bench",
     [(FORMULAS, "test_measured_gravity_below_the_recipe_sum"),
      (ENTRIES, "test_bench_offers_both_reasons_for_a_first_gravity_below_the_sum")]),
    (10, "hydrometer that reads 1.004 in water", "load",
     [(FORMULAS, "test_hydrometer_that_reads_1004_in_water"),
      (ENTRIES, "test_load_corrects_what_a_hydrometer_reads")]),
    (12, "stopped at 1.005", "bench",
     [(FORMULAS, "test_stopped_at_1005"), (ANSWERS, "test_bench_says_1005_is_not_13_grams")]),
    (14, "the potential scale is not the strength", "bench",
     [(FORMULAS, "test_potential_scale_is_what_is_still_to_come"),
      (ANSWERS, "test_bench_refuses_a_strength_without_a_start")]),
    (15, "warm must", "load",
     [(FORMULAS, "test_warm_must"), (FORMULAS, "test_hot_must_is_flagged_not_trusted"),
      (ENTRIES, "test_load_corrects_what_a_hydrometer_reads")]),
    (18, "sweeten five gallons", "bench",
     [(FORMULAS, "test_sweeten_five_gallons"),
      (ANSWERS, "test_bench_sweetens_five_gallons_to_a_gravity")]),
    (20, "a teaspoon in a glass", "bench",
     [(FORMULAS, "test_a_teaspoon_in_a_glass_is_not_1020"),
      (ANSWERS, "test_bench_ladder_reads_like_the_teaspoon_in_a_glass")]),
    (21, "fed in steps", "load",
     [(FORMULAS, "test_step_feeding"), (ENTRIES, "test_load_counts_sugar_fed_later")]),
    (23, "five-gallon dose in one gallon", "bench",
     [(FORMULAS, "test_five_gallon_dose_in_one_gallon"),
      (CHECKS, "test_a_slip_of_the_sulphite_spoon"),
      (ANSWERS, "test_bench_blocks_a_dose_meant_for_a_larger_vessel")]),
    (24, "same sulphite at another pH", "bench",
     [(FORMULAS, "test_free_so2_for_a_molecular_target"),
      (ANSWERS, "test_bench_asks_for_free_sulphite_by_ph"),
      (ANSWERS, "test_bench_gives_no_verdict_without_a_ph")]),
    (25, "sorbate by strength and pH", "bench",
     [(FORMULAS, "test_half_a_teaspoon_is_about_double_the_need"),
      (ANSWERS, "test_bench_sorbate_stays_under_the_ceiling")]),
    (27, "sweet, still, bottled, then fizz", "bench",
     [(FORMULAS, "test_ten_grams_of_sugar_in_a_closed_bottle"),
      (CHECKS, "test_sweet_in_the_bottle"),
      (ANSWERS, "test_bench_warns_of_pressure_whenever_sugar_goes_in")]),
    (28, "syrup that will not ferment", "bench",
     [(CHECKS, "test_no_start_is_not_stuck"),
      ("unit/advice/test_bench_troubles.py",
       "test_a_must_that_never_started_is_not_called_stuck")]),
    (31, "rhubarb and an ounce of chalk", "bench",
     [(FORMULAS, "test_rhubarb_and_an_ounce_of_chalk"),
      ("unit/advice/test_bench.py", "test_acid_down_goes_in_steps"),
      (ENTRIES, "test_bench_takes_chalk_by_the_litre")]),
    (32, "titration volume, normality, sample", "bench",
     [(FORMULAS, "test_titration"),
      (ANSWERS, "test_bench_works_out_a_titration"),
      (ANSWERS, "test_bench_works_out_no_titration_without_its_normality")]),
    (34, "a strong wine down to twelve", "bench",
     [(FORMULAS, "test_fifteen_per_cent_down_to_twelve"),
      (ANSWERS, "test_bench_blends_a_strong_wine_with_a_mild_one"),
      (ANSWERS, "test_bench_thins_a_strong_wine")]),
    (35, "four tablespoons of citric acid", "sheet",
     [(FORMULAS, "test_strawberries_with_four_tablespoons_of_citric_acid"),
      (ANSWERS, "test_sheet_adds_the_acid_of_fruit_and_spoon")]),
    (37, "twins, one stuck", "bench",
     [(WORKED, "test_state"), (ANSWERS, "test_bench_tells_stuck_smell_and_haze_apart")]),
    (38, "rotten eggs and copper", "bench",
     [(FORMULAS, "test_copper_in_a_bench_glass"),
      ("unit/advice/test_bench_troubles.py", "test_smell_and_haze_as_tasters_named_them"),
      (ANSWERS, "test_bench_tells_stuck_smell_and_haze_apart")]),
    (39, "haze: pectin or starch", "bench",
     [("unit/advice/test_bench_troubles.py",
       "test_haze_in_a_starchy_fruit_points_at_starch_first"),
      (ANSWERS, "test_bench_tells_stuck_smell_and_haze_apart")]),
    (40, "two batches, pressed early and late", "harsh",
     [("unit/learning/test_explain.py",
       "test_of_a_few_batches_whatever_differs_in_one_goes_together"),
      (ENTRIES, "test_harsh_gives_no_verdict_from_two_batches")]),
    (42, "how much must to finish 4.5 L", "volume",
     [("reference/test_situation_volume.py", "test_the_interval_for_a_new_batch"),
      (ENTRIES, "test_predict_and_volume_find_what_a_kilogram_keeps_back")]),
    (44, "one recipe against another", "tasting",
     [("unit/advice/test_tasting.py", "test_two_recipes_that_seven_scores_cannot_tell_apart"),
      (ANSWERS, "test_seven_scores_do_not_separate_two_recipes"),
      (ENTRIES, "test_tasting_finds_no_difference_in_seven_scores")]),
    (45, "scores on two scales", "check", [(CELLS, "test_faults"), (ENTRIES, _CHECKED)]),
    (46, "1090, 1.090 and 22 in one column", "check",
     [(CELLS, "test_faults"), (TRAPS, "test_a_decimal_comma_is_read_by_the_rule_of_the_logbook"),
      (ENTRIES, _CHECKED)]),
    (47, "the cell that says 02-Jan", "check",
     [(TRAPS, "test_fractions_that_became_dates_are_never_turned_back"), (ENTRIES, _CHECKED)]),
    (48, "nothing was labelled", "load",
     [(WORKED, "test_unknown_is_unknown_and_not_nought"),
      ("unit/cellar/test_tables.py", "test_without_a_usable_start_alcohol_is_unknown")]),
]  # fmt: skip
NAMES = {f"{number} {words}": (command, held) for number, words, command, held in SITUATIONS}


def _tests_in(path):
    tree = ast.parse((TESTS / path).read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize("situation", NAMES)
def test_a_command_answers_and_a_test_holds_the_answer(situation):
    command, held = NAMES[situation]
    assert command in {one.name for one in COMMANDS}
    # A formula alone is no answer: a command's own answer, or a row read whole, is held too.
    assert {path for path, _ in held} - {FORMULAS}
    for path, name in held:
        assert name in _tests_in(path), f"{path}: {name}"


def test_each_situation_stands_once():
    numbers = [number for number, *_ in SITUATIONS]
    assert numbers == sorted(set(numbers))
