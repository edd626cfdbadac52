"""The mapping file reads back as it was written; contract files change only where they must."""

import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.importing import propose, read_mapping, write_mapping
from pipeline.logbook.importing.contract_files import ContractFile, read_contract_file
from pipeline.logbook.importing.mapping_file import quoted
from pipeline.logbook.importing.plan import Answers, ColumnPlan
from pipeline.logbook.importing.writing import safe_name

TODAY = date(2026, 11, 25)
SHEET = propose(b"batch,date,SG\nA,2024-05-01,22\n", "log.csv", today=TODAY)
_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


@settings(deadline=None, max_examples=100)
@given(st.dictionaries(_text, _text, max_size=3), _text, _text)
def test_any_text_survives_the_mapping_file(starts: dict, written: str, use: str) -> None:
    answers = Answers(
        SHEET.columns,
        "entries",
        {"gallon": use},
        starts,
        {written: use},
        {("SG", written, ""): use, ("SG", written, "A | 22"): ""},
    )
    text = write_mapping(SHEET, answers)
    back = read_mapping(text, "log.mapping.toml", SHEET.sheet)
    asked = {start.batch_id: "" for start in SHEET.starts}
    open_cells = {(cell.heading, cell.written, cell.row): "" for cell in SHEET.cells}
    assert back.general == answers.general
    assert back.starts == asked | answers.starts
    assert back.ingredients == answers.ingredients
    assert back.cells == open_cells | answers.cells
    assert back.columns == answers.columns


def test_quotes_and_control_signs_are_written_as_toml_wants() -> None:
    assert quoted('say "hm"\n\x7f') == '"say \\"hm\\"\\n\\u007f"'


def test_a_kind_that_is_none_is_refused() -> None:
    text = write_mapping(SHEET, SHEET.answers())
    text = text.replace('to = "readings.gravity"', 'to = "readings.gravity"\nkind = "jam"')
    with pytest.raises(LogbookError, match="kind of the column 'SG' must be one of fruit"):
        read_mapping(text, "log.mapping.toml", SHEET.sheet)


def test_an_answer_for_one_row_is_not_one_for_all() -> None:
    answers = Answers(
        (ColumnPlan("SG", "readings.gravity"),),
        "entries",
        cells={("SG", "22", "A | 22"): "22 Bx", ("SG", "9", ""): "leave"},
    )
    assert answers.of_cell("SG", "22", "A | 22") == "22 Bx"
    assert answers.of_cell("SG", "22", "B | 22") == ""
    assert answers.of_cell("SG", "9", "B | 9") == ""


def test_rows_go_out_and_in_and_the_rest_keeps_its_bytes(tmp_path: Path) -> None:
    path = tmp_path / "Readings.CSV"
    path.write_bytes(b"\xef\xbb\xbfbatch_id;taken_on;gravity\r\nA;2024-01-01;1.09\r\nB;bad\r\n\r\n")
    file = read_contract_file(tmp_path, "readings")
    assert file.rows() == [{"batch_id": "A", "taken_on": "2024-01-01", "gravity": "1.09"}, {}]
    assert file.remove([{"batch_id": "A", "taken_on": "2024-01-01", "gravity": "1.09"}]) == 1
    file.append([{"batch_id": "C", "taken_on": "2024-02-01", "ph": "3.3", "notes": "a;b"}])
    assert file.data == (
        b"\xef\xbb\xbfbatch_id;taken_on;gravity;ph;notes\r\nB;bad;;\r\n\r\n"
        b'C;2024-02-01;;3.3;"a;b"\r\n'
    )


def test_a_cell_is_stored_with_the_logbooks_decimal_mark_and_never_as_a_formula() -> None:
    file = ContractFile("additions", Path("additions.csv"), b"batch_id,added_on\n", "additions.csv")
    row = {"batch_id": "1.5", "amount": "1.5 kg", "notes": "=1+1", "cost": ".5"}
    assert file.as_stored(row, ",") == {
        "batch_id": "1.5",
        "amount": "1,5 kg",
        "notes": "written as =1+1",
        "cost": ",5",
    }


def test_a_logbook_in_a_workbook_is_not_appended_to(tmp_path: Path) -> None:
    write_workbook(tmp_path / "logbook.xlsx", {"batches": [["batch_id", "started_on"]]})
    with pytest.raises(LogbookError, match="keeps its rows in a workbook"):
        read_contract_file(tmp_path, "batches")


def test_a_sheets_name_becomes_a_file_name() -> None:
    assert safe_name("old.xlsx/My wines?") == "old.xlsx_My wines_"
    assert safe_name("..") == "sheet"
    assert safe_name("../../etc/x.csv") == "_.._etc_x.csv"
    long = [safe_name(f"{'ж' * 300}.xlsx/{sheet}") for sheet in ("one", "two")]
    assert long[0] != long[1]
    assert all(
        len(f".{name}.0123456789abcdef.mapping.toml.99999.tmp".encode()) < 255 for name in long
    )


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 20_000,
        ".".join("a" * 20_000) + " = 1",
        "a = " + "9" * 10_000,
        "a = '" + "x" * 300_000 + "'",
    ],
)
def test_a_mapping_that_nobody_writes_is_refused_at_once(text: str) -> None:
    began = time.process_time()
    with pytest.raises(LogbookError, match=r"brackets within|1000 parts|digits|longer than 200 kB"):
        read_mapping(text, "old.mapping.toml", None)
    assert time.process_time() - began < 2
