"""What is more than any logbook is refused at once, with the limit named."""

import os
import time
from pathlib import Path

import pytest

from pipeline.errors import LogbookError
from pipeline.logbook import limits, read_logbook
from pipeline.logbook.headings import read_headings
from pipeline.logbook.limits import MOST_FAULTY_ROWS, read_bounded, refuse_long_lines
from pipeline.logbook.settings import read_settings
from pipeline.logbook.table import read_csv_table

HEADING = b"batch_id,taken_on,gravity,notes\n"
SECONDS = 2.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "batches.csv").write_bytes(b"batch_id,started_on\nA,2025-01-01\n")
    (tmp_path / "additions.csv").write_bytes(b"batch_id,added_on,kind,ingredient,amount\n")
    return tmp_path


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (HEADING + b"A,2025-01-02,1.080," + b"x" * 300_000 + b"\n", "line 2 .*longer than 200 kB"),
        (b"x" * 300_000, "line 1 .*longer than 200 kB"),
        (HEADING + b'A,2025-01-02,1.080,"' + b'""' * 150_000 + b'"\n', "line 2 .*200 kB"),
        (b"batch_id" + b"," * 5000 + b"taken_on\n", "5001 columns .*at most 1000"),
        (HEADING + b"A,2025-01-02,1.0\x0080,\n", "zero bytes"),
    ],
)
def test_more_than_any_logbook_holds_is_refused(folder: Path, content: bytes, says: str) -> None:
    (folder / "readings.csv").write_bytes(content)
    started = time.process_time()
    with pytest.raises(LogbookError, match=says):
        read_logbook(folder)
    assert time.process_time() - started < SECONDS


def test_a_long_note_and_many_columns_still_load(folder: Path) -> None:
    extra = ",".join(f"own {at}" for at in range(900))
    row = b"A,2025-01-02,1.080," + b"x" * 150_000 + b"," * 900
    (folder / "readings.csv").write_bytes(HEADING.rstrip() + f",{extra}\n".encode() + row + b"\n")
    checked = read_logbook(folder)
    assert checked.typed["readings"]["gravity_sg"].to_list() == [1.08]
    assert len(checked.typed["readings"]["notes"][0]) == 150_000


def test_a_file_longer_than_the_most_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(b"")
    os.truncate(path, limits.MOST_BYTES + 1)
    with pytest.raises(LogbookError, match=r"readings\.csv is longer than 1000 MB"):
        read_bounded(path)
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("it was read"))
    with pytest.raises(LogbookError, match="longer than 5 kB"):
        read_bounded(path, 5_000)


@pytest.mark.parametrize("end", [b"\n", b"\r", b"\r\n"])
def test_only_the_long_line_counts(end: bytes) -> None:
    line = b"x" * (limits.LONGEST_LINE - len(end)) + end
    refuse_long_lines(line * 20 + b"short", "old.csv")
    with pytest.raises(LogbookError, match=r"line 21 of old\.csv is longer"):
        refuse_long_lines(line * 20 + b"x" * (limits.LONGEST_LINE + 1), "old.csv")


def test_a_sentence_names_the_first_of_many_columns() -> None:
    with pytest.raises(LogbookError, match="c19 and 480 more") as refusal:
        read_headings([f"c{at}" for at in range(500)], "readings", "readings.csv")
    assert len(str(refusal.value)) < 400


def _named_pipe(path: Path) -> None:
    os.mkfifo(path)


def _link_to_itself(path: Path) -> None:
    path.symlink_to(path)


def _link_to_nowhere(path: Path) -> None:
    path.symlink_to("nowhere.csv")


@pytest.mark.parametrize("name", ["readings.csv", "batches.csv", "logbook.toml"])
@pytest.mark.parametrize(
    ("put", "says"),
    [
        (Path.mkdir, "is a folder, and must be a file"),
        (_link_to_itself, "cannot be opened: Too many levels|is a link to"),
        (_link_to_nowhere, r"is a link to nowhere\.csv, and nothing can be read there"),
        (_named_pipe, "is no file that can be read to its end"),
    ],
)
def test_what_stands_in_place_of_a_file_is_refused_and_not_passed_over(
    folder: Path, name: str, put, says: str
) -> None:
    (folder / name).unlink(missing_ok=True)
    put(folder / name)
    with pytest.raises(LogbookError, match=f"{name} ({says})"):
        read_logbook(folder)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = " + "[" * 400 + "]" * 400, "brackets within brackets|more than 500"),
        ("a = [\n" * 3000 + "]" * 300, "cannot be read"),
        (".".join("a" * 5000) + " = 1", "more than 500 letters"),
        ("score_out_of = " + "9" * 450, "must be a number from 1 to 1000, got 999"),
        ("harsh_from = 0x" + "f" * 480, "must be a number from 0 to 10"),
        ("gallon = [" + "1," * 200 + "]", "must be .us. or .imperial., got .{80}…"),
        ("# nothing\n" * 5000, "longer than 20 kB"),
        ('currency = "\0"', "cannot be read"),
        ("dates = 1979-05-27", "must be .day-first."),
        ("harsh_from = nan", "must be a number from 0 to 10, got nan"),
    ],
)
def test_settings_that_no_maker_writes_are_refused_at_once(
    folder: Path, text: str, says: str
) -> None:
    (folder / "logbook.toml").write_text(text, encoding="utf-8")
    started = time.process_time()
    with pytest.raises(LogbookError, match=says) as refusal:
        read_settings(folder)
    assert time.process_time() - started < SECONDS
    assert len(str(refusal.value)) < 500


def test_many_unknown_settings_are_read_in_time(folder: Path) -> None:
    (folder / "logbook.toml").write_text(
        "\n".join(f"setting{at} = 1" for at in range(1300)), encoding="utf-8"
    )
    started = time.process_time()
    _, problems = read_settings(folder)
    assert len(problems) == 1300
    assert time.process_time() - started < SECONDS


@pytest.mark.parametrize("row", ["A,2024-01-02,1.09,x,y", 'A,"2024-01-02,1.09', "A"])
def test_a_file_of_rows_that_do_not_fit_is_refused_in_time(row: str) -> None:
    heading = "batch_id,taken_on,gravity\n"
    most = f"{heading}W1,2024-01-01,1.1\n" + f"{row}\n" * MOST_FAULTY_ROWS
    assert len(read_csv_table(most.encode(), "readings", "readings.csv").ragged) == MOST_FAULTY_ROWS
    began = time.process_time()
    with pytest.raises(LogbookError, match=r"more than 20000 rows .* the first on line 3"):
        read_csv_table(f"{most}{row}\n".encode(), "readings", "readings.csv")
    assert time.process_time() - began < 2.0
