"""The worked logbook is read as its expected.md says."""

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.logbook import CheckedLogbook, read_logbook

WORKED = Path(__file__).parent / "worked"


@pytest.fixture(scope="module")
def worked() -> CheckedLogbook:
    return read_logbook(WORKED, today=date(2026, 10, 1))


@pytest.mark.parametrize(
    ("file", "read", "loaded", "set_aside"),
    [
        ("batches.csv", 4, 4, 0),
        ("additions.csv", 20, 19, 1),
        ("readings.csv", 13, 12, 1),
        ("transfers.csv", 9, 9, 0),
        ("tastings.csv", 5, 4, 1),
    ],
)
def test_rows_reconcile(
    worked: CheckedLogbook, file: str, read: int, loaded: int, set_aside: int
) -> None:
    row = worked.files.row(by_predicate=pl.col("file") == file)
    assert row == (file, read, loaded, set_aside)


@pytest.mark.parametrize(
    ("file", "line", "column", "value", "message", "hint"),
    [
        (
            "additions.csv",
            20,
            "amount",
            "a big bag",
            "must be a number with a unit",
            "2 lb or 900 g",
        ),
        ("readings.csv", 12, "gravity", "1082", "between 0.980 and 1.200", "1.082"),
        ("tastings.csv", 6, "score", "7/10", "scores are never rescaled", "score it again"),
    ],
)
def test_errors_name_place_and_remedy(
    worked: CheckedLogbook,
    file: str,
    line: int,
    column: str,
    value: str,
    message: str,
    hint: str,
) -> None:
    errors = worked.problems.filter(pl.col("level") == "error", pl.col("file") == file)
    assert errors.height == 1
    error = errors.row(0, named=True)
    assert (error["line"], error["column"], error["value"]) == (line, column, value)
    assert message in error["message"]
    assert hint in error["hint"]


def test_dates_are_day_first(worked: CheckedLogbook) -> None:
    started = dict(worked.typed["batches"].select("batch_id", "started_on").iter_rows())
    assert started["W4"] == date(2025, 10, 5)
    pears = worked.typed["additions"].filter(batch_id="W4", kind="fruit")
    assert pears["removed_on"].to_list() == [date(2025, 10, 12)]


@pytest.mark.parametrize(
    ("batch", "kind", "column", "amount"),
    [
        ("W1", "fruit", "amount_kg", 1.5),
        ("W2", "fruit", "amount_kg", 1.814),
        ("W3", "fruit", "amount_kg", 1.503),
        ("W4", "fruit", "amount_kg", 1.5),
        ("W1", "sugar", "amount_kg", 0.900),
        ("W2", "sugar", "amount_kg", 0.680 + 0.227),
        ("W3", "sugar", "amount_kg", 1.021),
        ("W1", "water", "amount_l", 3.2),
        ("W2", "water", "amount_l", 4.546),
        ("W3", "water", "amount_l", 3.312),
        ("W1", "yeast", "amount_kg", 0.005),
    ],
)
def test_amounts(worked: CheckedLogbook, batch: str, kind: str, column: str, amount: float) -> None:
    rows = worked.typed["additions"].filter(batch_id=batch, kind=kind)
    assert rows[column].sum() == pytest.approx(amount, abs=0.0006)


def test_targets_follow_the_gallon_of_the_batch(worked: CheckedLogbook) -> None:
    targets = dict(worked.typed["batches"].select("batch_id", "target_volume_l").iter_rows())
    assert targets == pytest.approx({"W1": 4.5, "W2": 4.546, "W3": 3.785, "W4": 4.5}, abs=0.0005)


def test_doubt_of_amounts_is_carried(worked: CheckedLogbook) -> None:
    additions = worked.typed["additions"]
    assert additions.filter(batch_id="W4", kind="fruit")["amount_error"].item() == 0.10
    assert additions.filter(batch_id="W2", kind="enzyme")["amount_error"].item() == pytest.approx(
        0.20
    )


def test_what_was_set_aside_is_still_known_as_such(worked: CheckedLogbook) -> None:
    sugar = worked.set_aside.filter(table="additions").row(0, named=True)
    assert (sugar["batch_id"], sugar["kind"], sugar["amount"]) == ("W4", "sugar", "a big bag")
    assert worked.typed["additions"].filter(batch_id="W4", kind="sugar").is_empty()


def test_water_to_the_mark_is_told_from_water_on_top(worked: CheckedLogbook) -> None:
    water = worked.typed["additions"].filter(kind="water")
    assert dict(water.select("batch_id", "is_to_mark").iter_rows()) == {
        "W1": False,
        "W2": True,
        "W3": False,
        "W4": False,
    }
