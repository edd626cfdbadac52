"""What the forms ask fits the contract, and what they say afterwards is a sentence."""

import pytest

from pipeline.logbook.add import ENTRIES
from pipeline.logbook.contract import FILES
from pipeline.logbook.importing import targets
from pipeline.logbook.settings import settings_from
from pipeline.show import words_add, words_begin, words_import, words_import_columns
from pipeline.show import words_import_page as page_words
from pipeline.show.units import Units
from pipeline.show.words_add_forms import forms


@pytest.mark.parametrize("show", ["metric", "us", "imperial"])
def test_every_column_is_asked_for_once_and_every_choice_is_allowed(show):
    for form in forms(Units(show)):
        asked = [ask.column for ask in (*form.usual, *form.more)]
        columns = {column.name: column for column in FILES[ENTRIES[form.kind]]}
        assert sorted(asked) == sorted(columns)
        usual = [ask.column for ask in form.usual]
        required = [name for name, column in columns.items() if column.is_required]
        assert set(required) <= set(usual), form.kind
        for ask in (*form.usual, *form.more):
            if ask.column not in ("form", "blind") and columns[ask.column].choices:
                assert set(ask.choices) - {""} == set(columns[ask.column].choices)


def test_examples_are_in_the_units_the_maker_thinks_in():
    examples = {
        show: {ask.column: ask.example for form in forms(Units(show)) for ask in form.usual}
        for show in ("metric", "us", "imperial")
    }
    assert examples["us"]["temperature"] == "68 F"
    assert examples["metric"]["temperature"] == examples["imperial"]["temperature"] == "20 C"
    assert examples["imperial"]["target_volume"] == "1 imp gal"
    assert "lb" in examples["us"]["amount"]


def test_what_is_written_down_is_counted():
    files = [
        {"file": "batches.csv", "rows_read": 2},
        {"file": "club.xlsx/Readings", "rows_read": 1},
        {"file": "recipes.csv", "rows_read": 9},
        {"file": "tastings.csv", "rows_read": 0},
    ]
    assert words_add.written_down(files) == "2 batches and 1 reading so far."
    assert words_add.written_down([]) == "Nothing is written down yet."


def test_a_refusal_names_the_field_what_was_typed_and_what_to_type():
    form = forms(Units())[0]
    problems = [
        {"column": "gravity", "value": "1090", "message": "it is out", "hint": "1.090"},
        {"column": None, "value": None, "message": "the row says nothing", "hint": None},
    ]
    assert words_add.refused_lines(form, problems) == [
        "Gravity '1090': it is out. Instead: 1.090.",
        "The row: the row says nothing.",
    ]
    assert words_add.warning_lines(problems) == ["It is out. 1.090.", "The row says nothing."]


def test_who_thinks_in_gallons_writes_their_own():
    said = {name: next(iter(one.choices), one.value) for name, one in words_begin.SETTINGS.items()}
    assert words_begin.settings_said(said)["gallon"] == ""
    assert words_begin.settings_said(said | {"show": "us"})["gallon"] == "us"
    for name, one in words_begin.SETTINGS.items():
        for choice in one.choices:
            if choice:
                settings_from({name: choice})


def test_everything_a_column_can_be_has_words():
    assert list(words_import_columns.meanings()) == targets()
    assert set(words_import_columns._MEANINGS) == set(targets())
    assert set(words_import_columns._DETAILS_OF) <= set(targets())
    plan = dict.fromkeys(("ingredient", "kind", "step", "when", "basis", "unit"), "")
    assert words_import_columns.column_meaning({**plan, "to": "readings.ph"}) == "pH"
    assert (
        words_import_columns.column_meaning(
            {**plan, "to": "transfers.volume_after", "step": "bottle", "unit": "L"}
        )
        == "wine after the step: at bottling, in L"
    )


def test_an_answer_can_be_taken_back_and_a_choice_is_in_words():
    assert page_words.options(("yes",)) == ["", "yes"]
    assert page_words.options(("us", "imperial", "leave")) == ["us", "imperial", "leave"]
    assert words_import.choice_words("gallon", "us") == "US, 3.785 L"
    assert words_import.choice_words("gallon", "leave") == words_import.NOT_SAID
    assert words_import.encodings("cp1252")[0] == "cp1252"
    assert len(set(words_import.encodings("latin-1"))) == len(words_import.encodings("cp1252")) + 1
    for name in words_import.encodings("cp1252"):
        "".encode(name)


def test_a_long_list_says_how_much_more_there_is():
    assert page_words.first_of(["a"] * 3) == ["a"] * 3
    shown = page_words.first_of([str(at) for at in range(45)])
    assert (len(shown), shown[-1]) == (41, "… and 5 more; the report lists every one")
