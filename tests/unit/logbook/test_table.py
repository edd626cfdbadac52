"""One file as text cells: headings, delimiters, and two ways that give the same cells."""

import codecs
import csv
import io
from collections.abc import Sequence

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from pipeline.errors import LogbookError
from pipeline.logbook import lines as lines_module
from pipeline.logbook import plain as plain_module
from pipeline.logbook import table as table_module
from pipeline.logbook.decoding import decode
from pipeline.logbook.headings import contract_name, find_heading
from pipeline.logbook.records import Record, record_at, records, split_lines
from pipeline.logbook.table import SourceTable, read_csv_table

HEADING = "batch_id,started_on,name,notes\n"


def _read(text: str | bytes, name: str = "batches") -> SourceTable:
    data = text if isinstance(text, bytes) else text.encode()
    return read_csv_table(data, name, f"{name}.csv")


def _by_hand(text: str | bytes, patch: pytest.MonkeyPatch) -> list[int]:
    """Return the lines of a file at which a record was looked at by hand."""
    looked: list[int] = []

    def look(lines: Sequence[str], at: int, delimiter: str, width: int) -> Record:
        looked.append(at + 1)
        return record_at(lines, at, delimiter, width)

    patch.setattr(table_module, "record_at", look)
    _read(text)
    return looked


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_told_from_the_heading(delimiter: str) -> None:
    text = f"{HEADING}A1,2026-01-10,Plum; dark,a note\n".replace(",", delimiter)
    found = _read(text.replace("; dark", " dark") if delimiter == ";" else text)
    assert found.delimiter == delimiter
    assert found.cells["batch_id"].to_list() == ["A1"]
    assert found.cells["notes"].to_list() == ["a note"]


def test_a_line_that_names_the_separator_is_no_heading() -> None:
    found = _read("sep=;\nbatch_id;started_on\nA1;2026-01-10\n")
    assert found.cells.rows() == [(3, "A1", "2026-01-10")]


def test_the_byte_order_mark_is_no_part_of_the_first_heading() -> None:
    found = _read(codecs.BOM_UTF8 + f"{HEADING}A1,2026-01-10,,\n".encode())
    assert found.headings[0].name == "batch_id"
    assert found.encoding == "UTF-8 with a byte order mark"


@pytest.mark.parametrize(
    ("written", "name", "unit"),
    [
        ("volume (L)", "volume", "L"),
        ("temperature [F]", "temperature", "F"),
        ("Temperature (°C)", "temperature", "C"),
        ("Batch ID", "batch_id", None),
        (" batch-id ", "batch_id", None),
        ("ta (g/L)", "ta", "g/L"),
        ("volume(us gal)", "volume", "gal"),
        ("gravity (my own)", "gravity_(my_own)", None),
    ],
)
def test_headings(written: str, name: str, unit: str | None) -> None:
    found_name, found_unit = contract_name(written)
    assert (found_name, found_unit.name if found_unit else None) == (name, unit)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", r"batches\.csv is empty\. Its first line must name the columns: batch_id, started_on"),
        ("\n \n", r"batches\.csv is empty"),
        (
            "batch_id,name\nA,b\n",
            "must have the column started_on; its first line names batch_id, name",
        ),
        ("hello\n", "must have the columns batch_id, started_on; its first line names hello"),
        ("batch_id,started_on,Batch ID\n", "names the column batch_id twice"),
    ],
)
def test_a_heading_that_cannot_be_used(text: str, sentence: str) -> None:
    with pytest.raises(LogbookError, match=sentence):
        _read(text)


def test_unknown_and_unnamed_columns_are_kept_as_written() -> None:
    found = _read("batch_id,Line,started_on,,Line\nA1,7,2026-01-10,lost,8\n")
    assert found.cells.columns == ["line", "batch_id", "Line", "started_on", "column 4", "Line (5)"]
    assert found.cells.row(0) == (2, "A1", "7", "2026-01-10", "lost", "8")


def test_content_under_no_heading_is_not_dropped() -> None:
    found = _read("batch_id,started_on,,\nA1,2026-01-10,,\nA2,2026-01-11,,lost\n")
    assert found.cells["batch_id"].to_list() == ["A1"]
    assert [(row.line, row.raw) for row in found.ragged] == [(3, "A2,2026-01-11,,lost")]


def test_lines_blank_lines_and_records_add_up() -> None:
    found = _read(f'{HEADING}A1,2026-01-10,"x\ny",\n\n,,,\nA2,2026-01-11,Plum\n')
    assert (found.lines, found.blank_lines, found.rows_read) == (6, 2, 2)
    assert [row.fault for row in found.ragged] == ["cells"]


@pytest.mark.parametrize(
    "text",
    [
        f"{HEADING}A1,2026-01-10,x,y\n",
        f"{HEADING}A1,2026-01-10,x,y",
        f"{HEADING}A1,2026-01-10,,\nA2,2026-01-11, ,½\n",
        f"{HEADING}A1,2026-01-10,x,y\nA2,2026-01-10,x,y\n".replace("\n", "\r\n"),
        HEADING,
        HEADING.strip(),
        f'{HEADING}A1,2026-01-10,"x",y\n',
        f'{HEADING}A1,2026-01-10,"x, ""y""",""\n"A,2",,"""",\n'.replace("\n", "\r\n"),
        '"batch_id","started_on",name,"notes, long"\nA1,2026-01-10,x,"y"\n',
    ],
)
def test_the_short_way_is_taken_and_agrees(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert _by_hand(text, monkeypatch) == []
    _assert_both_ways_agree(text, monkeypatch)


@pytest.mark.parametrize(
    ("rows", "looked"),
    [
        ('A1,2026-01-10,"x"z,y\n', [3]),
        ('A1,2026-01-10,5" jar,y\n', [3]),
        ('A1,2026-01-10,"x\ny",z\n', [3]),
        ('A1,2026-01-10,"x,y\nA2,2026-01-10,x",y\n', [3, 4]),
        ('"","","",""\n', [3]),
        ('" ",2026-01-10,x,y\n', [3]),
        ("A1,2026-01-10,x\n", [3]),
        ("A1,2026-01-10,x,y,z\n", [3]),
        ("A1,2026-01-10,x\nA2,2026-01-10,x,y,z\n", [3, 4]),
        ("\nA1,2026-01-10,x,y\n", [3]),
        (",,,\n", [3]),
        ("A1,2026-01-10,x\ry,z\n", [3, 4]),
        ('\ufeffA1,2026-01-10,"x",y\n', [3]),
        ("\u00a0,2026-01-10,x,y\n", [3]),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_only_an_odd_record_is_looked_at_by_hand(
    rows: str, looked: list[int], end: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = f"{HEADING}A0,2026-01-09,x,y\n{rows}A9,2026-01-19,x,y\n".replace("\n", end)
    assert _by_hand(text, monkeypatch) == looked
    _assert_both_ways_agree(text, monkeypatch)


@pytest.mark.parametrize(
    ("text", "looked"),
    [
        ("batch_id,started_on,,\nA1,2026-01-10,,\nA2,2026-01-11,,lost\n", [3]),
        (f"\n{HEADING}A1,2026-01-10,x,y\n", []),
        (f"sep=,\n{HEADING}A1,2026-01-10,x,y\n", []),
    ],
)
def test_an_odd_heading_costs_no_other_line(
    text: str, looked: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _by_hand(text, monkeypatch) == looked
    _assert_both_ways_agree(text, monkeypatch)


@pytest.mark.parametrize("codec", ["utf-8", "utf-16", "cp1252"])
def test_an_unreadable_letter_costs_its_own_line(
    codec: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = "".join(f"A{at},2026-01-10,mûre,y\n" for at in range(5))
    data = (HEADING + rows).encode(codec)
    # Byte 0x9d is no letter of Windows-1252 and no UTF-8; in UTF-16 it leaves half a letter.
    bad = data.replace("A3".encode(codec)[-2:], {"utf-16": b"\x00\xdc"}.get(codec, b"\x9d"))
    assert _by_hand(bad, monkeypatch) == [5]
    assert [(row.line, row.fault) for row in _read(bad).ragged] == [(5, "letters")]
    _assert_both_ways_agree(bad, monkeypatch)


LINES = st.text(alphabet='A1,;"\r\n\t ½', max_size=60)


@settings(max_examples=300)
@given(text=LINES)
def test_both_ways_agree_on_any_text(text: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        _assert_both_ways_agree(HEADING + text, patch)


@settings(max_examples=100)
@given(rows=st.lists(st.tuples(*[st.sampled_from(["A", "1 lb", "½", " ", "x y"])] * 4), max_size=5))
def test_both_ways_agree_on_regular_rows(rows: list[tuple[str, ...]]) -> None:
    text = HEADING + "".join(",".join(row) + "\n" for row in rows)
    with pytest.MonkeyPatch.context() as patch:
        _assert_both_ways_agree(text, patch)


@settings(max_examples=200)
@given(
    rows=st.lists(st.tuples(*[st.text(alphabet='a1", ½', min_size=1, max_size=4)] * 4), max_size=5),
    quoting=st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]),
)
def test_both_ways_agree_on_quoted_rows(rows: list[tuple[str, ...]], quoting: int) -> None:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n", quoting=quoting).writerows(rows)  # type: ignore[arg-type]
    with pytest.MonkeyPatch.context() as patch:
        _assert_both_ways_agree(HEADING + buffer.getvalue(), patch)


@settings(max_examples=300)
@given(
    rows=st.lists(
        st.one_of(
            st.just("A1,2026-01-10,plum,a note"),
            st.just('A2,2026-01-10,"plum, dark","he said ""so"""'),
            st.text(alphabet='A1,;"\t ½é\u00a0', max_size=24),
            st.text(alphabet='A,"\n', max_size=24),
        ),
        max_size=30,
    ),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    block=st.sampled_from([1, 40, 1 << 24]),
    damage=st.integers(0, 900),
)
def test_both_ways_agree_on_plain_rows_among_odd_ones(
    rows: list[str], codec: str, end: str, block: int, damage: int
) -> None:
    data = (HEADING + "\n".join(rows)).replace("\n", end).encode(codec)
    at = len(HEADING.replace("\n", end).encode(codec)) + damage
    if at < len(data):
        # One byte that most encodings do not have there, below the heading.
        data = data[:at] + b"\x9d" + data[at + 1 :]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lines_module, "BLOCK", block)
        patch.setattr(plain_module, "BLOCK", block)
        _assert_both_ways_agree(data, patch)


def _assert_both_ways_agree(text: str | bytes, patch: pytest.MonkeyPatch) -> None:
    short = _read(text)
    patch.setattr(table_module, "is_regular", lambda *_: False)
    patch.setattr(
        table_module, "plain_lines", lambda lines, _form: np.zeros(len(lines), dtype=bool)
    )
    careful = _read(text)
    assert_frame_equal(short.cells, careful.cells)
    assert short.ragged == careful.ragged
    assert (short.lines, short.rows_read) == (careful.lines, careful.rows_read)
    assert short.blank_lines == careful.blank_lines
    assert short.headings == careful.headings
    _assert_is_what_the_text_says(short, text if isinstance(text, bytes) else text.encode())


def _assert_is_what_the_text_says(table: SourceTable, data: bytes) -> None:
    """Compare with every record read one by one from the whole file as text."""
    text = decode(data, table.file).text
    lines = split_lines(text)
    heading_at, delimiter = find_heading(text, table.name, table.file)
    found = [
        record
        for record in records(lines, heading_at + 1, delimiter, len(table.headings))
        if any(cell.strip() for cell in record.cells)
    ]
    assert table.lines == len(lines)
    assert [row.line for row in table.ragged] == [r.line for r in found if r.fault]
    assert table.cells.rows() == [
        (record.line, *(cell or None for cell in record.cells))
        for record in found
        if not record.fault
    ]


def test_a_blank_at_the_very_end_is_outside_its_cell() -> None:
    assert _read(f"{HEADING}A1,2026-01-10,x,y ").stripped("notes").to_list() == ["y"]


def test_nothing_is_inferred() -> None:
    text = f"{HEADING}007,2E3,1e400,true\n0x1F,NaN,null,1_000\n"
    found = _read(text)
    assert found.cells.rows() == [
        (2, "007", "2E3", "1e400", "true"),
        (3, "0x1F", "NaN", "null", "1_000"),
    ]
    assert set(found.cells.dtypes[1:]) == {pl.String()}


def test_a_later_change_of_form_does_not_move_the_heading() -> None:
    text = f"{HEADING}A1,2026-01-10,x,y\nA2;2026-01-11;x;y\nA3;2026-01-12;x;y\n"
    found = _read(text)
    assert found.cells["batch_id"].to_list() == ["A1"]
    assert [row.line for row in found.ragged] == [3, 4]
