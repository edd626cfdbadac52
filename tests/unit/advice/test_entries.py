"""Entries from words, and which batch comes first where one is to be written down."""

from datetime import date, timedelta

import pytest
from unit.advice.logbook import build_cellar

from pipeline.advice.entries import add_cells, in_dates, likely_batches
from pipeline.errors import LogbookError

TODAY = date.today()


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("today", TODAY.isoformat()),
        (" Today ", TODAY.isoformat()),
        ("today 18:30", f"{TODAY.isoformat()} 18:30"),
        ("yesterday", (TODAY - timedelta(days=1)).isoformat()),
        ("25 Nov 2026", "25 Nov 2026"),
        ("", ""),
    ],
)
def test_today_is_a_date_in_a_column_of_days(typed, written):
    assert in_dates("reading", {"taken_on": typed}) == {"taken_on": written}
    assert in_dates("batch", {"started_on": typed}) == {"started_on": written}


def test_today_elsewhere_is_a_word():
    cells = {"notes": "today", "ingredient": "yesterday"}
    assert in_dates("addition", cells) == cells
    assert in_dates("nothing of ours", {"added_on": "today"}) == {"added_on": "today"}


def test_running_batches_come_first_the_one_touched_last_at_their_head(tmp_path):
    cellar = build_cellar(tmp_path)
    found = likely_batches(cellar, "reading")
    assert [one["batch_id"] for one in found][-1] == "gone"
    running = [one for one in found if one["state"] not in ("bottled", "lost")]
    assert found[: len(running)] == running
    days = [one["touched_on"] for one in running]
    assert days == sorted(days, reverse=True)
    assert running[0] == {
        **{"batch_id": "asleep", "name": None},
        **{"state": running[0]["state"], "touched_on": date(2026, 7, 6)},
    }
    tasted = [one["touched_on"] for one in likely_batches(cellar, "tasting")]
    assert tasted == sorted(tasted, reverse=True)


def test_a_row_added_says_how_many_there_are(tmp_path):
    (tmp_path / "batches.csv").write_text("batch_id,started_on\nA,2026-01-10\n", encoding="utf-8")
    (tmp_path / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\n", encoding="utf-8"
    )
    cells = ["batch_id=A", "taken_on=today", "gravity=1.090", "notes=a=b"]
    assert add_cells(tmp_path, "reading", cells) == {
        **{"file": "readings.csv", "line": 2},
        **{"rows": 1, "problems": []},
    }
    with pytest.raises(LogbookError, match=r"Not written to readings.csv: gravity '1090': "):
        add_cells(tmp_path, "reading", ["batch_id=A", "taken_on=today", "gravity=1090"])
    with pytest.raises(LogbookError, match="the row says whose it is and when"):
        add_cells(tmp_path, "reading", ["batch_id=A", "taken_on=today"])
