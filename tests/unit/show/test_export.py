"""Tables for other programs: numbers stay numbers, texts stay texts, nothing runs."""

import io
import zipfile
from datetime import date

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from pipeline.errors import LogbookError
from pipeline.show.export import FORMULA_SIGNS, harmless, write_table

FRAME = pl.DataFrame(
    {
        "batch_id": ["=1+1", "-2", "@SUM(A1)", "plain", "\tcmd", None],
        "started_on": [date(2026, 1, day) for day in range(1, 7)],
        "gravity": [0.994, -1.5, None, 1.0, 1.09, float("nan")],
        "bottles": [5, 6, None, 0, 1, 2],
        "unknown": [["sugar_g", "acid_g"], [], None, ["x"], [], []],
    }
)


def test_a_csv_runs_nothing_and_keeps_its_numbers(tmp_path):
    path = tmp_path / "t.csv"
    write_table(FRAME, path, mark=True)
    text = path.read_bytes()
    assert text.startswith(b"\xef\xbb\xbf")
    rows = pl.read_csv(io.BytesIO(text), infer_schema_length=0)
    assert rows["batch_id"].to_list() == ["'=1+1", "'-2", "'@SUM(A1)", "plain", "'\tcmd", None]
    # A number below nought is no formula: it stays a number.
    assert rows["gravity"].to_list()[:3] == ["0.994", "-1.5", None]
    assert rows["gravity"][5] is None
    assert rows["started_on"][0] == "2026-01-01"
    assert rows["unknown"].to_list()[:3] == ["sugar_g; acid_g", "", None]
    write_table(FRAME, path)
    assert not path.read_bytes().startswith(b"\xef\xbb\xbf")


def test_parquet_keeps_every_type(tmp_path):
    path = tmp_path / "t.parquet"
    write_table(FRAME, path)
    assert pl.read_parquet(path).equals(FRAME)


def test_a_workbook_holds_texts_numbers_and_dates_and_no_formula(tmp_path):
    path = tmp_path / "t.xlsx"
    write_table(FRAME, path)
    rows = CalamineWorkbook.from_path(path).get_sheet_by_index(0).to_python()
    assert rows[0] == FRAME.columns
    assert [row[0] for row in rows[1:4]] == ["=1+1", "-2", "@SUM(A1)"]
    assert rows[1][1:4] == [date(2026, 1, 1), 0.994, 5.0]
    with zipfile.ZipFile(path) as inside:
        sheets = [name for name in inside.namelist() if name.startswith("xl/worksheets/sheet")]
        assert sheets
        assert all(b"<f>" not in inside.read(name) for name in sheets)


@pytest.mark.parametrize("ending", ["csv", "parquet", "xlsx"])
def test_an_empty_table_is_written_with_its_headings(tmp_path, ending):
    path = tmp_path / f"t.{ending}"
    write_table(FRAME.clear(), path)
    assert path.stat().st_size > 0
    assert not list(tmp_path.glob(".*"))


@pytest.mark.parametrize(
    "name", ["t.txt", "t", "nowhere/t.csv", "nowhere/t.xlsx", "nowhere/t.parquet"]
)
def test_what_cannot_be_written_is_one_sentence_and_leaves_nothing(tmp_path, name):
    with pytest.raises(LogbookError, match=r"ends otherwise|cannot be written: .*Name another"):
        write_table(FRAME, tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@given(st.text())
def test_no_text_begins_like_a_formula(text):
    told = harmless(text)
    assert not told.lstrip(" ").startswith(FORMULA_SIGNS)
    assert told in (text, f"'{text}")
