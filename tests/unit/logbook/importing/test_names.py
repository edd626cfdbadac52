"""Headings, moments and names of what went in, in several languages."""

import doctest
import time
from importlib import import_module

import pytest

from pipeline.logbook.contract import KINDS
from pipeline.logbook.importing.delimiting import find_delimiter
from pipeline.logbook.importing.ingredients import identify
from pipeline.logbook.importing.moments import when_of
from pipeline.logbook.importing.naming import open_name, part_amount_and_name, step_of
from pipeline.logbook.importing.plan import targets
from pipeline.logbook.importing.quantities import Facts
from pipeline.logbook.importing.vocabulary import package_rows, plain, read_name
from pipeline.logbook.units import find_unit
from pipeline.reference import additive_of, fruit_of

MODULES = [
    "decimal_marks",
    "foreign",
    "gravities",
    "ingredients",
    "moments",
    "remarks",
    "vocabulary",
]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_the_documentation_hold(name: str) -> None:
    result = doctest.testmod(import_module(f"pipeline.logbook.importing.{name}"))
    assert result.attempted > 0
    assert result.failed == 0


def test_no_spelling_stands_for_two_things() -> None:
    seen: dict[str, str] = {}
    for row in package_rows("headings.csv"):
        for spelling in row["spellings"].split("|"):
            assert seen.setdefault(plain(spelling), row["concept"]) == row["concept"], spelling


def test_every_translation_leads_to_a_name_the_tables_know() -> None:
    for row in package_rows("ingredients.csv"):
        assert row["kind"] in ("", *KINDS)
        if row["name"] and row["kind"] not in ("water", "yeast"):
            assert fruit_of(row["name"]) or additive_of(row["name"]), row["name"]


@pytest.mark.parametrize(
    ("heading", "concept", "unit"),
    [
        ("Frucht kg", "fruit", "kg"),
        ("sugar_g", "sugar", "g"),
        ("kg of fruit", "fruit", "kg"),
        ("TA (g/L as tartaric)", "ta", "g/L"),
        ("Temp °C", "must_temperature", "C"),
        ("Noté le", "date", ""),
        ("Batch No.", "batch_id", ""),
        ("O.G.", "gravity_start", ""),
        ("Volume (US gal)", "volume", "us gal"),
        ("temprature", "must_temperature", ""),
        ("moon phase", None, ""),
        ("C", None, ""),
    ],
)
def test_a_heading_is_taken_apart(heading: str, concept: str | None, unit: str) -> None:
    found = read_name(heading)
    assert (found.concept, found.unit) == (concept, unit)
    assert not unit or find_unit(unit) is not None


@pytest.mark.parametrize(
    ("heading", "when"),
    [
        *[("Day 0", "day 0"), ("d5", "day 5"), ("Tag 3", "day 3"), ("J12", "day 12")],
        *[("week 4", "week 4"), ("Woche 2", "week 2"), ("1. Monat", "month 1"), ("10/1", "10/1")],
        *[("8 Oct", "8 Oct"), ("2024-10-08", "2024-10-08"), ("12.10.", "12.10.")],
    ],
)
def test_a_heading_that_is_a_moment(heading: str, when: str) -> None:
    found = when_of(heading)
    assert found is not None
    assert found.text == when


@pytest.mark.parametrize("heading", ["notes", "sugar 2", "OG", "Dec", "marrow 3 kg", ""])
def test_a_heading_that_is_no_moment(heading: str) -> None:
    assert when_of(heading) is None


def test_names_that_mean_two_things_stay_open() -> None:
    for name in ("metabisulphite", "sulphite tabs", "acid", "stabiliser", "Prune", "moonpowder"):
        assert identify(name).is_open or identify(name).kind == "fruit", name
    assert identify("metabisulphite").readings == (
        *("potassium metabisulphite", "sodium metabisulphite"),
    )
    # What is written for an open name must not be a name that is settled silently.
    assert additive_of(open_name("metabisulphite")) is None
    assert fruit_of(open_name("plum")) is None


def test_amount_and_name_are_parted_only_if_every_part_has_both() -> None:
    from datetime import date

    facts = Facts(date(2026, 11, 25))
    assert part_amount_and_name("3 lb elderberry", facts) == [("3 lb", "elderberry")]
    assert part_amount_and_name("2 kg sloes; 200 g raisins", facts) == [
        ("2 kg", "sloes"),
        ("200 g", "raisins"),
    ]
    assert part_amount_and_name("4.0 less a cup", facts) == []
    assert part_amount_and_name("up to the neck", facts) == []
    began = time.process_time()
    assert part_amount_and_name(" 1" * 50_000, facts) == []
    assert part_amount_and_name("1 kg" + " plum" * 20_000, facts)[0].amount == "1 kg"
    assert time.process_time() - began < 2.0


def test_steps_are_known_by_their_words() -> None:
    assert (step_of("Racked"), step_of("abgefüllt"), step_of("stirred")) == ("rack", "bottle", None)


def test_the_delimiter_is_told_by_the_heading_where_commas_are_decimal() -> None:
    lines = ["Nr;Zucker kg;Wasser l", "1;1,25;3,5", "2;1,40;3,75"]
    assert find_delimiter(lines) == ";"
    assert find_delimiter(["batch\tSG", "A\t1,090"]) == "\t"


def test_every_target_is_a_column_of_the_contract_or_special() -> None:
    assert "readings.gravity" in targets()
    assert "recipes.day" not in targets()
    assert len(set(targets())) == len(targets())
