"""Traps that readers of tables are known to fall into; each has a test here.

The names say what other readers do: drop a heading, cut a long row, guess a type, a date order or
an encoding, turn a broken number into nothing.
"""

import codecs
from datetime import date
from typing import Any

import polars as pl
import pytest

ADDITIONS = "batch_id,added_on,kind,ingredient,amount,notes\n"
READINGS = "batch_id,taken_on,gravity,ph,notes\n"


def _reasons(checked: Any) -> list[tuple[int, str]]:
    return checked.problems.filter(level="error").select("line", "rule").rows()


def test_a_change_of_separator_drops_neither_heading_nor_rows(read: Any) -> None:
    checked = read(
        readings=f"{READINGS}A1,2026-01-11,1.08,,\nA1;2026-01-12;1.07;;\nA1;2026-01-13;1.06;;\n"
    )
    assert checked.typed["readings"]["gravity_sg"].to_list() == [1.08]
    assert _reasons(checked) == [(3, "row-cells"), (4, "row-cells")]


def test_a_faulty_row_damages_no_neighbour(read: Any) -> None:
    checked = read(
        readings=f'{READINGS}A1,2026-01-11,1.08,,one\nA1,2026-01-12,oops,,"two\nA1,2026-01-13,1.06,,x\n'
    )
    assert checked.typed["readings"].select("line", "gravity_sg", "notes").rows() == [
        (2, 1.08, "one"),
        (4, 1.06, "x"),
    ]


@pytest.mark.parametrize("rows", [("2024-04-13", "03/04/2024"), ("03/04/2024", "2024-04-13")])
def test_the_order_of_rows_does_not_decide_what_a_date_is(read: Any, rows: tuple[str, str]) -> None:
    checked = read(
        batches="batch_id,started_on\nA1,2024-01-01\n",
        additions="batch_id,added_on,kind,ingredient,amount\n",
        readings=READINGS + "".join(f"A1,{day},1.08,,\n" for day in rows),
    )
    assert checked.typed["readings"]["taken_on"].to_list() == [date(2024, 4, 13)]
    assert checked.problems["value"].to_list() == ["03/04/2024"]


def test_every_way_of_writing_a_date_is_read_in_one_column(read: Any) -> None:
    days = ("2026-01-11", "11 Jan 2026", "Jan 11, 2026", "11/01/2026", "11.1.2026")
    checked = read(
        toml='dates = "day-first"\n',
        readings=READINGS + "".join(f'A1,"{d}",1.08,,\n' for d in days),
    )
    assert checked.typed["readings"]["taken_on"].to_list() == [date(2026, 1, 11)] * len(days)


def test_a_long_row_is_not_cut_and_a_short_one_not_filled(read: Any) -> None:
    checked = read(readings=f"{READINGS}A1,2026-01-11,1.08,,a,oops\nA1,2026-01-12,1.07\n")
    assert _reasons(checked) == [(2, "row-cells"), (3, "row-cells")]
    assert "oops" in checked.problems["value"][0]
    assert "6 cells and the first line names 5" in checked.problems["message"][0]
    assert "3 cells and the first line names 5" in checked.problems["message"][1]


def test_names_stay_text_whatever_they_look_like(read: Any) -> None:
    names = ["007", "2E3", "1.0", "true", "2026-01-10", "null", "NA", "0x1F", "½"]
    checked = read(
        batches="batch_id,started_on\n" + "".join(f"{name},2026-01-10\n" for name in names),
        additions=ADDITIONS + "".join(f"{n},2026-01-10,fruit,plum,1 kg,\n" for n in names),
    )
    assert checked.typed["batches"]["batch_id"].to_list() == names
    assert checked.typed["additions"]["batch_id"].to_list() == names


def test_a_fault_far_down_is_found(read: Any) -> None:
    rows = "".join(f"A1,2026-01-11,1.0{80000 - at},,\n" for at in range(3000))
    checked = read(readings=f"{READINGS}{rows}A1,2026-01-12,1 1/2 lb,,\n")
    assert _reasons(checked) == [(3002, "wrong-unit")]
    assert checked.typed["readings"].height == 3000


@pytest.mark.parametrize(
    ("decimal", "cell", "gravity"),
    [(".", "1.090", 1.09), (".", '"1,090"', None), (",", '"1,090"', 1.09), (",", "1.090", None)],
)
def test_a_decimal_comma_is_read_by_the_rule_of_the_logbook(
    read: Any, decimal: str, cell: str, gravity: float | None
) -> None:
    checked = read(
        toml=f'decimal = "{decimal}"\n',
        batches="batch_id,started_on\nA1,2026-01-10\n",
        readings=f"{READINGS}A1,2026-01-11,{cell},,\n",
    )
    assert checked.typed["readings"]["gravity_sg"].to_list() == ([gravity] if gravity else [])


@pytest.mark.parametrize("codec", ["cp1252", "utf-16", "utf-8-sig", "utf-8"])
def test_no_letter_is_lost_to_an_encoding(read: Any, codec: str) -> None:
    rows = "A1,2026-01-11,fruit,mûre sauvage,1½ kg,à côté – là\n"
    checked = read(additions=(ADDITIONS + rows).encode(codec))
    row = checked.typed["additions"].row(0, named=True)
    assert (row["ingredient"], row["amount_kg"]) == ("mûre sauvage", 1.5)
    assert row["notes"] == "à côté – là"


def test_a_mark_is_no_part_of_the_first_heading(read: Any) -> None:
    checked = read(readings=codecs.BOM_UTF8 + f"{READINGS}A1,2026-01-11,1.08,,\n".encode())
    assert checked.raw["readings"].columns[1] == "batch_id"
    assert checked.problems.is_empty()


@pytest.mark.parametrize("cell", ["NaN", "nan", "inf", "-inf", "Infinity"])
def test_what_is_no_number_does_not_poison_a_mean(read: Any, cell: str) -> None:
    checked = read(readings=f"{READINGS}A1,2026-01-11,1.08,{cell},\nA1,2026-01-12,1.07,3.4,\n")
    assert checked.typed["readings"]["ph"].mean() == 3.4
    assert _reasons(checked) == [(2, "number")]


def test_no_typed_number_is_ever_infinite_or_undefined(read: Any) -> None:
    checked = read(
        readings=f"{READINGS}A1,2026-01-11,{'9' * 400},1e999,\nA1,2026-01-12,1/0,3.4,\n",
        additions=f"{ADDITIONS}A1,2026-01-10,fruit,plum,{'9' * 400} kg,\n",
    )
    for frame in checked.typed.values():
        for column in frame.select(pl.col(pl.Float64)):
            assert column.drop_nulls().is_finite().all()
    assert checked.files["rows_set_aside"].sum() == 3


def test_blank_is_unknown_and_not_zero(read: Any) -> None:
    checked = read(readings=f'{READINGS}A1,2026-01-11,1.08,"",\nA1,2026-01-12,1.07," ",\n')
    assert checked.typed["readings"]["ph"].to_list() == [None, None]


def test_fractions_that_became_dates_are_never_turned_back(read: Any) -> None:
    mangled = ["02-Jan", "01-Feb", "04-Mar", "2026-01-02", "1/2/2026"]
    rows = "".join(f"A1,2026-01-11,acid,citric acid,{cell},\n" for cell in mangled)
    checked = read(additions=ADDITIONS + rows, toml='dates = "day-first"\n')
    assert [rule for _, rule in _reasons(checked)] == ["date-shaped"] * len(mangled)


def test_formulas_are_never_worked_out(read: Any) -> None:
    checked = read(
        readings=f"{READINGS}A1,2026-01-11,=1+0.08,,\nA1,2026-01-12,1.07,,=HYPERLINK(1)\n"
    )
    assert _reasons(checked) == [(2, "formula")]
    assert checked.typed["readings"]["notes"].to_list() == ["=HYPERLINK(1)"]
