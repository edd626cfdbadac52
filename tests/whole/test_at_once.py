"""Two at once: no error to anyone, no row lost, no reader sees old and new together.

`tests/scale/many_at_once.py` does the same with twenty readers and ten adders of fifty rows.
"""

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from whole.at_once import ADDER, READER, added_rows, outcome, small_logbook, started

from pipeline.calls import run
from pipeline.cellar import Cellar, load_cellar
from pipeline.cli import main
from pipeline.errors import ChangedMeanwhileError, LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.file_writing import replace_files, sole_writer


@pytest.mark.slow
def test_adders_at_the_same_time_lose_no_row(tmp_path: Path) -> None:
    folder = small_logbook(tmp_path / "wine")
    for running in [started(ADDER, folder, name, 5) for name in "abcd"]:
        outcome(running)
    assert sorted(added_rows(folder)) == sorted(
        f"{name} {row}" for name in "abcd" for row in range(5)
    )
    assert read_logbook(folder).problems.is_empty()


def _grow(folder: Path, batches: int) -> None:
    """Replace two files that belong together, as an import does."""
    new = small_logbook(folder.parent / "new", batches)
    with sole_writer(folder):
        names = ("additions.csv", "batches.csv")
        replace_files(folder, {name: (new / name).read_bytes() for name in names})


@pytest.mark.slow
def test_readers_see_the_old_logbook_or_the_new_while_it_is_written_and_loaded(
    tmp_path: Path,
) -> None:
    folder = small_logbook(tmp_path / "wine", 3)
    readers = [started(READER, folder, 3) for _ in range(2)]
    for batches in range(4, 40):
        _grow(folder, batches)
        load_cellar(folder)
        if all(reader.poll() is not None for reader in readers):
            break
    seen = [line.split() for reader in readers for line in outcome(reader).splitlines()]
    assert len(seen) == 6
    for batches, rows, additions in seen:
        assert batches == rows == additions
    assert len({counts[0] for counts in seen}) > 1


def test_two_loads_at_once_both_answer(tmp_path: Path) -> None:
    folder = small_logbook(tmp_path / "wine")
    with ThreadPoolExecutor(4) as pool:
        cellars = list(pool.map(lambda _: load_cellar(folder), range(4)))
    assert {cellar.table("batches").height for cellar in cellars} == {1}
    assert len({cellar.fingerprint() for cellar in cellars}) == 1


def test_a_cellar_built_anew_between_two_tables_is_told_and_asked_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = small_logbook(tmp_path / "wine", 3)
    cellar = load_cellar(folder)
    assert cellar.table("batches").height == 3
    _grow(folder, 4)
    load_cellar(folder)
    with pytest.raises(ChangedMeanwhileError, match="changed while it was being read"):
        cellar.table("files")
    real, calls = run._answer_once, []

    def once(*about: object) -> object:
        calls.append(about)
        if len(calls) == 1:
            cellar.table("steps")
        return real(*about)

    monkeypatch.setattr(run, "_answer_once", once)
    assert main(["load", str(folder)]) == 0
    assert len(calls) == 2
    assert "beginning again" in capsys.readouterr().err


def test_a_damaged_cellar_is_built_anew_by_the_command_that_finds_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = small_logbook(tmp_path / "wine", 3)
    path = load_cellar(folder).path
    whole = path.read_bytes()
    # Its beginning is kept: what it was built from can be read, and its tables cannot.
    for kept in range(len(whole) // 8, len(whole), len(whole) // 8):
        path.write_bytes(whole[:kept] + b"\xff" * (len(whole) - kept))
        if Cellar(path).fingerprint() is not None:
            break
    else:
        pytest.fail("no damage was found that only shows when a table is read")
    assert main(["export", str(folder), "batches", "-o", str(tmp_path / "b.csv")]) == 0
    assert "is damaged, and is built anew" in capsys.readouterr().err
    assert (tmp_path / "b.csv").read_text(encoding="utf-8").count("\n") == 4


def test_files_that_never_stand_still_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = small_logbook(tmp_path / "wine")
    real = Path.read_bytes

    def changing(path: Path) -> bytes:
        data = real(path)
        shutil.copy2(path, path.with_suffix(".old"))
        path.with_suffix(".old").replace(path)
        return data

    monkeypatch.setattr(Path, "read_bytes", changing)
    with pytest.raises(LogbookError, match="keep changing while they are read"):
        read_logbook(folder)
