"""When running batches will be done, said at the kitchen table."""

from datetime import date

import pytest
from unit.show.samples import FINISH, course

from pipeline.show import words_finish
from pipeline.show.units import Units

JUST_NOW, LATER = date(2026, 8, 10), date(2026, 9, 5)


@pytest.mark.parametrize(
    ("found", "today", "said"),
    [
        ({}, JUST_NOW, "Nothing is fermenting."),
        ({"batches": [course("a"), course("b")]}, JUST_NOW, "a should be done first, about 20 Aug"),
        ({"batches": [course("a"), course("b")]}, LATER, "By now a and b should be done: read"),
        ({"batches": [course("a", done=None)]}, JUST_NOW, "look at their warmth"),
        (
            {"without_curve": ["c"]},
            JUST_NOW,
            "1 batch that ferments has only one gravity yet, so that no one can say",
        ),
    ],
)
def test_the_answer_names_the_next_thing_to_do(found, today, said):
    assert said in words_finish.finish_answer(FINISH | found, today)


def test_many_that_should_be_done_are_counted():
    found = FINISH | {"batches": [course(name) for name in "abcdef"]}
    assert "By now a, b, c, d and 2 more should" in words_finish.finish_answer(found, LATER)


def test_the_table_says_the_end_and_between_which_dates():
    found = FINISH | {"batches": [course("a"), course("b", done=None)]}
    rows = words_finish.finish_listing(found, Units()).rows
    assert rows[0] == (
        "a",
        "1.015",
        "0.995 (0.992 to 0.998)",
        "20 Aug 2026",
        "14 to 30 Aug 2026",
    )
    assert rows[1][3:] == ("–", "–")
    assert words_finish.finish_note(found["batches"][1]) == "slow: no date can be told"


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ("2026-08-14", "2026-08-14", "14 Aug 2026"),
        ("2026-08-14", "2026-08-30", "14 to 30 Aug 2026"),
        ("2026-08-30", "2026-09-02", "30 Aug to 2 Sep 2026"),
        ("2026-12-30", "2027-01-02", "30 Dec 2026 to 2 Jan 2027"),
    ],
)
def test_what_two_days_share_is_said_once(low, high, said):
    one = course("a") | {"done_on": {"value": low, "low": low, "high": high}}
    rows = words_finish.finish_listing(FINISH | {"batches": [one]}, Units()).rows
    assert rows[0][-1] == said


def test_a_pace_from_few_batches_is_doubted():
    few = FINISH | {"batches": [course("a")], "batches_learnt_from": 3, "without_curve": ["c", "d"]}
    assert words_finish.finish_doubts(few) == [
        "Only 3 finished batches tell how fast your wines ferment.",
        "2 batches that ferment have only one gravity yet: c and d.",
    ]
    assert words_finish.finish_doubts(FINISH) == []
