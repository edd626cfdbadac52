"""Which files a logbook has, and what is said when it cannot be one."""

from pathlib import Path

import pytest

from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.folder import logbook_paths, read_folder

BATCHES = "batch_id,started_on\nA1,2026-01-10\n"
ADDITIONS = "batch_id,added_on,kind,ingredient,amount\n"


def _write(folder: Path, **files: str) -> Path:
    for name, text in files.items():
        (folder / name.replace("_csv", ".csv")).write_text(text, encoding="utf-8")
    return folder


def test_files_come_in_the_contracts_order_whatever_their_case(tmp_path: Path) -> None:
    _write(tmp_path, Additions_csv=ADDITIONS, batches_csv=BATCHES, other_csv="x")
    (tmp_path / "photos.csv").mkdir()
    tables = read_folder(tmp_path)
    assert [(name, table.file) for name, table in tables.items()] == [
        ("batches", "batches.csv"),
        ("additions", "Additions.csv"),
    ]


def test_no_such_folder(tmp_path: Path) -> None:
    with pytest.raises(LogbookError, match=r"there is no folder .*nowhere\. .*`hedgerow new"):
        read_logbook(tmp_path / "nowhere")


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    path = tmp_path / "batches.csv"
    path.write_text(BATCHES, encoding="utf-8")
    with pytest.raises(LogbookError, match=r"there is no folder .*batches\.csv"):
        read_logbook(path)


@pytest.mark.parametrize(
    ("files", "sentence"),
    [
        ({}, r"batches\.csv and additions\.csv are missing"),
        ({"batches_csv": BATCHES}, r"additions\.csv is missing"),
        ({"additions_csv": ADDITIONS}, r"batches\.csv is missing"),
    ],
)
def test_required_files(tmp_path: Path, files: dict[str, str], sentence: str) -> None:
    with pytest.raises(LogbookError, match=sentence):
        read_logbook(_write(tmp_path, **files))


def test_one_file_twice(tmp_path: Path) -> None:
    _write(tmp_path, Batches_csv=BATCHES, batches_csv=BATCHES, additions_csv=ADDITIONS)
    with pytest.raises(LogbookError, match=r"Batches\.csv and batches\.csv are both there"):
        read_logbook(tmp_path)


def test_a_file_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _write(tmp_path, batches_csv=BATCHES, additions_csv=ADDITIONS)

    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(LogbookError, match=r"additions\.csv cannot be opened: Permission denied"):
        read_logbook(tmp_path)


def test_paths_are_those_that_are_read(tmp_path: Path) -> None:
    _write(tmp_path, batches_csv=BATCHES, additions_csv=ADDITIONS, notes_csv="x")
    (tmp_path / "logbook.toml").write_text("", encoding="utf-8")
    assert [path.name for path in logbook_paths(tmp_path)] == [
        "additions.csv",
        "batches.csv",
        "logbook.toml",
    ]


def test_optional_files_that_are_absent_are_empty_frames_of_the_right_form(tmp_path: Path) -> None:
    checked = read_logbook(_write(tmp_path, batches_csv=BATCHES, additions_csv=ADDITIONS))
    assert set(checked.typed) == {
        "batches",
        "additions",
        "readings",
        "transfers",
        "tastings",
        "recipes",
    }
    assert checked.typed["readings"].is_empty()
    assert checked.typed["readings"].schema["gravity_sg"].is_float()
    assert set(checked.raw) == {"batches", "additions"}
    assert checked.files["file"].to_list() == ["batches.csv", "additions.csv"]
