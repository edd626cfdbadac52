"""What is said of a recipe as chosen: only what changes, with its range."""

from unit.show.samples import SUGGEST

from pipeline.show import words_adjust as words
from pipeline.show.units import Units


def test_only_what_changes_is_said() -> None:
    units = Units(currency="GBP")
    same = {"before": SUGGEST["before"], "after": SUGGEST["before"]}
    assert words.adjusted_answer(same, units) == words.NOTHING_MOVES
    changed = {"before": SUGGEST["before"], "after": SUGGEST["after"]}
    said = words.adjusted_answer(changed, units)
    assert said != words.NOTHING_MOVES
    assert ", not " in said


def test_what_was_chosen_is_said_as_it_is_to_be_written() -> None:
    said = words.keep_it({"changes": SUGGEST["changes"][:1]})
    assert said.startswith("To keep it, write it into recipes.csv under a new name: ")
    assert SUGGEST["changes"][0]["to"] in said
