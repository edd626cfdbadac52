"""Inputs that nobody writes on purpose, for every reader: refused in a sentence, or read; in time.

`tests/whole/test_fuzzed.py` tries some of each; `python tests/scale/fuzz.py 60` an hour of them.
"""

import resource
import tempfile
import time
import warnings
import zipfile
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path

from hypothesis import strategies as st
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.dates import read_date
from pipeline.logbook.importing import propose, read_mapping
from pipeline.logbook.importing.dates import looks_like_day, read_day
from pipeline.logbook.importing.workbooks import read_workbook_sheets
from pipeline.logbook.problems import problem_frame
from pipeline.logbook.reading import check_tables
from pipeline.logbook.settings import SETTINGS_FILE, Settings, read_settings
from pipeline.logbook.table import read_csv_table
from pipeline.logbook.workbook import read_workbook

TODAY = date(2026, 11, 25)
SECONDS = 2.0
MEMORY_KB = 500_000  # more than this on top of the most taken before is without bound
_NEXT = "\x1e"
_BETWEEN = b"\n--part--\n"
_ROOT = Path(__file__).parent
_PIECES = [
    *('"', '""', ",", ";", "\t", "\n", "\r", "\r\n", "|", "'", "=", "@", "\\", "\x00", "\ufeff"),
    *("½", "1½", "⅞", "1.090", "1090", "-", "~", "?", "1/0", "1 1/2", "3,5", "1.360", "1e9"),
    *("1 gal", "to 1 gal", "1 lb 14 oz", "tsp", "us gal", "%", "Bx", "22 Bx", "20 C", "g/L"),
    *("2024-02-30", "03/04/2024", "31 Feb 2024", "Sept 24", "0000-00-00", "9999-12-31 24:00"),
    *("today", "12:60", "02-Jan", "45659", "#REF!", "NaN", "inf", "9" * 40, "0" * 40, "٣", "é"),
    *("batch_id", "sep=;", "skins", "sulphite", "[", "]", "{", "}", '"""', "'''", "1979-05-27"),
    *("\x1b", "\x85", "\u2028", "\ud800", "😀", "a" * 300, " " * 300, '"' * 300, "(" * 300),
    *('a""","\n' * 600, '"a\n' * 200, "[" * 2000),
]
_pieces = st.lists(st.sampled_from(_PIECES) | st.text(max_size=8), max_size=40)
texts = _pieces.map("".join)


def _encoded(text: str) -> bytes:
    return text.encode("utf-8", errors="surrogatepass")


@cache
def _seeds() -> list[bytes]:
    """Return sound files to begin with."""
    return [
        path.read_bytes()
        for folder in ("worked", "messy")
        for path in sorted((_ROOT / folder).iterdir())
        if path.suffix in (".csv", ".toml")
    ]


@cache
def _workbook() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        first = ["A", date(2025, 1, 1), "x"]
        rows = [["batch_id", "started_on", "yeast"], first, ["B", 3, "#REF!"]]
        write_workbook(Path(folder) / "w.xlsx", {"batches": rows})
        return (Path(folder) / "w.xlsx").read_bytes()


@st.composite
def changed(draw: st.DrawFn, data: bytes) -> bytes:
    """Draw a file with some of its bytes taken out, put in or doubled."""
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(data)))
        end = min(len(data), at + draw(st.integers(0, 20)))
        new = draw(st.binary(max_size=6) | texts.map(_encoded) | st.just(data[at:end] * 2))
        data = data[:at] + new[:2000] + data[end:]
    return data


@st.composite
def repacked(draw: st.DrawFn) -> bytes:
    """Draw a workbook with one of its parts changed, or the archive itself."""
    if draw(st.booleans()):
        return draw(changed(_workbook()))
    with zipfile.ZipFile(BytesIO(_workbook())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    part = draw(st.sampled_from(sorted(parts)))
    parts[part] = draw(changed(parts[part]))
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return packed.getvalue()


files = st.deferred(
    lambda: (
        st.sampled_from(_seeds()).flatmap(changed) | st.binary(max_size=400) | texts.map(_encoded)
    )
)


def read_file(data: bytes) -> None:
    """Read a file as each of the contract's, headed as it is and headed as it should be."""
    heading = ",".join(column_names("readings")).encode() + b"\n"
    for name, content in (("batches", data), ("readings", heading + data)):
        table = read_csv_table(content, name, f"{name}.csv")
        assert table.rows_read == table.cells.height + len(table.ragged)


def read_cells(text: str) -> None:
    """Read a text in every cell of every file of a logbook, or several in a row each."""
    tables = {}
    for name in FILES:
        quoted = ['"' + each.replace('"', '""') + '"' for each in text.split(_NEXT)]
        rows = "\n".join(",".join([cell] * len(column_names(name))) for cell in quoted)
        content = _encoded(f"{','.join(column_names(name))}\n{rows}\n")
        tables[name] = read_csv_table(content, name, f"{name}.csv")
    check_tables(Path(), tables, Settings(gallon="us"), problem_frame(), TODAY)


def read_dates(text: str) -> None:
    """Read a text as a date, by the contract and as old notes may mean it."""
    for order in (None, "day-first", "month-first"):
        read_date(text, order)
        read_day(text, order, TODAY)
    looks_like_day(text)


def read_toml(data: bytes) -> None:
    """Read a file as settings and as a mapping."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / SETTINGS_FILE).write_bytes(data)
        try:
            read_settings(Path(folder))
        except LogbookError:
            read_mapping(data.decode("utf-8", errors="replace"), "old.mapping.toml", None)


def read_old_notes(data: bytes) -> None:
    """Look through a file of old notes."""
    propose(data, "old.csv", today=TODAY)


def read_xlsx(data: bytes) -> None:
    """Read a workbook as a logbook and as old notes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "mine.xlsx"
        path.write_bytes(data)
        with suppress(LogbookError):
            read_workbook(path)
        read_workbook_sheets(data, path.name)


def _loaded() -> None:
    """Load what readers load when they are first called, so that no input pays for it."""
    for text in ("plum", "2024-02-30"):
        read_cells(text)


_loaded()
# What is read, from what, and how often in a test run.
READERS: dict[str, tuple[Callable, st.SearchStrategy, int]] = {
    "file": (read_file, files, 300),
    "cell": (read_cells, texts, 20),
    "date": (read_dates, texts, 600),
    "toml": (read_toml, files, 250),
    "old notes": (read_old_notes, files, 200),
    "xlsx": (read_xlsx, repacked(), 300),
}


def _decoded(data: bytes) -> str:
    return data.decode("utf-8", errors="surrogateescape")


def _parts() -> list[bytes]:
    with zipfile.ZipFile(BytesIO(_workbook())) as archive:
        parts = [name.encode() + b"\n" + archive.read(name) for name in archive.namelist()]
    return [_BETWEEN.join(parts), _workbook()]


def _packed(data: bytes) -> bytes:
    """Pack changed parts: changed bytes of an archive would hardly ever reach what is within."""
    if data[:2] == b"PK":
        return data
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of two parts of one name, wanted here
        for part in data.split(_BETWEEN):
            name, _, content = part.partition(b"\n")
            archive.writestr(name.decode("latin-1").strip("\x00")[:200] or "x", content)
    return packed.getvalue()


# How plain bytes become what a reader takes, and sound ones to begin with: for a search led by
# coverage, which changes bytes itself.
PLAIN: dict[str, tuple[Callable, Callable[[], list[bytes]]]] = {
    "file": (bytes, _seeds),
    "cell": (_decoded, lambda: [_encoded(_NEXT.join(_PIECES[n::8])) for n in range(8)]),
    "date": (_decoded, lambda: [_encoded(piece) for piece in _PIECES]),
    "toml": (bytes, _seeds),
    "old notes": (bytes, _seeds),
    "xlsx": (_packed, _parts),
}


def words() -> list[bytes]:
    """Return what such a search may put in."""
    return [_encoded(piece) for piece in _PIECES]


def tried(read: Callable, given: object) -> None:
    """Read something: it must be read or refused in one sentence, in time and in little memory.

    Time of this process alone: how busy the machine is besides says nothing of an input.
    """
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    began = time.process_time()
    said = "read"
    try:
        read(given)
    except LogbookError as refusal:
        said = str(refusal)
    seconds = time.process_time() - began
    assert 0 < len(said.strip()) < 3000, said
    assert seconds < SECONDS, f"{seconds:.1f} s for {given!r}"
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - most
    assert grown < MEMORY_KB, f"{grown} KB for {given!r}"
