"""Disks, permissions and names: one clear sentence, status 2, nothing half-written."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.cellar import load_cellar
from pipeline.cli import main

WORKED = Path(__file__).parent / "worked"
CALL = "import sys; from pipeline.cli import main; sys.exit(main())"
ROW = ["batch_id=W1", "taken_on=2026-01-02", "gravity=0.994"]
ODD_NAMES = [
    *("with spaces", "quo'te\"s", "new\nline", "Слива 梅", "CON", "aux.", "a%b", "-dash"),
    *("[b]bold", "x;y", "tab\ty", "ümläut\u0301", "`id`", "$HOME", "esc\x1b[2J"),
]


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    folder = tmp_path / "my logbook"
    shutil.copytree(WORKED, folder)
    return folder


def bytes_of(folder: Path) -> dict[str, bytes]:
    """Return the files of a logbook, but for what is worked out from them."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".hedgerow" not in path.parts and path.suffix != ".lock"
    }


def refused(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """Call a command that must refuse, and return its one sentence."""
    assert main([str(word) for word in words]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    (sentence,) = [line for line in captured.err.splitlines() if not line.startswith("…")]
    return sentence


def test_folders_and_files_of_any_name_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path.joinpath(*ODD_NAMES)
    shutil.copytree(WORKED, folder)
    assert main(["load", str(folder), "--json"]) == 0
    assert main(["add", "reading", str(folder), *ROW]) == 0
    for name in ODD_NAMES:
        table = tmp_path / f"{name}.csv"
        assert main(["export", str(folder), "batches", "-o", str(table)]) == 0
        assert table.stat().st_size > 0
    assert "\x1b" not in capsys.readouterr().out


def test_a_name_that_is_no_text_is_refused_where_no_file_can_be_built(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / os.fsdecode(b"bad\xff")
    shutil.copytree(WORKED, folder)
    assert main(["check", str(folder)]) == 0
    capsys.readouterr()
    assert "no text in UTF-8" in refused(capsys, "load", folder)


def _a_file(path: Path) -> None:
    path.write_text("x", encoding="utf-8")


def _a_loop(path: Path) -> None:
    path.symlink_to(path)


@pytest.mark.parametrize("put", [_a_file, _a_loop])
@pytest.mark.parametrize(
    "words",
    [["check"], ["load"], ["fit"], ["app"], ["new"], ["demo"], ["add", "reading"]],
    ids=lambda words: words[0],
)
def test_a_folder_that_is_a_file_or_a_loop_is_one_sentence(
    words: list[str], put, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path / "place")
    rest = ROW if words[0] == "add" else []
    sentence = refused(capsys, *words, tmp_path / "place", *rest)
    assert str(tmp_path / "place") in sentence
    assert [path.name for path in tmp_path.iterdir()] == ["place"]


@pytest.mark.parametrize(
    "words",
    [
        ["export", "batches", "-o", "FILE/x.csv"],
        ["export", "batches", "-o", "FILE/x.xlsx"],
        ["check", "--list", "FILE/x.html"],
        ["check", "--list", "FILE/x.csv"],
        ["check", "--list", "."],
        ["check", "--list", "FOLDER.csv"],
        ["export", "batches", "-o", "FOLDER.csv"],
    ],
    ids=" ".join,
)
def test_a_place_that_cannot_be_written_to_is_one_sentence(
    words: list[str], logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _a_file(tmp_path / "FILE")
    (tmp_path / "FOLDER.csv").mkdir()
    places = [str(tmp_path / word) if word.startswith("F") else word for word in words[1:]]
    sentence = refused(capsys, words[0], logbook, *places)
    assert "written" in sentence or "ends" in sentence
    assert sorted(path.name for path in tmp_path.iterdir()) == ["FILE", "FOLDER.csv", "my logbook"]


@pytest.mark.parametrize("name", ["batches.csv", "tastings.csv", "logbook.toml", "mine.xlsx"])
def test_nothing_is_written_over_the_logbook(
    name: str, logbook: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = bytes_of(logbook)
    for words in (["export", logbook, "batches", "-o"], ["check", logbook, "--list"]):
        sentence = refused(capsys, *words, logbook / "." / name)
        assert "would be a file of the logbook itself" in sentence
    (logbook.parent / "link").symlink_to(logbook)
    assert "logbook itself" in refused(
        capsys, "report", logbook, "-o", logbook.parent / "link" / name
    )
    assert bytes_of(logbook) == before


def test_what_is_put_in_a_logbook_beside_its_files_changes_nothing(logbook: Path) -> None:
    built = load_cellar(logbook).path.stat().st_mtime_ns
    assert main(["check", str(logbook), "--list", str(logbook / "list.html")]) == 0
    (logbook / "readings.csv.bak").write_text("x", encoding="utf-8")
    assert load_cellar(logbook).path.stat().st_mtime_ns == built


def test_a_file_that_vanishes_while_it_is_read_is_one_sentence(
    logbook: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.read_bytes

    def vanish(path: Path) -> bytes:
        if path.name == "readings.csv":
            path.unlink()
        return real(path)

    monkeypatch.setattr(Path, "read_bytes", vanish)
    assert "readings.csv cannot be opened: No such file" in refused(capsys, "load", logbook)


# Full disks and forbidden folders need a process of their own.


def call(
    folder: Path, *words: str, before: str = "", cwd: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Call the program in a process of its own, after some preparation in it."""
    code = f"{before}\n{CALL}" if before else CALL
    return subprocess.run(
        [sys.executable, "-c", code, *words, str(folder)]
        if words[0] != "add"
        else [sys.executable, "-c", code, *words, str(folder), *ROW],
        capture_output=True,
        text=True,
        cwd=cwd,
        check=False,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
    )


def one_sentence(done: subprocess.CompletedProcess[str]) -> str:
    """Return the only sentence of a refused call."""
    lines = [line for line in done.stderr.splitlines() if not line.startswith("…")]
    assert done.returncode == 2, done.stderr
    assert len(lines) == 1, done.stderr
    return lines[0]


# No file may grow beyond so many bytes: as a full disk, wherever one cannot be mounted.
SMALL_FILES = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({0}, {0}))"
COMMANDS = [["load"], ["add", "reading"]]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
@pytest.mark.parametrize("room", [0, 300])
def test_no_room_for_a_file_leaves_the_logbook_as_it_was(
    words: list[str], room: int, logbook: Path
) -> None:
    before = bytes_of(logbook)
    sentence = one_sentence(call(logbook, *words, before=SMALL_FILES.format(room)))
    assert "write" in sentence or "written" in sentence
    assert bytes_of(logbook) == before
    assert not list((logbook / ".hedgerow").glob("cellar*"))
    assert main(["load", str(logbook)]) == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Mount a disk of 512 kB, where that is allowed."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = (
        shutil.which("mount")
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        ).returncode
    )
    if not mounted:
        pytest.skip("a small disk cannot be mounted here; files that may not grow stand in for it")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def _fill_up(filler: Path) -> None:
    with filler.open("wb", buffering=0) as file:
        for _ in range(1000):
            try:
                file.write(b"x" * 4096)
            except OSError:
                return
    pytest.fail("the disk did not fill up")


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_full_disk_leaves_the_logbook_as_it_was(words: list[str], small_disk: Path) -> None:
    folder = small_disk / "wine"
    shutil.copytree(WORKED, folder)
    before = bytes_of(folder)
    filler = small_disk / "filler"
    _fill_up(filler)
    sentence = one_sentence(call(folder, *words))
    assert str(folder) in sentence
    assert bytes_of(folder) == before
    assert not list((folder / ".hedgerow").glob("cellar*"))
    filler.unlink()
    assert main(["add", "reading", str(folder), *ROW]) == 0
    assert bytes_of(folder)["readings.csv"].startswith(before["readings.csv"])


# To root every folder is open; without its privileges it is an owner like any other.
AS_ANYBODY = """
import ctypes, os, sys
if os.geteuid() == 0:
    nothing = (ctypes.c_uint32 * 6)()
    assert ctypes.CDLL(None).capset((ctypes.c_uint32 * 2)(0x20080522, 0), nothing) == 0
"""


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_folder_that_may_not_be_written_to_is_one_sentence(
    words: list[str], logbook: Path
) -> None:
    logbook.chmod(0o555)
    before = bytes_of(logbook)
    try:
        sentence = one_sentence(call(logbook, *words, before=AS_ANYBODY))
    finally:
        logbook.chmod(0o755)
    assert "Permission denied" in sentence
    assert str(logbook) in sentence
    assert bytes_of(logbook) == before


def test_a_file_that_may_not_be_read_is_one_sentence(logbook: Path) -> None:
    (logbook / "readings.csv").chmod(0o000)
    sentence = one_sentence(call(logbook, "check", before=AS_ANYBODY))
    assert "readings.csv cannot be opened: Permission denied" in sentence


def test_a_read_only_folder_can_still_be_checked(logbook: Path) -> None:
    logbook.chmod(0o555)
    try:
        assert call(logbook, "check", before=AS_ANYBODY).returncode == 0
    finally:
        logbook.chmod(0o755)


def test_output_to_a_full_disk_is_one_sentence(logbook: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-c", CALL, "check", str(logbook), "--json"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert "No space left on device" in one_sentence(done)


def test_a_letter_that_the_terminal_lacks_stops_nothing(logbook: Path) -> None:
    for coding in ("cp1252", "ascii"):
        done = subprocess.run(
            [sys.executable, "-c", CALL, "check", str(logbook), "--json"],
            capture_output=True,
            check=False,
            env=os.environ | {"PYTHONIOENCODING": coding},
        )
        assert done.returncode == 0
        assert json.loads(done.stdout.decode(coding))["problems"]
