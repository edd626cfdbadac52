"""The worked logbook: four batches whose every value was worked out by hand beforehand.

It fixes what the words of the logbook's contract mean; `worked/expected.md` has the reasoning and
the tolerances repeated here.
"""

import shutil
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.cellar import Cellar, load_cellar

WORKED = Path(__file__).parent / "worked"
TODAY = date(2026, 11, 1)


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Cellar:
    folder = tmp_path_factory.mktemp("logbook") / "worked"
    shutil.copytree(WORKED, folder)
    return load_cellar(folder, today=TODAY)


# batch, column, expected, tolerance (0: to the last digit given)
EXPECTED = [
    ("W1", "target_volume_l", 4.5, 0),
    ("W2", "target_volume_l", 4.546, 0.0005),
    ("W3", "target_volume_l", 3.785, 0.0005),
    ("W4", "target_volume_l", 4.5, 0),
    ("W1", "fruit_kg", 1.5, 0),
    ("W2", "fruit_kg", 1.814, 0.0005),
    ("W3", "fruit_kg", 1.503, 0.0005),
    ("W4", "fruit_kg", 1.5, 0),
    ("W4", "fruit_error_kg", 0.15, 1e-9),
    ("W1", "sugar_kg", 0.9, 1e-9),
    ("W2", "sugar_kg", 0.680 + 0.227, 0.001),
    ("W2", "late_sugar_kg", 0.227, 0.0005),
    ("W3", "sugar_kg", 1.021, 0.0005),
    ("W1", "water_l", 3.2, 0),
    ("W3", "water_l", 3.312, 0.0005),
    ("W4", "water_l", 3.2, 0),
    ("W1", "fruit_load_kg_l", 0.333, 0.0005),
    ("W2", "fruit_load_kg_l", 0.399, 0.0005),
    ("W3", "fruit_load_kg_l", 0.397, 0.0005),
    ("W4", "fruit_load_kg_l", 0.333, 0.0005),
    *(
        (batch, "contact_days", days, 0)
        for batch, days in zip(("W1", "W2", "W3", "W4"), (7, 10, 7, 7), strict=True)
    ),
    *((batch, "contact_days_before_yeast", 1, 0) for batch in ("W1", "W2", "W3", "W4")),
    *(
        (batch, "contact_days_after_yeast", days, 0)
        for batch, days in zip(("W1", "W2", "W3", "W4"), (6, 9, 6, 6), strict=True)
    ),
    ("W1", "original_gravity", 1.0846, 0.0006),
    ("W2", "original_gravity", 1.072, 0),
    ("W3", "original_gravity", 1.096, 0.0005),
    ("W4", "original_gravity", 1.082, 0),
    ("W1", "final_gravity", 0.994, 0),
    ("W2", "final_gravity", 0.996, 0),
    ("W3", "stuck_gravity", 1.0235, 0),
    ("W2", "equivalent_gravity", 1.092, 0.003),
    ("W1", "apparent_attenuation", 1.077, 0.005),
    ("W3", "apparent_attenuation", 0.735, 0.0075),
    ("W1", "real_attenuation", 0.87, 0.01),
    ("W3", "real_attenuation", 0.59, 0.01),
    ("W1", "alcohol", 12.1, 0.3),
    ("W2", "alcohol_before_topping", 12.9, 0.5),
    ("W2", "alcohol", 10.3, 0.5),
    ("W3", "alcohol", 9.7, 0.3),
    ("W1", "dry_extract_g_l", 25, 2),
    ("W3", "dry_extract_g_l", 95, 4),
    ("W1", "strained_l", 4.25, 0),
    ("W1", "racked_l", 3.95, 0),
    ("W1", "bottled_l", 3.75, 0),
    ("W1", "bottles", 5, 0),
    ("W2", "strained_l", 3.3, 0),
    ("W2", "racked_l", 3.0, 0),
    ("W2", "topped_up_l", 0.75, 0),
    ("W2", "bottled_l", 3.6, 0),
    ("W2", "bottles", 4.8, 1e-9),
    ("W3", "strained_l", 3.785, 0.0005),
    ("W3", "racked_l", 3.6, 0),
    ("W4", "strained_l", 4.3, 0),
    ("W1", "finished_fraction", 0.833, 0.0005),
    ("W2", "finished_fraction", 0.792, 0.0005),
    ("W1", "finished_fraction_net", 0.833, 0.0005),
    ("W2", "finished_fraction_net", 0.627, 0.0005),
    ("W1", "cost_per_bottle", 1.16, 1e-9),
    ("W2", "cost_per_bottle", 0.48, 0.005),
    ("W1", "nitrogen_added_mg_l", 150, 0.5),
    ("W1", "ammonium_phosphate_g_l", 0.71, 0.005),
    ("W1", "acid_added_g_l", 3.31, 0.005),
    ("W1", "molecular_so2_mg_l", 0.70, 0.005),
]


@pytest.mark.parametrize(("batch", "column", "expected", "tolerance"), EXPECTED)
def test_value(cellar: Cellar, batch: str, column: str, expected: float, tolerance: float) -> None:
    assert cellar.batch(batch)[column] == pytest.approx(expected, abs=tolerance or 1e-12)


@pytest.mark.parametrize(
    ("batch", "column"),
    [
        ("W3", "final_gravity"),
        ("W4", "final_gravity"),
        ("W4", "sugar_kg"),
        ("W4", "alcohol"),
        ("W3", "bottled_l"),
        ("W4", "finished_fraction"),
    ],
)
def test_unknown_is_unknown_and_not_nought(cellar: Cellar, batch: str, column: str) -> None:
    assert cellar.batch(batch)[column] is None


@pytest.mark.parametrize(
    ("batch", "state"), [("W1", "bottled"), ("W2", "bottled"), ("W3", "stuck"), ("W4", "ageing")]
)
def test_state(cellar: Cellar, batch: str, state: str) -> None:
    assert cellar.batch(batch)["state"] == state


@pytest.mark.parametrize(
    ("batch", "made"), [("W1", "on_top"), ("W2", "to_mark"), ("W3", "on_top"), ("W4", "on_top")]
)
def test_water_on_top_and_to_the_mark_are_told_apart(cellar: Cellar, batch: str, made: str) -> None:
    assert cellar.batch(batch)["made"] == made


def test_rows_read_are_rows_loaded_and_rows_set_aside(cellar: Cellar) -> None:
    counts = {
        row["file"]: (row["rows_read"], row["rows_loaded"], row["rows_set_aside"])
        for row in cellar.table("files").iter_rows(named=True)
    }
    assert counts == {
        "batches.csv": (4, 4, 0),
        "additions.csv": (20, 19, 1),
        "readings.csv": (13, 12, 1),
        "transfers.csv": (9, 9, 0),
        "tastings.csv": (5, 4, 1),
    }


def test_glasses_of_the_worked_logbook(cellar: Cellar) -> None:
    glasses = cellar.table("glasses")
    harshness = glasses["harshness"].round(2).to_list()
    assert harshness == [2.0, 3.0, 5.33, 4.0]
    assert glasses["is_harsh"].to_list() == [False, False, True, False]
    assert glasses.filter(pl.col("batch_id") == "W1")["age_days"].to_list() == [240, 240]
    assert glasses["sweetened_to_g_l"].to_list() == [None, None, None, 20.0]


def test_refractometer_after_fermentation_is_no_gravity_but_an_estimate(cellar: Cellar) -> None:
    late = cellar.table("readings").filter(pl.col("refractometer_brix").is_not_null())
    assert late["gravity"].to_list() == [None]
    assert late["gravity_estimated"].item() == pytest.approx(1.013, abs=0.012)


@pytest.mark.parametrize(
    "check",
    [
        "check_rows_add_up",
        "check_one_row_a_batch",
        "check_glasses_and_readings_kept",
        "check_gravities_fall",
    ],
)
def test_no_sql_check_finds_a_failing_row(cellar: Cellar, check: str) -> None:
    assert cellar.table(check).is_empty()


def test_cellar_is_rebuilt_only_when_something_changed(tmp_path: Path) -> None:
    folder = tmp_path / "worked"
    shutil.copytree(WORKED, folder)
    told: list[str] = []
    load_cellar(folder, today=TODAY, say=told.append)
    load_cellar(folder, today=TODAY, say=told.append)
    assert len(told) == 1
    with (folder / "readings.csv").open("a", encoding="utf-8") as file:
        file.write("W1,2026-02-01,0.9935,,20 C,,,,,,\n")
    again = load_cellar(folder, today=TODAY, say=told.append)
    assert len(told) == 2
    assert again.batch("W1")["final_gravity"] == 0.9935
