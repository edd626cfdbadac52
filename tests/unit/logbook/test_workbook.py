"""Workbooks: cells come back as the maker sees them; errors and mangled fractions stay visible."""

from datetime import date, datetime
from pathlib import Path

import polars as pl
import pytest
from unit.logbook.workbooks import Cell, write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.workbook import cell_text

TODAY = date(2026, 6, 30)
BATCHES: list[list[Cell]] = [["batch_id", "started_on"], [7, date(2026, 1, 10)]]
ADDITIONS: list[list[Cell]] = [
    ["batch_id", "added_on", "kind", "ingredient", "amount"],
    [7, date(2026, 1, 10), "fruit", "plum", "2 kg"],
]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (7.0, "7"),
        (1.082, "1.082"),
        (0.1 + 0.2, "0.3"),
        (1e-7, "0.0000001"),
        (-1.5, "-1.5"),
        (True, "yes"),
        (date(2026, 1, 2), "2026-01-02"),
        (datetime(2026, 1, 2), "2026-01-02"),
        (datetime(2026, 1, 2, 18, 30), "2026-01-02 18:30"),
        ("two\r\nlines", "two\nlines"),
        ("", ""),
    ],
)
def test_cell_text(value: object, text: str) -> None:
    assert cell_text(value) == text


def test_a_workbook_is_a_logbook(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mine.xlsx", {"Batches": BATCHES, "additions": ADDITIONS, "Plan": []})
    checked = read_logbook(tmp_path, today=TODAY)
    assert checked.problems.is_empty()
    assert checked.files["file"].to_list() == ["mine.xlsx/Batches", "mine.xlsx/additions"]
    assert checked.typed["batches"]["batch_id"].to_list() == ["7"]
    assert checked.typed["additions"]["amount_kg"].to_list() == [2.0]


@pytest.mark.parametrize(
    ("cell", "value", "rule"),
    [
        (date(2026, 1, 2), "2026-01-02", "date-shaped"),
        ("#REF!", "#REF!", "spreadsheet-error"),
        ("#DIV/0!", "#DIV/0!", "spreadsheet-error"),
        (45659, "45659", "no-unit"),
        (0.5, "0.5", "no-unit"),
        (None, None, "missing"),
    ],
)
def test_what_the_spreadsheet_made_of_an_amount(
    tmp_path: Path, cell: Cell, value: str, rule: str
) -> None:
    rows = [*ADDITIONS, [7, date(2026, 1, 10), "sugar", "white sugar", cell]]
    write_workbook(tmp_path / "mine.xlsx", {"batches": BATCHES, "additions": rows})
    problem = read_logbook(tmp_path, today=TODAY).problems.row(0, named=True)
    assert (problem["line"], problem["column"]) == (3, "amount")
    assert (problem["value"], problem["rule"]) == (value, rule)


def test_empty_rows_are_no_rows_and_lines_are_the_sheets(tmp_path: Path) -> None:
    rows = [[], [None], *ADDITIONS, [None, ""], [7, date(2026, 1, 11), "acid", "citric acid", "?"]]
    write_workbook(tmp_path / "mine.xlsx", {"batches": BATCHES, "additions": rows})
    checked = read_logbook(tmp_path, today=TODAY)
    assert checked.problems["line"].to_list() == [6]
    source = checked.sources.row(by_predicate=pl.col("table") == "additions", named=True)
    assert (source["lines"], source["blank_lines"], source["records"]) == (6, 3, 2)


def test_a_cell_beside_the_headed_columns_sets_its_row_aside(tmp_path: Path) -> None:
    rows = [*ADDITIONS, [7, date(2026, 1, 11), "acid", "citric acid", "5 g", None, "lost note"]]
    write_workbook(tmp_path / "mine.xlsx", {"batches": BATCHES, "additions": rows})
    checked = read_logbook(tmp_path, today=TODAY)
    assert checked.problems["rule"].to_list() == ["row-cells"]
    assert "lost note" in checked.problems["value"][0]


@pytest.mark.parametrize("data", [b"", b"not a workbook", b"PK\x03\x04 broken"])
def test_a_file_that_is_no_workbook(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "mine.xlsx").write_bytes(data)
    with pytest.raises(LogbookError, match=r"mine\.xlsx cannot be read as a workbook"):
        read_logbook(tmp_path, today=TODAY)


def test_an_empty_sheet_is_refused(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mine.xlsx", {"batches": [[]], "additions": ADDITIONS})
    with pytest.raises(LogbookError, match=r"mine\.xlsx/batches is empty"):
        read_logbook(tmp_path, today=TODAY)


def test_two_sources_for_one_file_are_refused(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mine.xlsx", {"batches": BATCHES, "additions": ADDITIONS})
    (tmp_path / "batches.csv").write_text("batch_id,started_on\nA,2026-01-10\n", encoding="utf-8")
    with pytest.raises(LogbookError, match=r"batches\.csv and the sheet mine\.xlsx/batches"):
        read_logbook(tmp_path, today=TODAY)


def test_the_lock_file_of_an_open_workbook_is_passed_over(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mine.xlsx", {"batches": BATCHES, "additions": ADDITIONS})
    (tmp_path / "~$mine.xlsx").write_bytes(b"lock")
    assert read_logbook(tmp_path, today=TODAY).files["rows_loaded"].to_list() == [1, 1]
