"""What a sheet's own cells prove: the order of its dates, its decimal mark."""

import time
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.logbook.importing.dates import find_order, looks_like_day, read_day
from pipeline.logbook.importing.decimal_marks import find_marks, settle_marks

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("dates", "proven", "is_mixed", "is_needed"),
    [
        (["8/3/24", "8/13/24"], "month-first", False, True),
        (["03.04.2025", "13.09.2024"], "day-first", False, True),
        (["9/24/2024", "24/9/2024"], None, True, False),
        (["3/4/2024", "5/6/2024"], None, False, True),
        (["5/5/2024"], None, False, False),
        (["2024-05-03", "3 May 2024"], None, False, False),
        (["31/31/2024"], None, False, False),
    ],
)
def test_an_order_is_proven_by_what_cannot_be_read_otherwise(
    dates: list[str], proven: str | None, is_mixed: bool, is_needed: bool
) -> None:
    order = find_order(enumerate(dates, start=2))
    assert (order.proven, order.is_mixed, order.is_needed) == (proven, is_mixed, is_needed)


def test_a_proof_names_its_cell_and_line() -> None:
    order = find_order([(2, "3/4/24"), (9, " 8/13/24 ")])
    assert order.evidence() == ("'8/13/24' in line 9 proves month first",)


def test_full_stops_support_day_first_and_do_not_prove_it() -> None:
    order = find_order([(2, "1.9.2024")])
    assert order.proven is None
    assert "does not prove" in order.support()[0]
    assert find_order([(2, "1/9/2024")]).support() == ()


def test_a_date_both_ways_keeps_both_readings() -> None:
    found = read_day("3/4/24", None, TODAY)
    assert (found.fate, found.readings) == ("held", ("2024-04-03", "2024-03-04"))


def test_a_proven_date_is_read_against_the_order_of_its_sheet() -> None:
    assert read_day("24/9/2024", "month-first", TODAY).text == "2024-09-24"


def test_a_time_of_day_is_kept() -> None:
    assert read_day("3/14/24 18:30", None, TODAY).text == "2024-03-14 18:30"


@pytest.mark.parametrize("text", ["2024", "12/1", "Sept 24", "5 Oct", "13. März 2024", "8/3/24"])
def test_shapes_of_dates(text: str) -> None:
    assert looks_like_day(text)


@pytest.mark.parametrize("text", ["1.090", "2 kg", "4.5", "6", "damson", "1 lb 14 oz", "may be"])
def test_other_cells_are_no_dates(text: str) -> None:
    assert not looks_like_day(text)


@pytest.mark.parametrize(
    ("cells", "proven"),
    [
        (["1,25", "3,5", "1.360"], ","),
        (["1.25", "1,360"], "."),
        (["3,3", "3.45"], "mixed"),
        (["1,360", "1.360"], ""),
        (["0,360"], ","),
        (["13.09.", "13.09.24"], ""),
        (["2 1/2 kg"], ""),
    ],
)
def test_a_decimal_mark_is_proven_by_what_cannot_part_off_thousands(
    cells: list[str], proven: str
) -> None:
    assert find_marks(enumerate(cells, start=2)).proven == proven


@pytest.mark.parametrize(
    ("text", "decimal", "settled", "readings"),
    [
        ("1,360", ",", "1.360", ()),
        ("1.360", ",", "1.360", ("1.36", "1360")),
        ("1,360", ".", "1.360", ("1.36", "1360")),
        ("1.360", ".", "1.360", ()),
        ("1.360", "mixed", "1.360", ("1.36", "1360")),
        ("1,5", ".", "1.5", ()),
        ("1.234,5", "", "1234.5", ()),
        ("1,234,567", ".", "1234567", ()),
        ("0.360", ",", "0.360", ()),
    ],
)
def test_marks_are_settled_or_left_open(
    text: str, decimal: str, settled: str, readings: tuple[str, ...]
) -> None:
    found = settle_marks(text, decimal)
    assert (found.text, found.readings) == (settled, readings)


@given(
    st.integers(1, 999),
    st.integers(0, 999),
    st.sampled_from(".,"),
    st.sampled_from(["", ",", ".", "mixed"]),
)
def test_what_an_open_mark_may_be_is_not_asked_again(
    whole: int, after: int, mark: str, decimal: str
) -> None:
    small, large = float(f"{whole}.{after:03}"), 1000 * whole + after
    readings = settle_marks(f"{whole}{mark}{after:03} kg", decimal).readings
    for reading, value in zip(readings, (small, large), strict=False):
        again = settle_marks(reading, decimal)
        assert again.readings == ()
        assert float(again.text.removesuffix(" kg")) == value


def test_what_is_no_number_stays_as_it_is() -> None:
    assert not settle_marks("1.0.15", ".").is_number
    assert settle_marks("1,048", ".", is_gravity=True).text == "1.048"


@pytest.mark.parametrize("text", ['a""","\n' * 20_000, "May 1, " * 20_000, "1.1." * 40_000])
def test_a_hundred_pages_in_a_cell_are_no_date_and_take_no_time(text: str) -> None:
    began = time.process_time()
    assert read_day(text, None, TODAY).fate != "loaded"
    assert time.process_time() - began < 2.0
