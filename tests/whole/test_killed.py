"""A call killed at any moment: the logbook is as it was or has the whole entry, and repairs itself.

`tests/scale/kill_at_random.py` does the same two hundred times, at random moments.
"""

import json
import os
import random
import shutil
from pathlib import Path

import duckdb
import polars as pl
import pytest
from whole.killing import files_of, kill_at_random, killed_at_each_step, leavings_of

import pipeline
from pipeline.cellar import Cellar, load_cellar
from pipeline.cli import main
from pipeline.demo import write_demo
from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.file_writing import repair, replace_files, sole_writer

WORKED = Path(__file__).parent / "worked"
OLD_NOTES = (
    "Batch,Started,Plum kg,Sugar kg,Water L,OG,FG,Bottled,Bottles\n"
    "A1,2024-08-01,2.0,1.1,3.5,1.085,0.996,2025-03-01,6\n"
    "A2,2024-08-05,1.5,1.0,3.5,1.080,0.994,2025-03-01,6\n"
)
OLD_READINGS = "Batch,Date,SG\nA1,2024-08-10,1.020\nA2,2024-08-12,1.015\n"
ADDED = ["add", "reading", "LOGBOOK", "batch_id=W1", "taken_on=2026-01-02", "gravity=0.994"]


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    folder = tmp_path / "logbook"
    shutil.copytree(WORKED, folder)
    return folder


@pytest.mark.slow
def test_an_entry_is_written_whole_or_not_at_all(logbook: Path) -> None:
    before = files_of(logbook)
    *killed, whole = killed_at_each_step(logbook, ADDED)
    after = files_of(whole)
    assert after["readings.csv"].startswith(before["readings.csv"])
    assert len(killed) > 8
    found = []
    for copy in killed:
        found.append(files_of(copy))
        assert found[-1] in (before, after)
        last = copy / "readings.csv.bak"
        assert not last.exists() or last.read_bytes() == before["readings.csv"]
        left = leavings_of(copy)
        said = repair(copy)
        assert (said is not None) == bool(left)
        assert leavings_of(copy) == []
        assert files_of(copy) == found[-1]
    # Killed early it is not there, killed late it is.
    assert found[0] == before
    assert found[-1] == after


@pytest.mark.slow
def test_an_import_is_written_whole_or_not_at_all(logbook: Path) -> None:
    notes = logbook.parent / "old.csv"
    notes.write_text(OLD_NOTES, encoding="utf-8")
    more = logbook.parent / "more.csv"
    more.write_text(OLD_READINGS, encoding="utf-8")
    call = ["import", str(notes), str(more), "--into"]
    main([*call, str(logbook)])
    before = files_of(logbook)
    *killed, whole = killed_at_each_step(logbook, [*call, "LOGBOOK"], every=3)
    after = files_of(whole)
    together = (".csv", ".written.json")
    changed = {
        name for name in after if name.endswith(together) and after[name] != before.get(name)
    }
    assert {"batches.csv", "additions.csv", "readings.csv", "transfers.csv"} < changed
    assert sum(name.endswith(".written.json") for name in changed) == 2
    assert b"A2,2024-08-12,1.015" in after["readings.csv"]
    states = []
    for copy in killed:
        repair(copy)
        found = files_of(copy)
        assert leavings_of(copy) == []
        # All files of both sheets are the new ones, or all are the old ones.
        states.append({found.get(name) == after[name] for name in changed})
        assert states[-1] in ({True}, {False})
        read_logbook(copy)
    assert states[0] == {False}
    assert states[-1] == {True}
    for copy in killed[:: len(killed) // 2]:
        assert main([*call, str(copy)]) == 0
        rows = {name for name in changed if "/" not in name}
        assert {name: files_of(copy)[name] for name in rows} == {name: after[name] for name in rows}


@pytest.mark.slow
@pytest.mark.parametrize(("command", "longest"), [("load", 0.5), ("fit", 1.2)])
def test_a_killed_build_leaves_the_old_cellar_or_the_new(
    command: str, longest: float, logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chance = random.Random(20261125)
    before = files_of(logbook)
    for _ in range(2):
        marks = {Cellar(logbook / ".hedgerow" / "cellar.duckdb").fingerprint()}
        (logbook / "batches.csv").touch()
        kill_at_random([command, str(logbook)], chance, longest)
        assert files_of(logbook) == before
        left = leavings_of(logbook)
        capsys.readouterr()
        assert main(["load", str(logbook)]) == 0
        assert not left or "left unfinished is cleared away" in capsys.readouterr().err
        assert leavings_of(logbook) == []
        assert Cellar(logbook / ".hedgerow" / "cellar.duckdb").fingerprint() not in (marks, None)


def _unfinished(folder: Path, name: str, beside: str, content: bytes = b"new") -> None:
    """Leave a journal as a writer leaves it that is killed just after it."""
    (folder / name).with_name(beside).write_bytes(content)
    (folder / ".logbook.journal").write_text(json.dumps([[name, beside]]), encoding="utf-8")


@pytest.mark.parametrize("command", ["check", "load"])
def test_the_next_command_finishes_what_was_begun_and_says_so(
    command: str, logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = (logbook / "readings.csv").read_bytes() + b"W1,2026-02-02,0.993\n"
    _unfinished(logbook, "readings.csv", ".hedgerow-1-0.tmp", content)
    assert main([command, str(logbook)]) == 0
    assert "what an earlier run had begun to write is finished" in capsys.readouterr().err
    assert (logbook / "readings.csv").read_bytes() == content
    assert leavings_of(logbook) == []
    assert main([command, str(logbook)]) == 0
    assert "earlier run" not in capsys.readouterr().err


def test_what_was_never_finished_is_cleared_away_and_said(
    logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = files_of(logbook)
    (logbook / ".hedgerow-77-0.tmp").write_bytes(b"half a fi")
    assert main(["check", str(logbook)]) == 0
    assert "it had changed nothing" in capsys.readouterr().err
    assert leavings_of(logbook) == []
    assert files_of(logbook) == before


@pytest.mark.parametrize(
    ("name", "beside"),
    [
        ("../outside.csv", ".hedgerow-1-0.tmp"),
        ("imports/../../outside.csv", ".hedgerow-1-0.tmp"),
        ("a/b/outside.csv", ".hedgerow-1-0.tmp"),
        ("..", ".hedgerow-1-0.tmp"),
        ("batches.csv", "../outside.csv"),
        ("batches.csv", "additions.csv"),
    ],
)
def test_a_journal_from_elsewhere_touches_nothing(name: str, beside: str, logbook: Path) -> None:
    outside = logbook.parent / "outside.csv"
    outside.write_bytes(b"mine")
    before = files_of(logbook)
    (logbook / ".hedgerow-1-0.tmp").write_bytes(b"theirs")
    (logbook / ".logbook.journal").write_text(json.dumps([[name, beside]]), encoding="utf-8")
    repair(logbook)
    assert outside.read_bytes() == b"mine"
    assert files_of(logbook) == before


@pytest.mark.parametrize("journal", ["", "[1]", '[["a"]]', "null", "[[1, 2]]", "\0", "[" * 9999])
def test_a_journal_that_is_none_is_dropped(journal: str, logbook: Path) -> None:
    before = files_of(logbook)
    (logbook / ".logbook.journal").write_text(journal, encoding="utf-8")
    repair(logbook)
    assert files_of(logbook) == before
    assert leavings_of(logbook) == []


def test_files_that_cannot_all_be_written_stay_as_they_were(
    logbook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = files_of(logbook)
    real = os.fsync
    calls = iter([real, real])

    def refuse(handle: int) -> None:
        fsync = next(calls, None)
        if fsync is None:
            raise OSError(28, "No space left on device")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", refuse)
    contents = {f"{name}.csv": b"new" for name in ("batches", "additions", "readings")}
    with pytest.raises(LogbookError, match="cannot be written to: No space"), sole_writer(logbook):
        replace_files(logbook, contents)
    assert files_of(logbook) == before
    assert leavings_of(logbook) == []


def test_a_demo_that_was_cut_off_is_finished(tmp_path: Path) -> None:
    write_demo(tmp_path / "demo")
    whole = files_of(tmp_path / "demo")
    (tmp_path / "demo" / "recipes.csv").unlink()
    (tmp_path / "demo" / "tastings.csv").unlink()
    write_demo(tmp_path / "demo")
    assert files_of(tmp_path / "demo") == whole
    (tmp_path / "demo" / "recipes.csv").unlink()
    (tmp_path / "demo" / "batches.csv").write_bytes(b"mine")
    with pytest.raises(LogbookError, match="is not the demo logbook"):
        write_demo(tmp_path / "demo")


def test_the_cellar_of_another_version_is_built_anew(logbook: Path) -> None:
    path = load_cellar(logbook).path
    whole = path.read_bytes()
    changed = bytearray(whole)
    changed[12:20] = (999).to_bytes(8, "little")  # the version of the file's own format
    for other in (bytes(changed), b"not a database at all", whole[:5000], b""):
        path.write_bytes(other)
        assert load_cellar(logbook).table("batches").height == 4


def _errors(problems: pl.DataFrame) -> int:
    return problems.filter(pl.col("level") == "error").height


def test_a_cellar_that_another_version_built_is_built_anew_whatever_columns_there_are(
    logbook: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for path in logbook.glob("*.csv"):
        heading, *rows = path.read_text(encoding="utf-8").splitlines()
        more = [f"{row},waning" for row in rows]
        path.write_text("\n".join([f"{heading},moon", *more, ""]), encoding="utf-8")
    with monkeypatch.context() as earlier:
        earlier.setattr(pipeline, "__version__", "0.0.1")
        cellar = load_cellar(logbook)
        mark = cellar.fingerprint()
    with duckdb.connect(cellar.path) as connection:
        connection.execute("drop table glasses; create table tastes_of_old (batch text)")
    found = load_cellar(logbook)
    assert found.fingerprint() not in (mark, None)
    assert "tastes_of_old" not in found.tables()
    assert found.table("batches").height == 4
    assert found.table("glasses").height == 4
    problems = found.table("problems")
    assert set(problems.filter(pl.col("rule") == "unknown-column")["column"]) == {"moon"}
    assert _errors(problems) == _errors(read_logbook(WORKED).problems)
