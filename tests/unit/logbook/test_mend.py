"""One cell mended: checked in its logbook, every other byte kept, nobody else's work undone."""

import os
import stat
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import mend as mend_module
from pipeline.logbook import read_logbook
from pipeline.logbook.mend import Mending, mend_cell, mend_row
from pipeline.logbook.mend.place import find_place, with_cell
from pipeline.logbook.table import read_csv_table

TODAY = date(2026, 6, 30)
HEADING = ("batch_id", "taken_on", "gravity", "notes")
READINGS = "batch_id,taken_on,gravity,notes\nA1,2026-01-11,1090,first\nA1,2026-01-12,1.082,\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    _write(tmp_path, READINGS)
    return tmp_path


def _write(folder: Path, readings: str | bytes) -> None:
    (folder / "batches.csv").write_text("batch_id,started_on\nA1,2026-01-10\n", encoding="utf-8")
    (folder / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\nA1,2026-01-10,fruit,plum,2 kg\n",
        encoding="utf-8",
    )
    data = readings if isinstance(readings, bytes) else readings.encode()
    (folder / "readings.csv").write_bytes(data)


def _mend(folder: Path, column: str, was: str | None, now: str, line: int = 2) -> Mending:
    return mend_cell(folder, "readings.csv", line, column, was, now, today=TODAY)


def test_a_mended_cell_is_written_and_its_row_loads(folder: Path) -> None:
    mending = _mend(folder, "gravity", "1090", "1.090")
    assert (mending.is_written, mending.file, mending.line) == (True, "readings.csv", 2)
    assert mending.problems.is_empty()
    text = (folder / "readings.csv").read_bytes().decode()
    assert text == READINGS.replace("1090", "1.090")
    assert (folder / "readings.csv.bak").read_bytes() == READINGS.encode()
    assert read_logbook(folder, today=TODAY).problems.is_empty()


@pytest.mark.parametrize(
    ("column", "was", "now", "rule"),
    [
        ("gravity", "1090", "1091", "out-of-range"),
        ("gravity", "1090", "about ten", "not-a-quantity"),
        ("batch_id", "A1", "A2", "no-such-batch"),
        ("taken_on", "2026-01-11", "11/01/2026", "date-order"),
        ("taken_on", "2026-01-11", "", "missing"),
    ],
)
def test_a_cell_that_is_still_at_fault_is_not_written(
    folder: Path, column: str, was: str, now: str, rule: str
) -> None:
    mending = _mend(folder, column, was, now)
    assert not mending.is_written
    assert rule in mending.problems["rule"].to_list()
    assert set(mending.problems["column"]) == {column}
    assert (folder / "readings.csv").read_bytes() == READINGS.encode()
    assert not (folder / "readings.csv.bak").exists()


def test_a_row_with_two_faults_is_mended_a_cell_at_a_time(folder: Path) -> None:
    _write(folder, READINGS.replace("2026-01-11", "11/01/2026"))
    first = _mend(folder, "gravity", "1090", "1.090")
    assert first.is_written
    assert first.problems.select("column", "rule").rows() == [("taken_on", "date-order")]
    assert _mend(folder, "taken_on", "11/01/2026", "2026-01-11").problems.is_empty()


def test_a_row_that_loads_is_not_broken(folder: Path) -> None:
    mending = _mend(folder, "gravity", "1.082", "1082", line=3)
    assert not mending.is_written
    assert mending.problems["rule"].to_list() == ["out-of-range"]


def test_a_change_that_takes_other_rows_with_it_is_not_written(folder: Path) -> None:
    batches = folder / "batches.csv"
    before = batches.read_bytes()
    mending = mend_cell(folder, "batches.csv", 2, "batch_id", "A1", "A2", today=TODAY)
    assert not mending.is_written
    assert ("additions.csv", 2) in mending.problems.select("file", "line").rows()
    assert batches.read_bytes() == before


def test_rows_that_wait_for_their_batch_do_not_keep_it_from_being_mended(folder: Path) -> None:
    _write(folder, READINGS.replace("1090", "1.090"))
    batches = folder / "batches.csv"
    batches.write_text("batch_id,started_on\nA1,10/01/2026\n", encoding="utf-8")
    mending = mend_cell(
        folder, "batches.csv", 2, "started_on", "10/01/2026", "2026-01-10", today=TODAY
    )
    assert mending.is_written
    assert read_logbook(folder, today=TODAY).problems.is_empty()


def test_a_right_cell_of_a_row_that_waits_for_its_batch_is_written(folder: Path) -> None:
    batches = folder / "batches.csv"
    batches.write_text("batch_id,started_on\nA1,2026-01-10\nA2,soon\n", encoding="utf-8")
    lost = READINGS.replace("A1,2026-01-12", "A3,2026-01-12")
    (folder / "readings.csv").write_text(lost, encoding="utf-8")
    mending = _mend(folder, "batch_id", "A3", "A2", line=3)
    assert mending.is_written
    assert mending.problems["rule"].to_list() == ["batch-set-aside"]


def test_a_warning_is_told_and_the_cell_written(folder: Path) -> None:
    mending = _mend(folder, "gravity", "1090", "1.050")
    assert mending.is_written
    assert mending.problems.select("rule", "line").rows() == [("gravity-rises", 3)]


def test_an_empty_cell_is_filled(folder: Path) -> None:
    assert _mend(folder, "notes", None, ' said "ready", nearly ', line=3).is_written
    last = (folder / "readings.csv").read_text(encoding="utf-8").splitlines()[-1]
    assert last == 'A1,2026-01-12,1.082,"said ""ready"", nearly"'


@pytest.mark.parametrize(
    ("was", "row", "sentence"),
    [
        ("1091", {}, r"line 2 now has '1090' under gravity, where it had '1091'"),
        ("1090", {"notes": "second"}, r"now has 'first' under notes, where it had 'second'"),
        ("1090", {"notes": None}, r"now has 'first' under notes, where it had ''"),
    ],
)
def test_a_row_that_is_no_longer_as_it_was_shown_is_left_alone(
    folder: Path, was: str, row: dict, sentence: str
) -> None:
    with pytest.raises(LogbookError, match=f"changed elsewhere since it was shown: .*{sentence}"):
        mend_cell(folder, "readings.csv", 2, "gravity", was, "1.090", row=row, today=TODAY)
    assert (folder / "readings.csv").read_bytes() == READINGS.encode()


def test_a_file_saved_by_another_program_meanwhile_is_left_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, real = folder / "readings.csv", mend_module.judged

    def judge_and_interfere(*asked: object) -> Mending:
        with path.open("a", encoding="utf-8") as file:
            file.write("A1,2026-01-13,1.07,\n")
        return real(*asked)

    monkeypatch.setattr(mend_module, "judged", judge_and_interfere)
    with pytest.raises(LogbookError, match=r"readings\.csv was saved by another program just now"):
        _mend(folder, "gravity", "1090", "1.090")
    assert path.read_text(encoding="utf-8") == READINGS + "A1,2026-01-13,1.07,\n"


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        (("readings.csv", 9, "gravity", "", "1"), r"no row that begins on line 9 any more"),
        (("readings.csv", 2, "ph", "", "3.4"), r"readings\.csv has no column ph\. Add it"),
        (("readings.csv", 2, "gravity", "1090", "=1+1"), r"gravity must not begin with '='"),
        (("readings.csv", 2, "gravity", "1090", "1090"), r"line 2 says that already"),
        (("logbook.toml", 2, "gallon", "", "us"), r"logbook\.toml is not one of .* CSV files"),
        (("tastings.csv", 2, "score", "", "1"), r"tastings\.csv is not in .* any more"),
        (("../readings.csv", 2, "gravity", "1090", "1.09"), r"\.\./readings\.csv is not in"),
    ],
)
def test_calls_that_cannot_be_meant(folder: Path, asked: tuple, sentence: str) -> None:
    with pytest.raises(LogbookError, match=sentence):
        mend_cell(folder, *asked, today=TODAY)
    assert (folder / "readings.csv").read_bytes() == READINGS.encode()


def test_a_workbook_is_mended_in_its_own_program(tmp_path: Path) -> None:
    sheets: dict = {
        "batches": [["batch_id", "started_on"], ["A1", "2026-01-10"]],
        "additions": [["batch_id", "added_on", "kind", "ingredient", "amount"]],
    }
    write_workbook(tmp_path / "mine.xlsx", sheets)
    with pytest.raises(LogbookError, match=r"mine\.xlsx/batches is not .* the spreadsheet or text"):
        mend_cell(tmp_path, "mine.xlsx/batches", 2, "started_on", "2026-01-10", "2026-01-11")


def test_a_letter_the_encoding_lacks_is_refused(folder: Path) -> None:
    _write(folder, READINGS.replace("first", "mûre").encode("cp1252"))
    with pytest.raises(LogbookError, match="kept as Windows-1252, which cannot hold '→'"):
        _mend(folder, "notes", "mûre", "1.083 → 1.082")


def test_bytes_that_are_no_letters_stay_in_the_other_rows(folder: Path) -> None:
    for data in (
        READINGS.encode() + "A1,2026-01-13,1.08,pêche pêche".encode() + b"\xff\n",
        READINGS.encode("cp1252") + b"A1,2026-01-13,1.08,m\xfbre \x81\n",
    ):
        _write(folder, data)
        assert _mend(folder, "gravity", "1090", "1.090").is_written
        assert (folder / "readings.csv").read_bytes() == data.replace(b"1090", b"1.090")


def test_half_a_letter_of_utf_16_is_not_written_over(folder: Path) -> None:
    data = b"\xff\xfe" + READINGS.encode("utf-16-le") + b"\x41"
    _write(folder, data)
    with pytest.raises(LogbookError, match="letters that cannot be written back as they stand"):
        _mend(folder, "gravity", "1090", "1.090")
    assert (folder / "readings.csv").read_bytes() == data


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_note_over_two_lines_moves_the_rows_below_and_takes_none(folder: Path, end: str) -> None:
    _write(folder, READINGS.replace("\n", end).encode())
    assert _mend(folder, "gravity", "1090", "1.090").is_written
    assert _mend(folder, "notes", "first", "first\r\nthen more").is_written
    raw = read_logbook(folder, today=TODAY).raw["readings"]
    assert raw.select("line", "notes").rows() == [(2, "first\nthen more"), (4, None)]
    assert _mend(folder, "notes", "first\nthen more", "first").is_written
    expected = READINGS.replace("1090", "1.090").replace("first", '"first"').replace("\n", end)
    assert (folder / "readings.csv").read_bytes() == expected.encode()


def test_text_that_would_not_read_as_one_row_is_refused(folder: Path) -> None:
    _write(folder, READINGS.replace("1090", "1.090"))
    rows = "then\nA1,2026-01-14,1.07,x"
    with pytest.raises(LogbookError, match="line 2 would not read as one row with that text"):
        _mend(folder, "notes", "first", rows)
    assert (folder / "readings.csv").read_text(encoding="utf-8").count("\n") == 3


STRAY = "A1,2026-01-11,1.090,sweet, still"


@pytest.mark.parametrize(
    ("now", "rules"),
    [
        ('A1,2026-01-11,1.090,"sweet, still"', []),
        ("A1,2026-01-11,1090,sweet; still", ["out-of-range"]),
    ],
)
def test_a_row_that_could_not_be_cut_into_cells_is_typed_anew(
    folder: Path, now: str, rules: list[str]
) -> None:
    _write(folder, READINGS.replace("A1,2026-01-11,1090,first", STRAY).replace("\n", "\r\n"))
    was = read_logbook(folder, today=TODAY).problems["value"].item()
    mending = mend_row(folder, "readings.csv", 2, was, now, today=TODAY)
    assert mending.is_written
    assert mending.problems["rule"].to_list() == rules
    expected = READINGS.replace("A1,2026-01-11,1090,first", now).replace("\n", "\r\n")
    assert (folder / "readings.csv").read_bytes() == expected.encode()


@pytest.mark.parametrize(
    ("was", "now", "sentence"),
    [
        (STRAY, "A1,2026-01-11,1.090", "would not read as one row"),
        (STRAY, 'A1,2026-01-11,1.090,"sweet', "would not read as one row"),
        (STRAY, "A1,2026-01-11,1.09,x\nA1,2026-01-11,1.08,y", "would not read as one row"),
        (STRAY, "A1,2026-01-11,1.090,=1+1", "notes must not begin with '='"),
        ("A1,another", "A1,2026-01-11,1.09,x", "line 2 now reads 'A1,2026-01-11"),
    ],
)
def test_a_row_typed_anew_must_be_one_row(folder: Path, was: str, now: str, sentence: str) -> None:
    text = READINGS.replace("A1,2026-01-11,1090,first", STRAY)
    _write(folder, text)
    with pytest.raises(LogbookError, match=sentence):
        mend_row(folder, "readings.csv", 2, was, now, today=TODAY)
    assert (folder / "readings.csv").read_text(encoding="utf-8") == text


def test_a_crash_while_writing_leaves_the_old_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(LogbookError, match="cannot be written to: No space left on device"):
        _mend(folder, "gravity", "1090", "1.090")
    assert (folder / "readings.csv").read_bytes() == READINGS.encode()
    assert not list(folder.glob(".*.tmp"))


def test_permissions_and_links_stay(folder: Path) -> None:
    real = folder / "kept elsewhere.csv"
    (folder / "readings.csv").rename(real)
    (folder / "readings.csv").symlink_to(real)
    real.chmod(0o640)
    assert _mend(folder, "gravity", "1090", "1.090").is_written
    assert (folder / "readings.csv").is_symlink()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert "1.090" in real.read_text(encoding="utf-8")


WRITER = """
import sys
from datetime import date
from pathlib import Path
from pipeline.logbook.mend import mend_cell

folder, writer = Path(sys.argv[1]), int(sys.argv[2])
for day in range(1, 6):
    line = 5 * writer + day + 1
    done = mend_cell(
        folder, "readings.csv", line, "gravity", "1090", "1.090", today=date(2026, 6, 30)
    )
    assert done.is_written
"""


@pytest.mark.slow
def test_two_people_mending_at_once_both_land(folder: Path) -> None:
    rows = [f"A1,2026-02-{day:02},1090,\n" for day in range(1, 11)]
    _write(folder, "".join(["batch_id,taken_on,gravity,notes\n", *rows]))
    root = Path(mend_module.__file__).parents[2]
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(folder), str(writer)], cwd=root)
        for writer in range(2)
    ]
    assert [writer.wait(timeout=120) for writer in writers] == [0, 0]
    assert "1090" not in (folder / "readings.csv").read_text(encoding="utf-8")


# Letters that Windows-1252 has and that never make a UTF-8 letter side by side.
LETTERS = st.text("ab éûß\"';,\t\n\r", max_size=12)
CODECS = ("utf-8", "utf-8-sig", "utf-16-le", "utf-16-be", "cp1252")
MARKS = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}


@st.composite
def files(
    draw: st.DrawFn, columns: st.SearchStrategy[int]
) -> tuple[list[list[str]], bytes, tuple[int, int], bytes, bytes]:
    """Return rows, the file, the place of one cell, and the bytes before and after that cell."""
    delimiter = draw(st.sampled_from(",;\t"))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    codec = draw(st.sampled_from(CODECS))
    notes = draw(st.lists(LETTERS, min_size=1, max_size=4))
    rows = [["A1", f"2026-01-{day}", "1.08", note] for day, note in enumerate(notes, start=11)]
    chosen = draw(st.tuples(st.integers(0, len(rows) - 1), columns))
    parts = {"before": delimiter.join(HEADING) + end, "after": ""}
    side = "before"
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            if (at, column) == chosen:
                side, middle = "after", _cell(draw, cell, delimiter)
            else:
                parts[side] += _cell(draw, cell, delimiter)
            parts[side] += delimiter if column < 3 else end
    if draw(st.booleans()) and parts["after"].endswith(end):
        parts["after"] = parts["after"].removesuffix(end)
    before, inner, after = (
        text.encode(codec.removesuffix("-sig"))
        for text in (parts["before"], middle, parts["after"])
    )
    before = MARKS.get(codec, b"\xef\xbb\xbf" if codec == "utf-8-sig" else b"") + before
    return rows, before + inner + after, chosen, before, after


def _cell(draw: st.DrawFn, cell: str, delimiter: str) -> str:
    if draw(st.booleans()) or any(sign in cell for sign in (delimiter, '"', "\n", "\r")):
        return '"' + cell.replace('"', '""') + '"'
    return cell


@given(files(st.integers(0, 3)), LETTERS)
def test_every_other_byte_stays_and_the_cell_reads_as_typed(made: tuple, now: str) -> None:
    rows, data, (at, column), before, after = made
    table = read_csv_table(data, "readings", "readings.csv")
    assume(not table.ragged and table.cells.height == len(rows))
    line = table.cells["line"][at]
    place = find_place(data, "readings", "readings.csv", line)
    changed = with_cell(place, HEADING[column], now)
    assert changed.startswith(before)
    assert changed.endswith(after)
    assert len(changed) > len(before) + len(after) or not now
    again = read_csv_table(changed, "readings", "readings.csv")
    assume(not again.ragged and again.cells.height == len(rows))
    expected = [[_read(cell) for cell in row] for row in rows]
    expected[at][column] = _read(now)
    assert again.cells.drop("line").rows() == [tuple(row) for row in expected]


def _read(cell: str) -> str | None:
    return cell.replace("\r\n", "\n").replace("\r", "\n") or None


@settings(max_examples=30)
@given(files(st.just(3)), LETTERS)
def test_a_logbook_takes_the_cell_or_stays_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, made: tuple, now: str
) -> None:
    rows, data, (at, column), before, after = made
    table = read_csv_table(data, "readings", "readings.csv")
    assume(not table.ragged and table.cells.height == len(rows))
    folder = tmp_path_factory.mktemp("made")
    _write(folder, data)
    line, was = table.cells["line"][at], table.cells[HEADING[column]][at]
    try:
        mending = mend_cell(folder, "readings.csv", line, HEADING[column], was, now, today=TODAY)
    except LogbookError:
        assert (folder / "readings.csv").read_bytes() == data
        return
    found = (folder / "readings.csv").read_bytes()
    event(f"written {mending.is_written}")
    if mending.is_written:
        assert found.startswith(before)
        assert found.endswith(after)
        row = read_logbook(folder, today=TODAY).raw["readings"].row(at, named=True)
        assert row[HEADING[column]] == _read(now.strip())
    else:
        assert found == data
