"""One row more: checked like any other, written whole or not at all, in the file's own form."""

import os
import stat
import subprocess
import sys
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import add as add_module
from pipeline.logbook import read_logbook
from pipeline.logbook.add import Entry, add_entry
from pipeline.logbook.folder import read_folder

TODAY = date(2026, 6, 30)
READING = {"batch_id": "A1", "taken_on": "2026-01-12", "gravity": "1.082"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "batches.csv").write_text("batch_id,started_on\nA1,2026-01-10\n", encoding="utf-8")
    (tmp_path / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\nA1,2026-01-10,fruit,plum,2 kg\n",
        encoding="utf-8",
    )
    (tmp_path / "readings.csv").write_text("batch_id,taken_on,gravity,notes\n", encoding="utf-8")
    return tmp_path


def _add(folder: Path, kind: str = "reading", /, **cells: str) -> Entry:
    return add_entry(folder, kind, READING | cells if kind == "reading" else cells, today=TODAY)


def test_a_sound_row_is_written_and_loads(folder: Path) -> None:
    entry = _add(folder, notes='first, "rough"\nsecond line')
    assert (entry.is_written, entry.file, entry.line) == (True, "readings.csv", 2)
    assert entry.problems.is_empty()
    readings = read_logbook(folder, today=TODAY).typed["readings"]
    assert readings.select("line", "gravity_sg", "notes").rows() == [
        (2, 1.082, 'first, "rough"\nsecond line')
    ]


@pytest.mark.parametrize(
    ("cells", "rule", "hint"),
    [
        ({"gravity": "1082"}, "out-of-range", "1.082"),
        ({"batch_id": "A2"}, "no-such-batch", "add the batch"),
        ({"taken_on": "2027-01-12"}, "in-the-future", "check the year"),
        ({"taken_on": ""}, "missing", None),
        ({"taken_on": "12/01/2026"}, "date-order", "2026-01-12"),
    ],
)
def test_a_row_that_does_not_pass_is_not_written(
    folder: Path, cells: dict[str, str], rule: str, hint: str | None
) -> None:
    before = (folder / "readings.csv").read_bytes()
    entry = _add(folder, **cells)
    assert not entry.is_written
    assert entry.problems["rule"].to_list() == [rule]
    assert entry.problems["line"].to_list() == [2]
    assert hint is None or hint in entry.problems["hint"][0]
    assert (folder / "readings.csv").read_bytes() == before
    assert not (folder / "readings.csv.bak").exists()


def test_a_warning_is_told_and_the_row_written(folder: Path) -> None:
    _add(folder)
    entry = _add(folder, taken_on="2026-01-20", gravity="1.095")
    assert entry.is_written
    assert entry.problems.select("level", "rule").rows() == [("warning", "gravity-rises")]


def test_faults_that_were_there_before_do_not_keep_a_row_out(folder: Path) -> None:
    with (folder / "readings.csv").open("a", encoding="utf-8") as file:
        file.write('A1,2026-01-11,"open,\nA9,2026-01-11,1.08,\n')
    entry = _add(folder)
    assert (entry.is_written, entry.line) == (True, 4)
    assert entry.problems.is_empty()


@pytest.mark.parametrize(
    ("kind", "cells"),
    [
        ("batch", {"batch_id": "A2", "started_on": "1 Feb 2026"}),
        (
            "addition",
            {
                "batch_id": "A1",
                "added_on": "2026-01-11",
                "kind": "sugar",
                "ingredient": "white sugar",
                "amount": "1 lb 14 oz",
            },
        ),
        (
            "transfer",
            {"batch_id": "A1", "moved_on": "2026-01-20", "step": "strain", "volume_after": "4 L"},
        ),
        ("tasting", {"batch_id": "A1", "tasted_on": "2026-06-01", "taster": "Ada", "score": "14"}),
        (
            "recipe",
            {"recipe": "plum", "day": "0", "kind": "fruit", "ingredient": "plum", "amount": "2 kg"},
        ),
    ],
)
def test_every_kind_of_entry(folder: Path, kind: str, cells: dict[str, str]) -> None:
    entry = _add(folder, kind, **cells)
    assert entry.is_written, entry.problems
    checked = read_logbook(folder, today=TODAY)
    name = add_module.ENTRIES[kind]
    row = checked.raw[name].row(by_predicate=pl.col("line") == entry.line, named=True)
    assert {column: row[column] for column in cells} == cells


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_the_file_keeps_its_form(folder: Path, codec: str, delimiter: str, end: str) -> None:
    path = folder / "readings.csv"
    old = end.join(["batch_id,taken_on,gravity,notes", "A1,2026-01-11,1.083,mûre", ""])
    path.write_bytes(old.replace(",", delimiter).encode(codec))
    assert _add(folder, notes=f"pêche{delimiter}½").is_written
    new = f'A1,2026-01-12,1.082,"pêche{delimiter}½"{end}'
    expected = old.replace(",", delimiter) + new.replace(",", delimiter)
    assert path.read_bytes() == expected.encode(codec)
    assert path.with_name("readings.csv.bak").read_bytes() == old.replace(",", delimiter).encode(
        codec
    )


def test_a_last_line_without_an_end_is_ended_first(folder: Path) -> None:
    path = folder / "readings.csv"
    path.write_bytes(b"batch_id,taken_on,gravity,notes\nA1,2026-01-11,1.083,")
    assert _add(folder).line == 3
    assert path.read_bytes().endswith(b"1.083,\nA1,2026-01-12,1.082,\n")


def test_a_column_the_file_lacks_is_added_and_other_rows_keep_their_faults(folder: Path) -> None:
    path = folder / "readings.csv"
    path.write_text(
        'Batch ID,taken_on,gravity\nA1,2026-01-11,1.083\nA1,2026-01-11\n\nA1,2026-01-11,"x\ny"\n',
        encoding="utf-8",
    )
    before = read_logbook(folder, today=TODAY).problems
    entry = _add(folder, ph="3.4")
    assert entry.is_written
    assert path.read_text(encoding="utf-8") == (
        "Batch ID,taken_on,gravity,ph\nA1,2026-01-11,1.083,\nA1,2026-01-11,\n\n"
        'A1,2026-01-11,"x\ny",\nA1,2026-01-12,1.082,3.4\n'
    )
    after = read_logbook(folder, today=TODAY)
    assert after.problems["rule"].to_list() == before["rule"].to_list()
    assert after.typed["readings"]["ph"].to_list() == [None, 3.4]


def test_a_file_that_is_not_there_yet_is_begun(folder: Path) -> None:
    (folder / "readings.csv").unlink()
    assert _add(folder).line == 2
    assert read_logbook(folder, today=TODAY).files["rows_loaded"].to_list() == [1, 1, 1]


def test_what_a_spreadsheet_would_run_is_refused(folder: Path) -> None:
    with pytest.raises(
        LogbookError, match=r"notes must not begin with '=', got '=1\+1': .* formula"
    ):
        _add(folder, notes="=1+1")


def test_a_letter_the_encoding_lacks_is_refused(folder: Path) -> None:
    path = folder / "readings.csv"
    path.write_bytes("batch_id,taken_on,gravity,notes\nA1,2026-01-11,1.083,mûre\n".encode("cp1252"))
    with pytest.raises(LogbookError, match="kept as Windows-1252, which cannot hold '→'"):
        _add(folder, notes="1.083 → 1.082")


@pytest.mark.parametrize(
    ("kind", "cells", "sentence"),
    [
        ("racking", {}, "an entry must be one of batch, addition, .*, got 'racking'"),
        (
            "reading",
            {"gravty": "1"},
            r"readings\.csv has no column gravty\. It has batch_id, taken_on",
        ),
    ],
)
def test_calls_that_cannot_be_meant(folder: Path, kind: str, cells: dict, sentence: str) -> None:
    with pytest.raises(LogbookError, match=sentence):
        add_entry(folder, kind, cells, today=TODAY)


def test_rows_are_not_added_to_a_workbook(tmp_path: Path) -> None:
    sheets: dict = {
        "batches": [["batch_id", "started_on"], ["A1", "2026-01-10"]],
        "additions": [["batch_id", "added_on", "kind", "ingredient", "amount"]],
        "readings": [["batch_id", "taken_on", "gravity"]],
    }
    write_workbook(tmp_path / "mine.xlsx", sheets)
    with pytest.raises(LogbookError, match=r"mine\.xlsx/readings is a sheet of a workbook"):
        _add(tmp_path)


def test_a_crash_while_writing_leaves_the_old_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (folder / "readings.csv").read_bytes()

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(LogbookError, match="cannot be written to: No space left on device"):
        _add(folder)
    assert (folder / "readings.csv").read_bytes() == before
    assert not list(folder.glob("*.tmp"))


def test_a_file_saved_elsewhere_meanwhile_is_read_again(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = folder / "readings.csv"
    calls = []

    def read_and_interfere(where: Path) -> dict:
        tables = read_folder(where)
        calls.append(where)
        if len(calls) == 1:
            monkeypatch.setattr(add_module, "file_state", _state_then_save(path))
        return tables

    monkeypatch.setattr(add_module, "read_folder", read_and_interfere)
    assert _add(folder).is_written
    loaded = read_logbook(folder, today=TODAY).typed["readings"]
    assert loaded["gravity_sg"].to_list() == [1.09, 1.082]


def _state_then_save(path: Path):
    """Return the file's state once, then save a row behind the writer's back."""
    real = add_module.file_state
    states = []

    def state(where: Path) -> object:
        found = real(where)
        states.append(found)
        if len(states) == 2:
            with path.open("a", encoding="utf-8") as file:
                file.write("A1,2026-01-11,1.09,\n")
            return real(where)
        return found

    return state


def test_permissions_stay(folder: Path) -> None:
    path = folder / "readings.csv"
    path.chmod(0o640)
    _add(folder)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_linked_file_stays_linked(folder: Path) -> None:
    real = folder / "kept elsewhere.csv"
    (folder / "readings.csv").rename(real)
    (folder / "readings.csv").symlink_to(real)
    assert _add(folder).is_written
    assert (folder / "readings.csv").is_symlink()
    assert real.read_text(encoding="utf-8").count("\n") == 2


WRITER = """
import sys
from datetime import date
from pathlib import Path
from pipeline.logbook.add import add_entry

folder, writer = Path(sys.argv[1]), int(sys.argv[2])
for day in range(1, 6):
    cells = {"batch_id": "A1", "taken_on": f"2026-02-{5 * writer + day:02}", "ph": "3.4"}
    assert add_entry(folder, "reading", cells, today=date(2026, 6, 30)).is_written
"""


def test_two_writers_at_once_both_land(folder: Path) -> None:
    root = Path(add_module.__file__).parents[2]
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(folder), str(writer)], cwd=root)
        for writer in range(2)
    ]
    assert [writer.wait(timeout=120) for writer in writers] == [0, 0]
    days = read_logbook(folder, today=TODAY).typed["readings"]["taken_on"].sort().to_list()
    assert days == [date(2026, 2, day) for day in range(1, 11)]


def test_the_rows_that_the_file_has_are_counted(folder: Path) -> None:
    assert _add(folder, notes="two\nlines").rows == 1
    assert _add(folder, taken_on="2026-01-13").rows == 2
    assert _add(folder, gravity="1082").rows == 2


@pytest.mark.parametrize(
    ("kind", "cells"),
    [
        ("reading", {"gravity": "", "instrument": "refractometer"}),
        ("tasting", {"batch_id": "A1", "tasted_on": "2026-06-01", "taster": "Ada", "blind": "yes"}),
    ],
)
def test_a_row_that_says_nothing_is_not_written(
    folder: Path, kind: str, cells: dict[str, str]
) -> None:
    before = (folder / "readings.csv").read_bytes()
    entry = _add(folder, kind, **cells)
    assert not entry.is_written
    assert entry.problems["rule"].to_list() == ["nothing-said"]
    assert "such as a gravity" in entry.problems["hint"][0]
    assert entry.rows == 0
    assert (folder / "readings.csv").read_bytes() == before
    assert not (folder / "tastings.csv").exists()
