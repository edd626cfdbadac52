"""Cells of every kind, read in their files: values, and what is said of those that fail."""

from datetime import date, datetime
from typing import Any

import polars as pl
import pytest
from unit.logbook.conftest import said_twice

from pipeline.logbook.contract import FILES

HEADS = {
    "batches": {"batch_id": "A1", "started_on": "2026-01-10"},
    "additions": {
        "batch_id": "A1",
        "added_on": "2026-01-10",
        "kind": "fruit",
        "ingredient": "plum",
        "amount": "2 kg",
    },
    "readings": {"batch_id": "A1", "taken_on": "2026-01-12"},
    "transfers": {
        "batch_id": "A1",
        "moved_on": "2026-01-20",
        "step": "rack",
        "volume_after": "4 L",
    },
    "tastings": {"batch_id": "A1", "tasted_on": "2026-06-01", "taster": "Ada"},
    "recipes": {
        "recipe": "plum",
        "day": "0",
        "kind": "fruit",
        "ingredient": "plum",
        "amount": "2 kg",
    },
}


def _one_row(file: str, **cells: str) -> str:
    row = HEADS[file] | cells
    quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in row.values())
    return f"{','.join(row)}\n{quoted}\n"


@pytest.mark.parametrize(
    ("name", "cells", "values"),
    [
        ("batches", {"name": " Plum  jam "}, {"name": "Plum  jam"}),
        ("batches", {"recipe": "plum   dark"}, {"recipe": "plum dark"}),
        ("batches", {"target_volume": "4.5 L"}, {"target_volume_l": 4.5}),
        ("batches", {"gallon": "US", "target_volume": "1 gal"}, {"target_volume_l": 3.785411784}),
        ("batches", {"extraction": "Cold"}, {"extraction": "cold"}),
        ("batches", {"status": "lost"}, {"status": "lost"}),
        (
            "additions",
            {"ingredient": "  White   Sugar", "kind": "sugar"},
            {"ingredient": "white sugar"},
        ),
        ("additions", {"form": "whole"}, {"form": "whole", "is_frozen": False}),
        ("additions", {"form": "Crushed Frozen"}, {"form": "crushed", "is_frozen": True}),
        ("additions", {"form": ""}, {"form": None, "is_frozen": None}),
        ("additions", {"skins": "on", "ripeness": "over"}, {"skins": "on", "ripeness": "over"}),
        ("additions", {"removed_on": "2026-01-20"}, {"removed_on": date(2026, 1, 20)}),
        ("additions", {"cost": "3.20"}, {"cost": 3.2}),
        ("additions", {"cost": "0"}, {"cost": 0.0}),
        (
            "additions",
            {"added_on": "2026-01-10 18:30"},
            {
                "added_at": datetime(2026, 1, 10, 18, 30),
                "added_on": date(2026, 1, 10),
                "has_time": True,
            },
        ),
        (
            "additions",
            {"added_on": "2026-01-10"},
            {"added_at": datetime(2026, 1, 10), "has_time": False},
        ),
        ("readings", {"gravity": "1.082"}, {"gravity_sg": 1.082, "gravity_brix": None}),
        ("readings", {"gravity": "22.5 Bx"}, {"gravity_sg": None, "gravity_brix": 22.5}),
        ("readings", {"gravity": "1.0812000000000002"}, {"gravity_sg": 1.0812000000000002}),
        ("readings", {"gravity": "1.0812000000000002 SG"}, {"gravity_sg": 1.0812000000000002}),
        ("tastings", {"score": "14.700000000000001"}, {"score": 14.700000000000001}),
        ("readings", {"ph": "3.40"}, {"ph": 3.4, "instrument": "hydrometer"}),
        ("readings", {"temperature": "68 F"}, {"temperature_c": 20.0}),
        ("readings", {"must_temperature": "24 C"}, {"must_temperature_c": 24.0}),
        ("readings", {"ta": "6.1"}, {"ta_g_l": 6.1, "ta_as": "tartaric"}),
        ("readings", {"ta": "0.62 %", "ta_as": "malic"}, {"ta_g_l": 6.2, "ta_as": "malic"}),
        ("readings", {"ta": ""}, {"ta_g_l": None, "ta_as": None}),
        ("readings", {"free_so2": "28"}, {"free_so2_mg_l": 28.0}),
        ("readings", {"free_so2": "0.035 g/L"}, {"free_so2_mg_l": 35.0}),
        ("readings", {"volume": "~4 L"}, {"volume_l": 4.0, "volume_error": 0.1}),
        ("readings", {"instrument": "refractometer"}, {"instrument": "refractometer"}),
        (
            "transfers",
            {"volume_after": "4.25 L"},
            {"volume_after_l": 4.25, "volume_after_error": 0.0},
        ),
        ("transfers", {"topped_up": "0.75 L", "topped_up_with": "wine"}, {"topped_up_l": 0.75}),
        ("transfers", {"step": "bottle", "volume_after": "", "bottles": "4½"}, {"bottles": 4.5}),
        ("tastings", {"sweetened_to": "20"}, {"sweetened_to_g_l": 20.0}),
        ("tastings", {"sweetened_to": "20 g/L"}, {"sweetened_to_g_l": 20.0}),
        ("tastings", {"blind": "Yes"}, {"is_blind": True}),
        ("tastings", {"blind": "no"}, {"is_blind": False}),
        ("tastings", {"score": "14.5"}, {"score": 14.5}),
        ("tastings", {"sweetness": "0.5"}, {"sweetness": 0.5}),
        ("tastings", {"faults": "Green ;  hazy;"}, {"faults": "green; hazy"}),
        ("recipes", {"day": "0.5"}, {"day": 0.5}),
        ("recipes", {"ferment_temperature": "68 F"}, {"ferment_temperature_c": 20.0}),
        ("recipes", {"sweeten_to": "15"}, {"sweeten_to_g_l": 15.0}),
        ("recipes", {"gallon": "imperial", "target_volume": "1 gal"}, {"target_volume_l": 4.54609}),
    ],
)
def test_values(read: Any, name: str, cells: dict[str, str], values: dict[str, Any]) -> None:
    checked = read(**{name: _one_row(name, **cells)})
    assert checked.problems.filter(pl.col("level") == "error").is_empty(), checked.problems
    row = checked.typed[name].row(0, named=True)
    for column, value in values.items():
        expected = pytest.approx(value) if isinstance(value, float) else value
        assert row[column] == expected, column


@pytest.mark.parametrize(
    ("name", "column", "cell", "rule", "message", "hint"),
    [
        (
            "batches",
            "started_on",
            "03/04/2026",
            "date-order",
            "which number is the day",
            "2026-04-03",
        ),
        ("batches", "started_on", "", "missing", "started_on must not be empty", ""),
        ("batches", "extraction", "hto", "choice", "one of cold, hot, steamed", "hot"),
        ("batches", "gallon", "uk", "choice", "gallon must be one of us, imperial", ""),
        ("batches", "target_volume", "1 gal", "which-gallon", "3.785 L) or the imperial", "us gal"),
        ("batches", "target_volume", "4.5", "no-unit", "a volume must be a number with", "4.5 L"),
        ("batches", "target_volume", "0 L", "out-of-range", "a volume must be more than 0", ""),
        ("batches", "status", "drunk", "choice", "status must be one of fermenting", ""),
        ("additions", "kind", "fruits", "choice", "kind must be one of fruit, juice", "fruit"),
        ("additions", "kind", "sulfite", "choice", "kind must be one of", "sulphite"),
        ("additions", "kind", "", "missing", "kind must not be empty", ""),
        ("additions", "ingredient", " ", "missing", "ingredient must not be empty", ""),
        ("additions", "amount", "", "missing", "amount must not be empty", "e.g. 4.5 lb"),
        ("additions", "amount", "0 kg", "out-of-range", "an amount must be more than 0", ""),
        ("additions", "amount", "-2 kg", "out-of-range", "an amount must be more than 0", ""),
        ("additions", "form", "frozen", "choice", "'frozen' after it", "whole frozen"),
        ("additions", "form", "frozen crushed", "choice", "'frozen' after it", "crushed frozen"),
        ("additions", "form", "chopped", "choice", "form must be one of whole", ""),
        ("additions", "skins", "yes", "choice", "skins must be one of on, off", ""),
        ("additions", "cost", "£3.20", "number", "cost must be a bare number", "3.20"),
        ("additions", "cost", "3,20", "number", "cost must be a bare number", "3.20"),
        ("additions", "cost", "-1", "out-of-range", "cost must be 0 or more", ""),
        ("additions", "cost", "free", "number", "cost must be a bare number", ""),
        ("readings", "gravity", "1082", "out-of-range", "between 0.980 and 1.200", "1.082"),
        ("readings", "gravity", "998", "out-of-range", "between 0.980 and 1.200", "0.998"),
        ("readings", "gravity", "1090.5", "out-of-range", "between 0.980 and 1.200", "1.0905"),
        ("readings", "gravity", "22", "out-of-range", "between 0.980 and 1.200", "22 Bx"),
        ("readings", "gravity", "-1.2", "out-of-range", "between 0.980 and 1.200", "-1.2 Bx"),
        ("readings", "gravity", "82", "out-of-range", "between 0.980 and 1.200", "1.082"),
        ("readings", "gravity", "9.96", "out-of-range", "between 0.980 and 1.200", "9.96 Bx"),
        ("readings", "gravity", "99 Bx", "out-of-range", "Brix must be between -5 and 60", ""),
        ("readings", "temperature", "20", "no-unit", "a number with a unit", "20 C or 20 F"),
        ("readings", "temperature", "300 F", "out-of-range", "between -10 and 100", ""),
        ("readings", "ph", "34", "out-of-range", "ph must be between 2 and 5", "3.4"),
        ("readings", "ph", "1.2", "out-of-range", "ph must be between 2 and 5", ""),
        ("readings", "ph", "pH 3.4", "number", "ph must be a bare number", "3.4"),
        ("readings", "ph", "NaN", "number", "ph must be a bare number", ""),
        ("readings", "ph", "inf", "number", "ph must be a bare number", ""),
        ("readings", "ph", "3.4e0", "number", "ph must be a bare number", ""),
        ("readings", "ph", "0x3", "number", "ph must be a bare number", ""),
        ("readings", "free_so2", "<10", "bound-only", "gives a bound, not a number", "notes"),
        ("readings", "instrument", "hydro", "choice", "instrument must be one of", "hydrometer"),
        ("transfers", "step", "racked", "choice", "step must be one of strain, rack", "rack"),
        ("transfers", "volume_after", "lost count", "not-a-quantity", "a volume must be", "4.5 L"),
        ("transfers", "topped_up_with", "beer", "choice", "must be one of water, wine", ""),
        ("tastings", "score", "7/10", "score-scale", "never rescaled", "leave the cell empty"),
        ("tastings", "score", "7 out of 10", "score-scale", "a scale out of 10", ""),
        ("tastings", "score", "21", "out-of-range", "between 0 and 20", "score_out_of"),
        ("tastings", "score", "-1", "out-of-range", "score must be 0 or more", ""),
        ("tastings", "score", "v. good", "number", "score must be a bare number", ""),
        ("tastings", "sweetness", "11", "out-of-range", "between 0 and 10", ""),
        ("tastings", "sweetness", "7/10", "number", "sweetness must be a bare number", ""),
        ("tastings", "blind", "y", "choice", "blind must be yes or no", "yes"),
        ("tastings", "faults", "green, hazy", "choice", "a list separated by ;", ""),
        ("tastings", "faults", "oxidized", "choice", "a list separated by ;", "oxidised"),
        ("tastings", "taster", "", "missing", "taster must not be empty", ""),
        ("recipes", "day", "-1", "out-of-range", "day must be between 0 and 3650", ""),
        ("recipes", "day", "day 3", "number", "day must be a bare number", "3"),
    ],
)
def test_faults(
    read: Any, name: str, column: str, cell: str, rule: str, message: str, hint: str
) -> None:
    checked = read(**{name: _one_row(name, **{column: cell})})
    errors = checked.problems.filter(pl.col("level") == "error", pl.col("file") == f"{name}.csv")
    assert errors.height == 1, errors
    error = errors.row(0, named=True)
    assert (error["line"], error["column"]) == (2, column)
    assert error["rule"] == rule, error
    assert message in error["message"], error
    assert hint in (error["hint"] or ""), error
    assert not said_twice(error["message"], error["hint"]), error
    if cell.strip():
        assert error["value"] == cell


def test_all_faults_of_a_row_are_named_at_once(read: Any) -> None:
    checked = read(readings=_one_row("readings", gravity="1082", ph="34", temperature="20"))
    errors = checked.problems.filter(pl.col("level") == "error")
    assert sorted(errors["column"]) == ["gravity", "ph", "temperature"]
    assert checked.files.row(by_predicate=pl.col("file") == "readings.csv")[1:] == (1, 0, 1)


def test_a_rough_reading_loads_with_a_warning(read: Any) -> None:
    checked = read(readings=_one_row("readings", gravity="~1.082"))
    assert checked.typed["readings"]["gravity_sg"].to_list() == [1.082]
    problem = checked.problems.row(0, named=True)
    assert (problem["level"], problem["rule"]) == ("warning", "rough-reading")


def test_a_unit_in_the_heading_is_that_of_bare_cells(read: Any) -> None:
    checked = read(
        readings="batch_id,taken_on,temperature [F],volume (us gal)\n"
        "A1,2026-01-12,68,1\nA1,2026-01-13,20 C,4 L\n"
    )
    assert checked.typed["readings"]["temperature_c"].to_list() == pytest.approx([20, 20])
    assert checked.typed["readings"]["volume_l"].to_list() == pytest.approx([3.785, 4], abs=1e-3)


def test_decimal_commas_where_the_logbook_says_so(read: Any) -> None:
    checked = read(
        toml='decimal = ","\n',
        batches="batch_id;started_on;target_volume\nA1;2026-01-10;4,5 L\n",
        additions="batch_id;added_on;kind;ingredient;amount;cost\n"
        "A1;2026-01-10;fruit;plum;1,36 kg;3,2\n",
        readings="batch_id;taken_on;gravity;ph\nA1;2026-01-10;1,092;3,4\nA1;2026-01-11;1.092;3.4\n",
    )
    assert checked.typed["additions"].select("amount_kg", "cost").row(0) == (1.36, 3.2)
    assert checked.typed["readings"].select("gravity_sg", "ph").rows() == [(1.092, 3.4)]
    hints = checked.problems.filter(pl.col("level") == "error")["hint"].to_list()
    assert hints == ["1,092", "3,4"]


def test_every_kind_of_cell_has_a_value_and_a_fault_here() -> None:
    kinds = {column.kind for columns in FILES.values() for column in columns}
    examples = {
        name for mark in test_values.pytestmark for _, cells, _ in mark.args[1] for name in cells
    }  # type: ignore[attr-defined]
    covered = {c.kind for columns in FILES.values() for c in columns if c.name in examples}
    assert kinds - covered <= {"id", "amount", "text", "day"}
