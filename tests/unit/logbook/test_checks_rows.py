"""Rules within a row, between files and about days."""

from typing import Any

import polars as pl
import pytest

ADDITIONS = "batch_id,added_on,kind,ingredient,amount,form,skins,ripeness,removed_on\n"
TRANSFERS = "batch_id,moved_on,step,pressed,volume_after,topped_up,topped_up_with,bottles\n"


def _errors(checked: Any) -> list[tuple[Any, ...]]:
    errors = checked.problems.filter(level="error")
    return errors.select("file", "line", "column", "rule").rows()


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        (",on,,", "skins"),
        ("whole,,,", "form"),
        (",,ripe,", "ripeness"),
        (",,,2026-01-20", "removed_on"),
    ],
)
def test_what_belongs_to_fruit_only(read: Any, cells: str, column: str) -> None:
    checked = read(additions=f"{ADDITIONS}A1,2026-01-10,acid,citric acid,5 g,{cells}\n")
    assert _errors(checked) == [("additions.csv", 2, column, "fruit-only")]
    assert f"{column} is for fruit only, and this row is acid" in checked.problems["message"][0]


def test_only_water_is_made_up_to_a_mark(read: Any) -> None:
    checked = read(additions=f"{ADDITIONS}A1,2026-01-10,juice,apple juice,up to 4 L,,,,\n")
    assert _errors(checked) == [("additions.csv", 2, "amount", "to-mark")]
    assert checked.problems["hint"][0] == "4 L"


def test_fruit_does_not_come_out_before_it_went_in(read: Any) -> None:
    checked = read(
        additions=f"{ADDITIONS}A1,2026-01-10,fruit,plum,2 kg,,,,2026-01-09\n"
        "A1,2026-01-10,fruit,plum,2 kg,,,,2026-01-10\n"
    )
    assert _errors(checked) == [("additions.csv", 2, "removed_on", "dates-in-order")]
    assert checked.problems["value"][0] == "2026-01-09"


def test_nor_in_a_recipe(read: Any) -> None:
    checked = read(
        recipes="recipe,day,kind,ingredient,amount,removed_day\nplum,3,fruit,plum,2 kg,2\n"
    )
    assert _errors(checked) == [("recipes.csv", 2, "removed_day", "dates-in-order")]


@pytest.mark.parametrize(
    ("row", "column", "rule"),
    [
        ("strain,,,,,", "volume_after", "missing"),
        ("rack,,,,,", "volume_after", "missing"),
        ("bottle,,,,,", "volume_after", "missing"),
        ("rack,pressed,4 L,,,", "pressed", "refused-combination"),
        ("rack,,4 L,,,5", "bottles", "refused-combination"),
    ],
)
def test_transfers(read: Any, row: str, column: str, rule: str) -> None:
    checked = read(transfers=f"{TRANSFERS}A1,2026-01-20,{row}\n")
    assert _errors(checked) == [("transfers.csv", 2, column, rule)]


@pytest.mark.parametrize(
    "row", ["chill,,,,,", "bottle,,,,,5", "bottle,,3.7 L,,,", "strain,squeezed,4 L,,,"]
)
def test_transfers_that_say_enough(read: Any, row: str) -> None:
    assert _errors(read(transfers=f"{TRANSFERS}A1,2026-01-20,{row}\n")) == []


def test_an_unreadable_volume_is_not_missing_as_well(read: Any) -> None:
    checked = read(transfers=f"{TRANSFERS}A1,2026-01-20,rack,,lost count,,,\n")
    assert _errors(checked) == [("transfers.csv", 2, "volume_after", "not-a-quantity")]


def test_of_two_batches_with_one_name_the_later_is_set_aside(read: Any) -> None:
    checked = read(batches="batch_id,started_on\nA1,2026-01-10\nB1,2026-01-10\n A1 ,2026-02-10\n")
    assert _errors(checked) == [("batches.csv", 4, "batch_id", "batch-twice")]
    assert "line 2 has this batch_id already" in checked.problems["message"][0]
    assert checked.typed["batches"]["line"].to_list() == [2, 3]
    assert checked.typed["additions"].height == 1


def test_a_batch_set_aside_takes_its_rows_with_it(read: Any) -> None:
    checked = read(
        batches="batch_id,started_on\nA1,soon\nB1,2026-01-10\n",
        additions=f"{ADDITIONS}A1,2026-01-10,fruit,plum,2 kg,,,,\n"
        "B1,2026-01-10,fruit,plum,2 kg,,,,\n",
        readings="batch_id,taken_on,gravity\nA1,2026-01-11,1.082\n",
    )
    assert _errors(checked) == [
        ("additions.csv", 2, "batch_id", "batch-set-aside"),
        ("batches.csv", 2, "started_on", "not-a-date"),
        ("readings.csv", 2, "batch_id", "batch-set-aside"),
    ]
    assert "its batch was set aside (batches, line 2)" in checked.problems["message"][0]
    assert checked.set_aside["batch_id"].to_list() == ["A1", "A1", "A1"]


def test_a_batch_whose_first_row_is_faulty_is_lost_with_its_repetition(read: Any) -> None:
    checked = read(batches="batch_id,started_on\nA1,soon\nA1,2026-01-10\n")
    rules = [error[3] for error in _errors(checked)]
    assert rules == ["batch-set-aside", "not-a-date", "batch-twice"]
    assert checked.files["rows_loaded"].to_list() == [0, 0]


@pytest.mark.parametrize(("batch", "hint"), [("a1", "A1"), ("A 1", "A1"), ("Z9", "add the batch")])
def test_no_such_batch(read: Any, batch: str, hint: str) -> None:
    checked = read(readings=f"batch_id,taken_on,gravity\n{batch},2026-01-11,1.082\n")
    assert _errors(checked) == [("readings.csv", 2, "batch_id", "no-such-batch")]
    assert hint in checked.problems["hint"][0]


def test_an_unknown_fruit_loads_with_a_notice(read: Any) -> None:
    checked = read(additions=f"{ADDITIONS}A1,2026-01-10,fruit,moonberry,2 kg,,,,\n")
    assert checked.problems.select("level", "rule", "value").rows() == [
        ("notice", "fruit-unknown", "moonberry")
    ]
    assert checked.typed["additions"]["ingredient"].to_list() == ["moonberry"]


@pytest.mark.parametrize(
    ("day", "rules"),
    [
        ("2026-01-07", ["before-the-start"]),
        ("2026-01-08", []),
        ("2026-06-30", []),
        ("2026-06-30 23:59", []),
        ("2026-07-01", ["in-the-future"]),
    ],
)
def test_days_of_a_batch(read: Any, day: str, rules: list[str]) -> None:
    checked = read(readings=f"batch_id,taken_on,gravity\nA1,{day},1.082\n")
    assert [error[3] for error in _errors(checked)] == rules


def test_a_batch_of_the_future_and_fruit_taken_out_there(read: Any) -> None:
    checked = read(
        batches="batch_id,started_on\nA1,2026-01-10\nB1,2026-07-01\n",
        additions=f"{ADDITIONS}A1,2026-01-10,fruit,plum,2 kg,,,,2026-07-01\n",
    )
    assert _errors(checked) == [
        ("additions.csv", 2, "removed_on", "in-the-future"),
        ("batches.csv", 3, "started_on", "in-the-future"),
    ]


def test_ragged_rows_are_shown_whole(read: Any) -> None:
    checked = read(
        additions=f'{ADDITIONS}A1,2026-01-10,fruit,plum,2 kg\nA1,2026-01-10,sugar,"white,1 kg,,,,\n'
        "A1,2026-01-10,fruit,plum,2 kg,,,,\n"
    )
    assert _errors(checked) == [
        ("additions.csv", 2, None, "row-cells"),
        ("additions.csv", 3, None, "row-quote"),
    ]
    assert checked.problems["value"].to_list() == [
        "A1,2026-01-10,fruit,plum,2 kg",
        'A1,2026-01-10,sugar,"white,1 kg,,,,',
    ]
    aside = checked.set_aside.select("line", "batch_id", "kind").rows()
    assert aside == [(2, "A1", "fruit"), (3, "A1", "sugar")]
    assert checked.typed["additions"]["line"].to_list() == [4]


def test_letters_of_another_encoding_cost_their_row_only(read: Any) -> None:
    rows = "A1,2026-01-10,fruit,mûre é è,2 kg,,,,\nA1,2026-01-10,fruit,m\udcfbre,2 kg,,,,\n"
    checked = read(additions=(ADDITIONS + rows).encode("utf-8", "surrogateescape"))
    assert _errors(checked) == [("additions.csv", 3, None, "row-letters")]
    assert r"m\xfbre" in checked.problems.filter(level="error")["value"][0]


def test_what_is_odd_about_a_file_is_noticed(read: Any) -> None:
    checked = read(
        batches="batch_id,started_on,notes,Weather\nA1,2026-01-10,mûre,rain\n".encode("cp1252"),
        additions=f"{ADDITIONS}A1,2026-01-10,fruit,pl\ufffdm,2 kg,,,,\n",
    )
    found = checked.problems.filter(pl.col("rule") != "fruit-unknown")
    assert found.select("level", "file", "rule", "value").rows() == [
        ("warning", "additions.csv", "damaged-letter", "pl\ufffdm"),
        ("notice", "batches.csv", "encoding-guessed", "mûre"),
        ("notice", "batches.csv", "unknown-column", "Weather"),
    ]
    assert checked.raw["batches"]["Weather"].to_list() == ["rain"]


def test_an_unknown_column_is_said_to_be_like_a_known_one(read: Any) -> None:
    checked = read(batches="batch_id,started_on,yest\nA1,2026-01-10,Lantern\n")
    assert checked.problems.select("rule", "column", "hint").rows() == [
        ("unknown-column", "yest", "yeast")
    ]


def test_a_heading_that_would_stand_for_all_columns_is_one_of_its_own(read: Any) -> None:
    checked = read(batches='batch_id,started_on,*,^.*$\nA1,2026-01-10,"a ""rainy"" day",windy\n')
    row = checked.raw["batches"].row(0, named=True)
    assert (row["batch_id"], row["* (3)"], row["^.*$ (4)"]) == ("A1", 'a "rainy" day', "windy")
    assert checked.typed["batches"]["batch_id"].to_list() == ["A1"]
