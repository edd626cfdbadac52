"""Lines, quotes and delimiters: every line belongs to one record, and neighbours are untouched."""

import csv
import io
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.logbook.records import (
    LONGEST_CELL,
    Record,
    _quick_split,
    _split,
    records,
    split_lines,
)

STRAY = """batch,fruit,notes,og
Q1,plum,"stoned, halved",1.088
Q2,cherry,used 5" jar, not the big one,1.09
Q3,pear,"racked
twice, still cloudy",1.082
Q4,quince,needs more acid,1.08,,,
Q5,apple,"unfinished quote,1.079
Q6,fig,ok,1.1
"""


def _read(text: str, width: int = 4, delimiter: str = ",") -> list[Record]:
    return list(records(split_lines(text), 1, delimiter, width))


def test_stray_quotes_commas_and_line_breaks() -> None:
    found = _read(STRAY)
    assert [(record.line, record.fault) for record in found] == [
        (2, None),
        (3, "cells"),
        (4, None),
        (6, None),
        (7, "quote"),
        (8, None),
    ]
    assert found[0].cells == ("Q1", "plum", "stoned, halved", "1.088")
    assert found[1].raw == 'Q2,cherry,used 5" jar, not the big one,1.09'
    assert found[2].cells[2] == "racked\ntwice, still cloudy"
    assert found[3].cells == ("Q4", "quince", "needs more acid", "1.08")
    assert found[4].raw == 'Q5,apple,"unfinished quote,1.079'
    assert found[5].cells == ("Q6", "fig", "ok", "1.1")
    assert sum(record.lines for record in found) + 1 == len(split_lines(STRAY)) == 8


def test_an_open_quote_that_a_later_one_closes_swallows_no_row() -> None:
    text = 'h,h,h,h\nA,apple,"open,1.079\nB,fig,ok,1.1\nC,plum,end",1.2\nD,pear,"a ""b"" c",1.3\n'
    found = _read(text)
    assert [(record.cells[0], record.fault) for record in found] == [
        ("A", "quote"),
        ("B", None),
        ("C", None),
        ("D", None),
    ]
    assert found[3].cells[2] == 'a "b" c'


def test_text_after_a_closing_quote_is_a_fault_of_its_own_line() -> None:
    found = _read('h,h,h,h\nA,"5" jar",x,1\nB,b,b,2\n')
    assert [record.fault for record in found] == ["quote", None]


def test_a_short_row_is_not_filled_up() -> None:
    found = _read("h,h,h,h\nA,apple,1.079\nB,fig,ok,1.1\n")
    assert [record.fault for record in found] == ["cells", None]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_counts_as_an_editor_counts(end: str) -> None:
    text = end.join(["h,h", "A,1", "", 'B,"x', 'y"', "C,3", ""])
    found = list(records(split_lines(text), 1, ",", 2))
    assert [(record.line, record.cells) for record in found] == [
        (2, ("A", "1")),
        (3, ("",)),
        (4, ("B", "x\ny")),
        (6, ("C", "3")),
    ]


def test_odd_separators_inside_a_note_end_no_line() -> None:
    text = "h,h\nA,page\x0cbreak\x0b and \u2028 more\nB,2\n"
    assert [record.cells[0] for record in records(split_lines(text), 1, ",", 2)] == ["A", "B"]


def test_a_quote_that_is_never_closed_costs_one_row_in_a_long_file() -> None:
    rows = "".join(f"R{at},x,y,{at}\n" for at in range(3 * LONGEST_CELL))
    found = _read(f'h,h,h,h\nA,"open,y,1\n{rows}')
    assert [record.fault for record in found] == ["quote"] + [None] * 3 * LONGEST_CELL


def test_lines_that_all_seem_to_open_a_cell_are_read_in_time() -> None:
    # Outside a cell such a line opens one; within an open one it closes it and opens another.
    row = 'a""","'
    began = time.process_time()
    found = list(records([row] * 10 * LONGEST_CELL, 0, ",", 3))
    assert [record.fault for record in found] == ["quote"] * 10 * LONGEST_CELL
    assert time.process_time() - began < 2.0


# Text without bare carriage returns, which the standard writer would not quote as we read them.
CELLS = st.text(alphabet='ab1,;"\n é½', max_size=6)


@given(st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=6))
def test_what_the_standard_library_writes_is_read_back(rows: list[tuple[str, ...]]) -> None:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n", quoting=csv.QUOTE_ALL).writerows(
        [("h", "h", "h"), *rows]
    )
    found = list(records(split_lines(buffer.getvalue()), 1, ",", 3))
    swallowing = [row for row in rows if any("\n" in cell for cell in row)]
    if not swallowing:
        assert [record.cells for record in found] == rows
    assert sum(record.lines for record in found) + 1 == len(split_lines(buffer.getvalue()))


@given(st.text(alphabet='a1,;"\r\n\t', max_size=60))
def test_every_line_belongs_to_exactly_one_record(text: str) -> None:
    lines = split_lines(f"h,h,h\n{text}")
    found = list(records(lines, 1, ",", 3))
    assert sum(record.lines for record in found) == len(lines) - 1
    assert [record.line for record in found] == sorted({record.line for record in found})


@settings(max_examples=1000)
@given(st.text(alphabet='a1,"\n', max_size=24))
def test_the_quick_way_to_split_is_the_slow_one(text: str) -> None:
    quick, slow = _quick_split(text, ","), _split(text, ",")
    assert quick[1:] == slow[1:]
    assert quick.is_open or quick.cells == slow.cells
