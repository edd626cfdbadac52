"""What is due: one case for each rule, and each rule's silence."""

from datetime import date

import polars as pl
import pytest

from pipeline.advice.due import due
from pipeline.advice.years import home_limits_l, year_totals
from pipeline.cellar import load_cellar
from pipeline.show import words_due
from pipeline.show.units import Units

TODAY = date(2026, 8, 1)
FILES = {
    "logbook.toml": 'gallon = "us"\nshow = "metric"\ncurrency = "GBP"\n',
    "batches.csv": "batch_id,started_on,target_volume,status\n"
    "fruit in,2026-07-20,4 L,fermenting\n"
    "strained,2026-07-20,4 L,fermenting\n"
    "standing,2026-06-01,4 L,fermenting\n"
    "unracked,2026-07-01,4 L,ageing\n"
    "racked once,2026-06-01,4 L,ageing\n"
    "racked twice,2026-03-01,4 L,ageing\n"
    "in bottles,2025-12-01,4 L,bottled\n"
    "tasted,2025-12-01,4 L,bottled\n"
    "gone,2026-07-01,4 L,lost\n"
    "fresh,2026-07-30,4 L,fermenting\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount,cost\n"
    "fruit in,2026-07-20,fruit,plum,1.5 kg,4.50\n"
    "strained,2026-07-20,fruit,plum,1.5 kg,\n"
    "standing,2026-06-01,juice,apple juice,4 L,\n"
    "fresh,2026-07-30,fruit,plum,1.5 kg,\n",
    "readings.csv": "batch_id,taken_on,gravity\n"
    "fruit in,2026-07-20,1.090\n"
    "strained,2026-07-20,1.090\n"
    "strained,2026-07-24,1.050\n"
    "standing,2026-06-01,1.090\n"
    "standing,2026-06-15,1.030\n"
    "standing,2026-06-25,1.030\n",
    "transfers.csv": "batch_id,moved_on,step,volume_after,bottles\n"
    "strained,2026-07-25,strain,4 L,\n"
    "unracked,2026-07-08,strain,4 L,\n"
    "racked once,2026-06-08,strain,4 L,\n"
    "racked once,2026-06-20,rack,3.8 L,\n"
    "racked twice,2026-03-08,strain,4 L,\n"
    "racked twice,2026-04-01,rack,3.8 L,\n"
    "racked twice,2026-05-20,rack,3.7 L,\n"
    "in bottles,2026-02-01,bottle,,5\n"
    "tasted,2026-02-01,bottle,,5\n",
    "tastings.csv": "batch_id,tasted_on,taster,score\ntasted,2026-07-10,Ann,12\n",
    "recipes.csv": "recipe,day,kind,ingredient,amount\n",
}


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shelf")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    return load_cellar(folder, today=TODAY)


@pytest.fixture(scope="module")
def waiting(shelf):
    return {row["batch_id"]: row for row in due(shelf, TODAY).iter_rows(named=True)}


@pytest.mark.parametrize(
    ("batch", "code", "due_on"),
    [
        ("fruit in", "fruit_out", date(2026, 7, 30)),
        ("strained", "read", date(2026, 7, 31)),
        ("standing", "stuck", date(2026, 6, 25)),
        ("unracked", "rack", date(2026, 7, 22)),
        ("racked once", "rack", date(2026, 8, 1)),
        ("racked twice", "bottle", date(2026, 7, 1)),
        ("in bottles", "taste", date(2026, 8, 2)),
        ("fresh", "read", date(2026, 8, 6)),
    ],
)
def test_each_batch_waits_for_its_next_thing(waiting, batch, code, due_on):
    assert (waiting[batch]["code"], waiting[batch]["due_on"]) == (code, due_on)


def test_the_longest_overdue_comes_first_and_nothing_else_is_asked(shelf, waiting):
    assert set(waiting) == {row for row in shelf.table("batches")["batch_id"]} - {"gone", "tasted"}
    days = due(shelf, TODAY)["overdue_days"].to_list()
    assert days == sorted(days, reverse=True)


def test_a_missed_age_is_not_asked_for_for_ever(shelf):
    asked = due(shelf, date(2027, 6, 1)).filter(pl.col("batch_id") == "in bottles")
    assert asked.is_empty()


def test_what_is_due_is_said_in_words(shelf):
    frame = due(shelf, TODAY)
    assert words_due.due_answer(frame) == (
        "8 batches wait for something by a week from today; 5 of them should have had it already."
    )
    assert words_due.due_lines(frame)[:3] == [
        "Stands still, check its warmth, strength and nitrogen: standing.",
        "Take the fruit out: fruit in.",
        "Read the gravity: strained and fresh.",
    ]
    many = pl.concat([frame.filter(pl.col("code") == "stuck")] * 6)
    assert words_due.due_lines(many)[0].endswith("standing, standing and 2 more.")
    rows = {row[0]: row for row in words_due.due_listing(frame).rows}
    assert rows["standing"][1].startswith("has stood still since 25 June 2026")
    assert rows["in bottles"][1:] == (
        "open a bottle: it is 6 months old",
        "in 1 day",
        "bottled on 1 February 2026",
    )
    assert rows["racked twice"][2] == "4 weeks ago"
    assert words_due.due_answer(frame.clear()) == "Nothing is due within a week."


def test_years_add_up_without_what_was_lost(shelf):
    totals = year_totals(shelf.table("batches"))
    assert totals["year"].to_list() == [2026, 2025]
    assert totals["batches"].to_list() == [7, 2]
    assert totals["bottles"].to_list() == [0, 10]
    # Bottled 5 x 0.75 L twice; the rest as far as they have come: 4 strained, racked or aimed at.
    assert totals["made_l"].to_list() == pytest.approx([4 * 5 + 3.8 + 3.7, 7.5])
    assert totals["cost"].to_list() == [4.5, None]
    listing = words_due.years_listing(totals, Units("metric", "GBP"))
    assert listing.rows[0] == ("2026", "7", "27.50 L", "–", "GBP 4.50")


def test_the_yearly_rule_is_shown_and_defers_to_the_law(shelf):
    totals = year_totals(shelf.table("batches"))
    text = words_due.home_rule(totals, home_limits_l(), Units())
    # 100 and 200 US gal (27 CFR 24.75) of 3.785 L.
    assert "378.54 L a year with one adult and 757.08 L" in text
    assert text.endswith("Your local law decides.")
    assert "above the first" not in text
    large = totals.with_columns(made_l=pl.lit(400.0))
    assert "above the first" in words_due.home_rule(large, home_limits_l(), Units())
