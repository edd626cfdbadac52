"""The way to a number, told at the kitchen table: short, in the maker's units, sums that add up."""

import pytest

from pipeline.show.trace_names import name_of_number, written_number
from pipeline.show.units import Units
from pipeline.show.words_trace import trace_lines


def _step(measure, value, unit="", **more):
    return {
        **{"answers": [], "of": "plum", "low": None, "high": None, "from": [], "uses": []},
        **{"how": "sum", "by": "sql/420_musts.sql", "parts": [], "rests_on": None},
        **{"source": "arithmetic on the logbook's own entries"},
        **{"measure": measure, "value": value, "unit": unit},
        **more,
    }


def _cell(line, column, written, file="additions.csv"):
    parts = {"file": file, "line": line, "column": column, "as_written": written}
    return {**parts, "value": None, "source": None}


def _told(*steps, units=None):
    return [line.text for line in trace_lines(list(steps), units or Units())]


def test_a_number_stands_with_the_cells_it_was_read_from():
    cells = [_cell(2, "amount", "4 lb"), _cell(2, "skins", "on"), _cell(9, "amount", "1 lb")]
    lines = _told(_step("fruit_kg", 2.27, "kg", **{"from": cells}), units=Units("us"))
    assert lines == [
        "Plum",
        "fruit 5.00 lb: additions.csv line 2 '4 lb', 'on' and additions.csv line 9 '1 lb' "
        "[sql/420_musts.sql]",
    ]


def test_what_it_is_worked_out_from_stands_with_its_value():
    lines = _told(
        _step("bottled_l", 3.6, "L"),
        _step("target_volume_l", 4.5, "L"),
        _step(
            "finished_fraction",
            0.8,
            "share 0–1",
            how="ratio",
            uses=("bottled_l", "target_volume_l"),
        ),
    )
    assert lines[-1] == (
        "share of the volume aimed at 80 %: bottled 3.60 L ÷ volume aimed at 4.50 L "
        "[sql/420_musts.sql]"
    )


def test_a_formula_is_named_with_its_source_cut_to_a_line():
    source = "a long source " * 20
    lines = _told(_step("alcohol", 12.0, "% vol", how="formula", by="enology.x", source=source))
    assert lines[-1].startswith("by enology.x: a long source")
    assert lines[-1].endswith(" …")
    assert len(lines[-1]) < 120


def test_parts_stand_largest_first_and_small_ones_go_together():
    parts = [
        {"what": "usual wine", "value": 3.0},
        {"what": "skins", "value": 0.04},
        {"what": "alcohol", "value": 0.04},
        {"what": "tannin_added", "value": -0.88},
    ]
    step = _step("harshness", 2.2, "of 10", how="forecast", by="learning.taste", parts=parts)
    assert _told(step)[2] == "= 3.0 your usual wine, −0.9 tannin added, +0.1 smaller things"


def test_batches_alike_are_named_with_their_lines_once():
    closest = [{"batch": "A1", "file": "batches.csv", "line": 5, "same": ["fruit"]}]
    rests = {"batches": 40, "closest": closest}
    step = _step("alcohol", 12.0, "% vol", how="forecast", by="learning.gravity", rests_on=rests)
    lines = _told(step, step | {"measure": "final_gravity", "value": 0.995, "unit": "SG"})
    told = "learnt from 40 batches, most like it A1 (batches.csv line 5)"
    assert lines.count(told) == 1


@pytest.mark.parametrize("how", ["place", "learnt from", "chosen"])
def test_what_only_programs_ask_for_is_left_out(how):
    assert _told(_step("line", 3.0, how=how)) == []


def test_nought_is_left_out_and_unknown_too():
    assert _told(_step("juice_l", 0.0, "L"), _step("sugar_kg", None, "kg")) == []


@pytest.mark.parametrize(
    ("measure", "name"),
    [
        ("change of final_gravity", "change of finished gravity"),
        ("sugar_kg of change 2", "sugar of change 2"),
        (
            "finished_fraction at 0.3 kg/L, to_mark",
            "share of the volume aimed at, 0.3 kg/L, to mark",
        ),
        ("skins: on; your smooth batches: off", "skins left on: on; your smooth batches: off"),
        ("something_odd_mg_l", "something odd"),
    ],
)
def test_measures_have_plain_names(measure, name):
    assert name_of_number(measure, Units()) == name


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(0.0021, "kg", "2.10 g"), (2.0, "kg", "2.00 kg"), (14.0, "batches", "14"), (None, "L", "–")],
)
def test_numbers_are_written_as_they_are_weighed(value, unit, text):
    assert written_number("amount_kg" if unit == "kg" else "batches", value, unit, Units()) == text
