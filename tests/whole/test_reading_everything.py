"""One logbook in every form, and forms that nobody would choose."""

import codecs
import random
from collections.abc import Callable
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal
from unit.logbook.conftest import reconcile
from unit.logbook.workbooks import Cell, write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import CheckedLogbook, read_logbook
from pipeline.logbook.contract import FILES
from pipeline.logbook.decoding import decode
from pipeline.logbook.records import split_lines
from pipeline.logbook.table import read_csv_table

WORKED = Path(__file__).parent / "worked"
TODAY = date(2026, 10, 1)
NAMES = [name for name in FILES if (WORKED / f"{name}.csv").exists()]
# An accented letter and a sign that only some encodings write alike.
EXTRA = {"batches": ("Late quince", "Später Quittenwein – süß")}


def _texts() -> dict[str, str]:
    texts = {name: (WORKED / f"{name}.csv").read_text(encoding="utf-8") for name in NAMES}
    for name, (old, new) in EXTRA.items():
        assert old in texts[name]
        texts[name] = texts[name].replace(old, new)
    return texts


def _semicolons(text: str) -> str:
    return "\n".join(line if '"' in line else line.replace(",", ";") for line in text.split("\n"))


def _quoted(text: str) -> str:
    rows = [line.split(",") for line in text.split("\n") if line]
    return "".join(",".join(f'"{cell}"' for cell in row) + "\n" for row in rows)


FORMS: dict[str, Callable[[str], bytes]] = {
    "utf-8": lambda text: text.encode(),
    "utf-8 with mark": lambda text: codecs.BOM_UTF8 + text.encode(),
    "utf-16 little": lambda text: codecs.BOM_UTF16_LE + text.encode("utf-16-le"),
    "utf-16 big": lambda text: codecs.BOM_UTF16_BE + text.encode("utf-16-be"),
    "windows-1252": lambda text: text.encode("cp1252"),
    "windows line ends": lambda text: text.replace("\n", "\r\n").encode(),
    "semicolons": lambda text: _semicolons(text).encode(),
    "tabs in utf-16": lambda text: text.replace(",", "\t").encode("utf-16"),
    "all quoted": lambda text: _quoted(text).encode(),
    "no last line end": lambda text: text.rstrip("\n").encode(),
}


def _written(folder: Path, form: str) -> CheckedLogbook:
    folder.mkdir()
    for name, text in _texts().items():
        (folder / f"{name}.csv").write_bytes(FORMS[form](text))
    (folder / "logbook.toml").write_bytes((WORKED / "logbook.toml").read_bytes())
    return read_logbook(folder, today=TODAY)


def _same_frames(one: CheckedLogbook, other: CheckedLogbook) -> None:
    for name in FILES:
        assert_frame_equal(one.typed[name], other.typed[name])
    for name in NAMES:
        assert_frame_equal(one.raw[name], other.raw[name])
    assert one.settings == other.settings
    counts = ("rows_read", "rows_loaded", "rows_set_aside")
    assert_frame_equal(one.files.select(counts), other.files.select(counts))
    told = pl.col("rule") != "encoding-guessed"
    assert_frame_equal(
        one.problems.filter(told).drop("file"), other.problems.filter(told).drop("file")
    )


@pytest.mark.parametrize("form", list(FORMS)[1:])
def test_the_same_logbook_in_every_form(tmp_path: Path, form: str) -> None:
    plain = _written(tmp_path / "plain", "utf-8")
    _same_frames(plain, _written(tmp_path / "other", form))


def test_the_same_logbook_as_a_workbook(tmp_path: Path) -> None:
    plain = _written(tmp_path / "plain", "utf-8")
    folder = tmp_path / "workbook"
    folder.mkdir()
    sheets: dict[str, list[list[Cell]]] = {
        name: [list(line.split(",")) for line in text.split("\n") if line]
        for name, text in _texts().items()
    }
    write_workbook(folder / "my logbook.xlsx", sheets)
    (folder / "logbook.toml").write_bytes((WORKED / "logbook.toml").read_bytes())
    workbook = read_logbook(folder, today=TODAY)
    _same_frames(plain, workbook)
    assert workbook.files["file"][0] == "my logbook.xlsx/batches"


def test_warnings_of_the_worked_logbook() -> None:
    problems = read_logbook(WORKED, today=TODAY).problems.filter(level="warning")
    assert problems.select("file", "line", "rule").rows() == [
        ("additions.csv", 11, "spoon-weight"),
        ("readings.csv", 11, "stuck"),
        ("readings.csv", 14, "refractometer-after-start"),
        ("transfers.csv", 6, "topped-up-with-water"),
    ]


# What a slip of the hand, a bad disk or another program does to a file.
def _mutated(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(changed) + 1)
        match chance.randrange(7):
            case 0:
                changed[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                del changed[at : at + chance.randint(1, 40)]
            case 2:
                changed[at:at] = chance.choice(_INSERTED)
            case 3:
                end = at + chance.randint(1, 80)
                changed[at:at] = changed[at:end]
            case 4:
                first, *lines = bytes(changed).split(b"\n")
                chance.shuffle(lines)
                changed = bytearray(b"\n".join([first, *lines]))
            case 5:
                kept, rest = changed[:at], bytes(changed[at:])
                changed = kept + rest.replace(b",", chance.choice((b";", b"\t", b"")), 9)
            case _:
                changed = changed[: max(at, 1)]
    return bytes(changed)


_INSERTED = (
    b'"',
    b'""',
    b"\n",
    b"\r",
    b"\r\n",
    b",",
    b";",
    b"\t",
    b"\x00",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\xed\xa0\x80",
    b"\xc3",
    b"=1+1",
    b"#REF!",
    b"1e999",
    b"-",
    b"9" * 400,
    b"\xe2\x80\xa8",
    b"NaN",
)


TEXTS = _texts()


def _mutated_file(seed: int) -> tuple[str, bytes]:
    chance = random.Random(seed)
    name = chance.choice(NAMES)
    return name, _mutated(FORMS[chance.choice(list(FORMS))](TEXTS[name]), chance)


def _read_mutated(folder: Path, seed: int) -> CheckedLogbook | None:
    name, data = _mutated_file(seed)
    (folder / f"{name}.csv").write_bytes(data)
    try:
        return read_logbook(folder, today=TODAY)
    except LogbookError:
        return None
    finally:
        (folder / f"{name}.csv").write_text(TEXTS[name], encoding="utf-8")


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("mutated")
    for name, text in _texts().items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    (folder / "logbook.toml").write_bytes((WORKED / "logbook.toml").read_bytes())
    return folder


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(seed=st.integers(0, 10**9))
def test_mutated_logbooks_give_no_traceback_and_reconcile(scratch: Path, seed: int) -> None:
    checked = _read_mutated(scratch, seed)
    if checked is not None:
        reconcile(checked)


@pytest.mark.slow
@settings(max_examples=10_000, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**9))
def test_every_line_of_a_mutated_file_is_accounted_for(seed: int) -> None:
    name, data = _mutated_file(seed)
    try:
        table = read_csv_table(data, name, f"{name}.csv")
    except LogbookError:
        return
    places = sorted([*table.cells["line"], *(row.line for row in table.ragged)])
    assert len(set(places)) == len(places) == table.rows_read
    assert table.rows_read + table.blank_lines < table.lines
    assert table.lines == len(split_lines(decode(data, name).text))
    assert places == [] or 1 < places[0] <= places[-1] <= table.lines


def test_most_mutations_leave_something_to_read(scratch: Path) -> None:
    """Guards the two tests above: a mutation that always refuses would prove nothing."""
    outcomes = [_read_mutated(scratch, seed) for seed in range(40)]
    read = [checked for checked in outcomes if checked is not None]
    assert len(read) > 20
    assert sum(checked.files["rows_set_aside"].sum() > 3 for checked in read) > 10
