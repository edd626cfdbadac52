"""An empty logbook: it checks clean, says what belongs where, and overwrites nothing."""

import json
from datetime import date
from pathlib import Path

import pytest

from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.datapackage import data_package
from pipeline.logbook.new import write_new_logbook
from pipeline.logbook.settings import Settings


def test_a_new_logbook_checks_clean(tmp_path: Path) -> None:
    write_new_logbook(tmp_path / "mine")
    checked = read_logbook(tmp_path / "mine", today=date(2026, 6, 30))
    assert checked.problems.is_empty(), checked.problems
    assert checked.files["rows_loaded"].to_list() == [1] * len(FILES)
    assert checked.settings == Settings()
    for name, raw in checked.raw.items():
        assert raw.columns[1:-1] == list(column_names(name))


def test_the_example_among_batches_of_the_makers_own_is_pointed_at(tmp_path: Path) -> None:
    write_new_logbook(tmp_path)
    batches = tmp_path / "batches.csv"
    own = "P1,plum,2026-01-10" + "," * 7
    batches.write_text(f"{batches.read_text(encoding='utf-8')}{own}\n", encoding="utf-8")
    found = read_logbook(tmp_path, today=date(2026, 6, 30)).problems
    (left,) = found.filter(rule="example-left").to_dicts()
    assert (left["level"], left["line"], left["value"]) == ("warning", 2, "example")
    assert "counts as a batch" in left["message"]
    mine = batches.read_text(encoding="utf-8").replace("an example: replace it with", "Ada's")
    batches.write_text(mine, encoding="utf-8")
    again = read_logbook(tmp_path, today=date(2026, 6, 30)).problems
    assert again.filter(rule="example-left").is_empty()


def test_every_file_is_named_and_the_package_describes_them(tmp_path: Path) -> None:
    written = write_new_logbook(tmp_path)
    assert {path.name for path in written} == {path.name for path in tmp_path.iterdir()}
    package = json.loads((tmp_path / "datapackage.json").read_text(encoding="utf-8"))
    assert package == data_package()


def test_every_setting_is_in_the_settings_file_ready_to_use(tmp_path: Path) -> None:
    write_new_logbook(tmp_path)
    path = tmp_path / "logbook.toml"
    lines = [line.removeprefix("# ") for line in path.read_text(encoding="utf-8").splitlines()]
    kept = [line for line in lines if " = " in line or line.startswith("[")]
    path.write_text("\n".join(kept), encoding="utf-8")
    checked = read_logbook(tmp_path, today=date(2026, 6, 30))
    assert checked.problems.is_empty()
    assert checked.settings.gallon == "us"
    assert checked.settings.counts["sulphite tablet"] == pytest.approx(0.00044)


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "batches.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(
        LogbookError, match=r"holds batches\.csv already, and nothing is overwritten"
    ):
        write_new_logbook(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["batches.csv"]
    assert (tmp_path / "batches.csv").read_text(encoding="utf-8") == "mine"


def test_a_place_that_cannot_be_written_to(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(LogbookError, match=r"file/mine cannot be written to: Not a directory"):
        write_new_logbook(tmp_path / "file" / "mine")
