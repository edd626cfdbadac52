"""Sentence and hint are read one after the other: the hint does not say the sentence again."""

from datetime import date
from pathlib import Path

import pytest
from unit.logbook.conftest import said_twice

from pipeline.files import project_file
from pipeline.logbook import read_logbook
from pipeline.show.text_logbook import fix_first

WORKED = Path(__file__).parents[2] / "whole" / "worked"


def test_a_doubled_hint_is_seen() -> None:
    assert said_twice("must be a number, such as 2 lb or 900 g", "such as 2 lb or 900 g")
    assert not said_twice("must be a number with a unit", "such as 2 lb or 900 g")


@pytest.mark.parametrize("folder", [project_file("data", "demo"), WORKED])
def test_no_problem_of_a_whole_logbook_is_told_twice(folder: Path) -> None:
    problems = read_logbook(folder, today=date(2026, 11, 25)).problems.rows(named=True)
    assert problems
    assert [row for row in problems if said_twice(row["message"], row["hint"])] == []


def test_the_first_thing_to_fix_reads_as_a_sentence_and_what_to_do() -> None:
    problems = read_logbook(WORKED, today=date(2026, 11, 25)).problems.rows(named=True)
    assert fix_first(problems) == (
        "additions.csv line 20: an amount must be a number with a unit → such as 2 lb or 900 g"
    )
