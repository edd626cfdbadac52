"""A small logbook to change one thing in, and read."""

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from hypothesis import settings

from pipeline.logbook import CheckedLogbook, read_logbook

# The machine that runs the tests is shared: an example may take its time, and is the same each run.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

TODAY = date(2026, 6, 30)
FILES = {
    "batches": "batch_id,started_on,extraction,target_volume\nA1,2026-01-10,hot,4.5 L\n",
    "additions": "batch_id,added_on,kind,ingredient,amount\nA1,2026-01-10,fruit,plum,2 kg\n",
}
Read = Callable[..., CheckedLogbook]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Write a logbook from file texts (bytes are written as they are) and read it."""

    def write_and_read(toml: str = "", **files: str | bytes) -> CheckedLogbook:
        for name, content in (FILES | files).items():
            data = content if isinstance(content, bytes) else content.encode()
            (tmp_path / f"{name}.csv").write_bytes(data)
        if toml:
            (tmp_path / "logbook.toml").write_text(toml, encoding="utf-8")
        checked = read_logbook(tmp_path, today=TODAY)
        reconcile(checked)
        return checked

    return write_and_read


def reconcile(checked: CheckedLogbook) -> None:
    """Check that no row is lost and that none is set aside without a reason."""
    for row in checked.files.iter_rows(named=True):
        assert row["rows_read"] == row["rows_loaded"] + row["rows_set_aside"]
    for source in checked.sources.iter_rows(named=True):
        name = source["table"]
        raw, loaded = checked.raw[name], checked.typed[name]
        aside = checked.set_aside.filter(table=name)
        assert raw.height == loaded.height + aside.height == source["records"]
        assert sorted([*loaded["line"], *aside["line"]]) == raw["line"].to_list()
        reasons = checked.problems.filter(pl.col("level") == "error", file=source["file"])
        assert set(aside["line"]) == set(reasons["line"])
    errors = checked.problems.filter(pl.col("level") == "error")
    assert errors["message"].null_count() == 0


def said_twice(message: str, hint: str | None) -> set[str]:
    """Return what sentence and hint, read one after the other, both say: four words in a row."""
    runs = []
    for text in (message, hint or ""):
        words = re.findall(r"[^\s,;:]+", text.lower())
        runs.append({" ".join(words[at : at + 4]) for at in range(len(words) - 3)})
    return runs[0] & runs[1]
