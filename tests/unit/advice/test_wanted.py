"""What a maker wants whatever is changed is read from plain words, and refused in plain words."""

import pytest

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.wanted import KEPT, Wanted, read_wanted
from pipeline.errors import HedgerowError


@pytest.mark.parametrize("text", ["11-13", "11 - 13", "11 to 13", "11–13 %", "11%-13%"])
def test_a_strength_is_read_however_it_is_typed(text: str) -> None:
    assert read_wanted({"strength": text}).strength == (11.0, 13.0)


def test_everything_that_can_be_wanted() -> None:
    wanted = read_wanted(
        {
            "strength": "11,5-13",
            "cost_per_bottle": "1,50",
            "full": "90 %",
            "keep": ["yeast", "Skins"],
        },
        ",",
    )
    assert wanted == Wanted((11.5, 13.0), 1.5, 0.9, frozenset({"yeast", "skins"}))
    assert read_wanted({}) == Wanted()


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"strength": "12"}, "--strength must be the lowest and the highest"),
        ({"strength": "strong"}, "--strength must be the lowest and the highest"),
        ({"strength": "13-11"}, "--strength must rise"),
        ({"strength": "11-45"}, "between 0 and 20"),
        ({"cost_per_bottle": "cheap"}, "--cost-per-bottle must be a number such as 1.50"),
        ({"cost_per_bottle": "-1"}, "--cost-per-bottle must be a number"),
        ({"full": "950"}, "--full is the share of the volume aimed at"),
        ({"keep": ["wine"]}, "--keep does not know 'wine'. It takes: fruit, sugar, water"),
    ],
)
def test_what_cannot_be_meant_is_refused(options: dict, says: str) -> None:
    with pytest.raises(HedgerowError, match=says.replace(".", r"\.")):
        read_wanted(options)


@pytest.mark.parametrize(
    ("kind", "field", "word"),
    [
        ("fruit", "amount", "fruit"),
        ("fruit", "skins", "skins"),
        ("fruit", "form", "form"),
        ("fruit", "removed_day", "days"),
        ("honey", "amount", "sugar"),
        ("water", "amount", "water"),
        ("yeast", "yeast", "yeast"),
        ("recipe", "sweeten_to", "sweetness"),
        ("recipe", "ferment_temperature", "temperature"),
        ("enzyme", "amount", "enzyme"),
    ],
)
def test_each_word_keeps_its_own_thing_and_nothing_else(kind: str, field: str, word: str) -> None:
    edit = Edit(2, kind, None, field, "a", "b")
    kept_by = [name for name in KEPT if not Wanted(keep=frozenset({name})).allows(edit)]
    assert kept_by == [word]
