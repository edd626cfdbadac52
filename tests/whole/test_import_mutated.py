"""Mutated messy files: never a traceback, and every cell and record accounted for."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st
from whole.importing import MESSY, TODAY, reconciles

from pipeline.errors import LogbookError
from pipeline.logbook import read_logbook
from pipeline.logbook.importing import (
    Preview,
    preview,
    propose,
    read_mapping,
    write,
    write_mapping,
)

NAMES = sorted(path.name for path in MESSY.glob("*.csv"))
_PIECES = [
    *('"', ",", ";", "\t", "\n", "\r\n", "\r", "|", '""', "'", "=", "@cell", "\\", "\x00", "�"),
    *("½", "1.090", "1090", "22", "-", "n/a", "~", "?", "1 gal", "to 1 gal", "3,5", "1.360"),
    *("2024-02-30", "13/14/15", "03/04/2024", "Sept 24", "02-Jan", "45659", "#REF!", "=1+1"),
    *("Total", "batch", "date", "Day 3", "OG", "0", "-5", "1e9", "NaN", "inf", "9" * 30, "ditto"),
    *("2 lb plums, 3 kg sloes", "1000 + 200", "(", ")", "½½", "1/0", "٣", "é", "\ufeff", " "),
]
_edits = st.lists(
    st.tuples(
        st.sampled_from(["insert", "delete", "replace", "double", "swap"]),
        st.floats(0, 1, exclude_max=True),
        st.integers(0, 12),
        st.sampled_from(_PIECES),
    ),
    min_size=1,
    max_size=8,
)


def _mutated(data: bytes, edits: list[tuple[str, float, int, str]]) -> bytes:
    codec = "utf-16-le" if data[:2] == b"\xff\xfe" else "cp1252" if b"\xfb" in data else "utf-8"
    for how, where, length, piece in edits:
        at = int(where * len(data))
        end, new = at + length, piece.encode(codec, errors="replace")
        match how:
            case "insert":
                data = data[:at] + new + data[at:]
            case "delete":
                data = data[:at] + data[end:]
            case "replace":
                data = data[:at] + new + data[end:]
            case "double":
                data = data[:at] + data[at:end] * 2 + data[end:]
            case "swap":
                data = data[:at] + data[end : end + length] + data[at:end] + data[end + length :]
    return data


def _read(data: bytes, name: str) -> Preview | None:
    """Propose and read a file; nothing if it is refused, in one line."""
    try:
        proposal = propose(data, name, today=TODAY)
    except LogbookError as refusal:
        said = str(refusal)
    else:
        answers = proposal.answers()
        assert read_mapping(write_mapping(proposal, answers), "map", proposal.sheet) == answers
        found = preview(proposal, answers, today=TODAY)
        assert reconciles(found)
        return found
    assert "\n" not in said
    return None


def _write_twice(found: Preview) -> None:
    with tempfile.TemporaryDirectory() as folder:
        written = write(found, Path(folder))
        checked = read_logbook(Path(folder), today=TODAY)
        counts = {row["file"]: row["rows_read"] for row in checked.files.to_dicts()}
        for file, became in written.files.items():
            assert counts[file] == became["written"]
        again = write(found, Path(folder))
        assert all(became["written"] == 0 for became in again.files.values())


def _settings(examples: int) -> settings:
    return settings(
        max_examples=examples,
        deadline=None,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_mutated_file_is_refused_or_reconciles(name: str) -> None:
    original = (MESSY / name).read_bytes()

    @seed(20261125)
    @_settings(250)
    @given(_edits)
    def check(edits: list[tuple[str, float, int, str]]) -> None:
        _read(_mutated(original, edits), name)

    check()


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_what_a_mutated_file_writes_is_read_back_row_for_row(name: str) -> None:
    original = (MESSY / name).read_bytes()

    @seed(20261125)
    @_settings(25)
    @given(_edits)
    def check(edits: list[tuple[str, float, int, str]]) -> None:
        found = _read(_mutated(original, edits), name)
        if found is not None and not found.is_blocked:
            _write_twice(found)

    check()


@pytest.mark.parametrize("name", NAMES)
def test_a_file_cut_off_anywhere_is_refused_or_reconciles(name: str) -> None:
    original = (MESSY / name).read_bytes()
    for length in range(0, len(original), 23):
        _read(original[:length], name)
