"""What the tables say does not hang on the order in which an engine happens to read rows."""

from datetime import date

import duckdb
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.cellar.build import run_sql
from pipeline.cellar.sources import sources_of
from pipeline.files import project_file
from pipeline.logbook import read_logbook

TABLES = ("must_fruits", "musts", "readings", "steps", "liquid_changes", "batches", "glasses")


@pytest.fixture(scope="module")
def sources():
    """The demo, with every reading and transfer noted twice, the second time with more of it."""
    sources = sources_of(read_logbook(project_file("data", "demo"), today=date(2026, 11, 25)))
    for name, columns in {
        "logbook_readings": ["shown_sg", "corrected_sg", "ph", "ta_g_l", "free_so2_mg_l"],
        "logbook_transfers": ["volume_after_l"],
    }.items():
        more = sources[name].with_columns(pl.col(columns) * 1.001, pl.col("line") + 10_000)
        sources[name] = pl.concat([sources[name], more])
    return sources


def _tables(sources):
    with duckdb.connect() as connection:
        run_sql(connection, dict(sources))
        found = {name: connection.sql(f"select * from {name}").pl() for name in TABLES}
    return {name: frame.sort(frame.columns[:3]) for name, frame in found.items()}


def test_rows_read_backwards_give_the_same_tables(sources):
    forwards = _tables(sources)
    backwards = _tables({name: frame.reverse() for name, frame in sources.items()})
    for name in TABLES:
        assert_frame_equal(forwards[name], backwards[name], rel_tol=1e-12, abs_tol=1e-12)
