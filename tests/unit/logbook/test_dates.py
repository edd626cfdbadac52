"""Dates: what is read, what is refused, and what is proposed instead."""

from datetime import date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from unit.logbook.conftest import said_twice

from pipeline.logbook.dates import DateOrder, read_date, write_date
from pipeline.logbook.problems import Fault

DAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-25",
        "2026/11/25",
        "2026.11.25",
        "25 Nov 2026",
        "25 November 2026",
        "25-Nov-2026",
        "25/Nov/2026",
        "25 nov. 2026",
        "25th Nov 2026",
        "25th of November 2026",
        "Nov 25 2026",
        "Nov 25, 2026",
        "November 25th, 2026",
        "Wed 25 Nov 2026",
        "Wednesday, 25 November 2026",
        " 25  Nov 2026 ",
        "25Nov2026",
    ],
)
def test_days(text: str) -> None:
    assert read_date(text) == (DAY, None)


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("2026-11-25 18:30", time(18, 30)),
        ("2026-11-25T18:30", time(18, 30)),
        ("2026-11-25 18:30:05", time(18, 30, 5)),
        ("2026-11-25 9:05", time(9, 5)),
        ("25 Nov 2026 18:30", time(18, 30)),
        ("Nov 25, 2026 6:30 pm", time(18, 30)),
        ("2026-11-25 12:00 am", time(0, 0)),
        ("2026-11-25 12:00 PM", time(12, 0)),
    ],
)
def test_times(text: str, clock: time) -> None:
    assert read_date(text) == (DAY, clock)


@pytest.mark.parametrize(
    ("text", "order", "expected"),
    [
        ("03/04/2026", "day-first", date(2026, 4, 3)),
        ("03/04/2026", "month-first", date(2026, 3, 4)),
        ("3.4.2026", "day-first", date(2026, 4, 3)),
        ("3-4-2026", "month-first", date(2026, 3, 4)),
        ("25/11/2026", "day-first", DAY),
        ("11/25/2026", "month-first", DAY),
        ("2026-04-03", "month-first", date(2026, 4, 3)),
    ],
)
def test_all_numbers_by_the_rule_of_the_logbook(
    text: str, order: DateOrder, expected: date
) -> None:
    assert read_date(text, order) == (expected, None)


@pytest.mark.parametrize(
    ("text", "order", "rule", "hint"),
    [
        ("03/04/2026", None, "date-order", "2026-03-04 or 2026-04-03"),
        ("25/11/2026", None, "date-order", "2026-11-25"),
        ("04/04/2026", None, "date-order", "2026-04-04"),
        ("11/25/2026", "day-first", "date-order", "2026-11-25"),
        ("25/11/2026", "month-first", "date-order", "2026-11-25"),
        ("99/99/2026", "day-first", "no-such-date", "2026-11-25"),
        ("2026-02-30", None, "no-such-date", "2026-11-25"),
        ("31 Jun 2026", None, "no-such-date", "2026-11-25"),
        ("2026-13-01", None, "no-such-date", "2026-11-25"),
        ("2026-11-25 25:00", None, "no-such-date", "2026-11-25"),
        ("2026-11-25 13:00 pm", None, "no-such-date", "2026-11-25"),
        ("1026-11-25", None, "no-such-date", "check the year 1026"),
        ("8/13/24", None, "short-year", "2026-11-25"),
        ("25 Nov 26", None, "short-year", "2026-11-25"),
        ("25.11.26", "day-first", "short-year", "2026-11-25"),
        ("Nov 25, 26", None, "short-year", "2026-11-25"),
        ("45659", None, "day-number", "2025-01-02"),
        ("45659.75", None, "day-number", "2025-01-02"),
        ("2026-11-25T18:30Z", None, "time-zone", "2026-11-25 18:30"),
        ("2026-11-25T18:30:00+01:00", None, "time-zone", "2026-11-25 18:30"),
        ("#VALUE!", None, "spreadsheet-error", "2026-11-25"),
        ("Sept 24", None, "not-a-date", "2026-11-25"),
        ("2022", None, "not-a-date", "2026-11-25"),
        ("last Tuesday", None, "not-a-date", "2026-11-25"),
        ("12:30", None, "not-a-date", "2026-11-25"),
        ("25 Foo 2026", None, "not-a-date", "2026-11-25"),
        ("??", None, "not-a-date", "2026-11-25"),
    ],
)
def test_refused(text: str, order: DateOrder | None, rule: str, hint: str) -> None:
    found = read_date(text, order)
    assert isinstance(found, Fault), found
    assert found.rule == rule
    assert hint in (found.hint or "")
    assert not said_twice(found.message, found.hint)


@given(st.dates(min_value=date(1900, 1, 1)))
def test_every_written_day_reads_back(day: date) -> None:
    assert read_date(write_date(day)) == (day, None)
    assert read_date(day.strftime("%d/%m/%Y").zfill(10), "day-first") == (day, None)


@given(st.datetimes(min_value=datetime(1900, 1, 1)).map(lambda at: at.replace(microsecond=0)))
def test_every_written_moment_reads_back(at: datetime) -> None:
    assert read_date(write_date(at)) == (at.date(), at.time())


@given(st.text(alphabet="0123456789-/. :TZjanfebpm+", max_size=20))
def test_no_text_is_too_strange(text: str) -> None:
    found = read_date(text, "day-first")
    assert isinstance(found, Fault) or found[0].year >= 1900
