"""What the page needs of an import step by step: sheets, a look without writing, then writing."""

import io
import zipfile
from pathlib import Path

import pytest
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import workbook_parts
from pipeline.logbook.importing import (
    Answers,
    bring_in,
    column_evidence,
    look_at,
    preview,
    propose,
    sample_cells,
    sheet_data,
    sheet_key,
    sheets_of,
    targets,
    workbooks,
)
from pipeline.logbook.importing.uploads import MOST_ROWS, refuse_long, told_apart

MESSY = Path(__file__).parents[3] / "whole" / "messy"
NAMES = sorted(path.name for path in MESSY.glob("*.csv"))
ENTRIES = b"batch,date,gravity\nA,2024-01-02,1.090\nA,2024-01-09,1.020\n"


def test_looking_writes_nothing_and_writing_what_was_looked_at(tmp_path: Path) -> None:
    (sheet,) = sheets_of("old.csv", ENTRIES, tmp_path)
    said = {sheet_key(sheet): Answers(*_proposed(ENTRIES)).answered("starts", "A", "2024-01-01")}
    (one,) = look_at([sheet], tmp_path, said)
    assert list(tmp_path.iterdir()) == []
    assert one.said == said[one.key]
    assert not one.is_mapped
    bring_in([one], tmp_path)
    assert (tmp_path / "batches.csv").read_text(encoding="utf-8").splitlines()[1:] == [
        "A,,2024-01-01,,,,,,,"
    ]
    (again,) = look_at([sheet], tmp_path)
    assert again.is_mapped
    assert again.preview.answers.starts == {"A": "2024-01-01"}
    assert sheet_data(one)["written"]["readings.csv"]["written"] == 2


def _proposed(data: bytes) -> tuple:
    found = propose(data, "old.csv")
    return found.columns, found.layout


def test_a_blocked_dose_stops_all_sheets(tmp_path: Path) -> None:
    name = "11_additions_dose_dangers.csv"
    sheets = [
        *sheets_of("old.csv", ENTRIES, tmp_path),
        *sheets_of(name, (MESSY / name).read_bytes(), tmp_path),
    ]
    with pytest.raises(LogbookError, match="must be confirmed first"):
        bring_in(look_at(sheets, tmp_path), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_an_encoding_said_on_the_page_is_used(tmp_path: Path) -> None:
    data = "batch;fruit;fruit kg\nA;třešně;2\n".encode("cp1250")
    (guessed,) = sheets_of("old.csv", data, tmp_path)
    (read,) = sheets_of("old.csv", data, tmp_path, "cp1250")
    assert guessed.rows[0].cells[1] != "třešně"
    assert read.rows[0].cells[1] == "třešně"
    assert sheets_of("old.csv", "batch;fruit\nA;třešně\n".encode(), tmp_path, "cp1250")[
        0
    ].encoding.startswith("UTF-8")


def test_every_column_says_why_it_is_taken_for_what_it_is() -> None:
    found = propose((MESSY / "13_wide_days_across.csv").read_bytes(), "13.csv")
    why = dict(
        zip(
            (p.heading for p in found.columns),
            column_evidence(found.sheet, found.columns),
            strict=True,
        )
    )
    assert why["Day 0"].startswith("the heading says when it was: day 0; ")
    assert why["Started"].startswith(
        "'Started' is a usual name for it; 3 of 3 cells filled, such as "
    )
    other = Answers(found.columns, found.layout).with_column(0, "to", "notes").columns
    assert column_evidence(found.sheet, other)[0].startswith("as you have said; ")


def test_evidence_of_columns_nobody_knows() -> None:
    sheet = propose(b"batch,,gubbins,raisins (g)\nA,x,y,200\nB,,,100\n", "old.csv").sheet
    columns, _ = _proposed(b"batch,,gubbins,raisins (g)\nA,x,y,200\nB,,,100\n")
    _, nameless, unknown, raisins = column_evidence(sheet, columns)
    assert nameless == "the column has no heading; 1 of 2 cells filled, such as x"
    assert unknown.startswith("the heading is no name that is known here; ")
    assert raisins.startswith("the heading names raisin")


def test_samples_are_few_and_short() -> None:
    rows = "\n".join(f"A,2024-01-02,{'x' * 60}{at}" for at in range(9))
    sheet = propose(f"batch,date,notes\n{rows}\n".encode(), "old.csv").sheet
    samples = sample_cells(sheet, 2)
    assert len(samples) == 3 or len(set(samples)) == len(samples)
    assert all(len(sample) <= 41 for sample in samples)


@pytest.mark.parametrize("name", NAMES)
def test_whatever_a_column_is_taken_for_its_cells_are_accounted_for(name: str) -> None:
    found = propose((MESSY / name).read_bytes(), name)
    for at in range(len(found.columns)):
        for target in targets():
            answers = found.answers().with_column(at, "to", target)
            counts = preview(found, answers).counts()
            fates = ("loaded", "held", "rejected", "empty")
            assert counts["cells"] == sum(counts[f"cells_{fate}"] for fate in fates), target


def test_a_plan_begins_anew_with_what_the_column_is() -> None:
    found = propose(b"batch,date,sugar kg\nA,2024-01-02,1\n", "old.csv")
    answers = found.answers().with_column(2, "to", "readings.volume")
    assert answers.columns[2] == ("sugar kg", "readings.volume", "kg", "", "", "", "", "")
    assert answers.with_column(2, "unit", "L").columns[2].unit == "L"
    assert found.answers().columns[2].to == "additions.amount"


def test_files_of_one_name_are_numbered() -> None:
    assert told_apart(["a.csv", "a.csv", "b", "b", "a.csv"]) == [
        *("a.csv", "a (2).csv", "b", "b (2)", "a (3).csv")
    ]


def test_a_long_sheet_is_for_the_command_line() -> None:
    def sheet(rows: int):
        return propose(b"batch,date,gravity\n" + b"A,2024-01-02,1.090\n" * rows, "x.csv").sheet

    refuse_long(sheet(3))
    long = sheet(3)
    object.__setattr__(long, "rows", long.rows * MOST_ROWS)
    with pytest.raises(LogbookError, match=r"has 15000 rows.*hedgerow import FILE --into"):
        refuse_long(long)


def test_a_workbook_that_unpacks_to_very_much_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 3_000_000)
    monkeypatch.setattr(workbook_parts, "MOST_UNPACKED", 2_000_000)
    with pytest.raises(LogbookError, match=r"bomb\.xlsx unpacks to more than 2 MB"):
        workbooks.read_workbook_sheets(buffer.getvalue(), "bomb.xlsx")


def test_a_cell_far_outside_the_notes_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.xlsx"
    write_workbook(path, {"notes": [["batch", "date"], *[[""] * 30] * 20, ["A", "2024-01-02"]]})
    monkeypatch.setattr(workbooks, "_MOST_CELLS", 40)
    with pytest.raises(LogbookError, match=r"old\.xlsx/notes reaches over 21 rows and 29 columns"):
        workbooks.read_workbook_sheets(path.read_bytes(), "old.xlsx")


def test_a_broken_workbook_is_refused_in_words() -> None:
    with pytest.raises(LogbookError, match=r"broken\.xlsx cannot be read as a workbook"):
        workbooks.read_workbook_sheets(b"PK\x03\x04 no workbook", "broken.xlsx")
