"""A logbook begun in a folder that may hold anything else already."""

from datetime import date
from pathlib import Path

import pytest
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.folder import is_logbook
from pipeline.logbook.starting import start_logbook

SAID = {"gallon": "imperial", "show": "us", "score_out_of": "10", "dates": ""}


def test_it_is_empty_checks_clean_and_keeps_what_was_said(tmp_path: Path) -> None:
    assert not is_logbook(tmp_path)
    start_logbook(tmp_path, SAID)
    assert is_logbook(tmp_path)
    checked = read_logbook(tmp_path, today=date(2026, 6, 30))
    assert checked.problems.is_empty()
    assert checked.files["rows_read"].to_list() == [0, 0]
    settings = checked.settings
    assert (settings.gallon, settings.show, settings.score_out_of) == ("imperial", "us", 10.0)
    assert settings.dates is None
    assert (tmp_path / "datapackage.json").exists()


def test_what_is_there_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "logbook.toml").write_text('show = "metric"\n', encoding="utf-8")
    (tmp_path / "Batches.CSV").write_text("batch_id,started_on\nA,2026-01-02\n", encoding="utf-8")
    start_logbook(tmp_path, SAID)
    checked = read_logbook(tmp_path, today=date(2026, 6, 30))
    assert checked.settings.show == "metric"
    assert checked.typed["batches"]["batch_id"].to_list() == ["A"]
    assert [path.name for path in tmp_path.glob("*.[cC][sS][vV]")].count("batches.csv") == 0


def test_a_workbook_of_other_things_is_no_logbook_and_in_nobodys_way(tmp_path: Path) -> None:
    write_workbook(tmp_path / "photos.xlsx", {"Sheet1": [["jar", "where"], ["1", "cellar"]]})
    assert not is_logbook(tmp_path)
    start_logbook(tmp_path, {})
    assert read_logbook(tmp_path).files["file"].to_list() == ["batches.csv", "additions.csv"]


def test_a_workbook_with_its_sheets_is_one(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mine.xlsx", {"Batches": [["batch_id", "started_on"]]})
    assert is_logbook(tmp_path)


@pytest.mark.parametrize(
    ("setting", "text", "says"),
    [
        ("gallon", "scottish", 'gallon must be "us" or "imperial"'),
        ("score_out_of", "ten", "score_out_of must be a number from 1 to 1000"),
    ],
)
def test_a_setting_that_cannot_be_meant_starts_nothing(
    tmp_path: Path, setting: str, text: str, says: str
) -> None:
    with pytest.raises(LogbookError, match=says):
        start_logbook(tmp_path, {setting: text})
    assert list(tmp_path.iterdir()) == []
