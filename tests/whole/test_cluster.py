"""Spark makes of the demo the tables that DuckDB makes."""

import shutil
from datetime import date

import duckdb
import polars as pl
import pytest
from polars import selectors
from polars.testing import assert_frame_equal

from pipeline.cellar import build
from pipeline.cellar.sources import sources_of
from pipeline.files import project_file
from pipeline.logbook import read_logbook

pytest.importorskip("pyspark", reason="pyspark, of the extra 'cluster', is not installed")
if shutil.which("java") is None:
    pytest.skip("no Java on this machine, which Spark runs on", allow_module_level=True)

from pipeline.cluster.dialect import spark_statements
from pipeline.cluster.frames import frames_of, with_gravities
from pipeline.cluster.local import local_session
from pipeline.cluster.run import run_sql
from pipeline.errors import HedgerowError

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore:PySpark does not yet fully support pandas"),
]
TODAY = date(2026, 11, 25)
TABLES = [
    path.stem.split("_", 1)[1] for path in build.sql_files() if "create table" in path.read_text()
]


@pytest.fixture(scope="module")
def checked():
    return read_logbook(project_file("data", "demo"), today=TODAY)


@pytest.fixture(scope="module")
def duck(checked):
    with duckdb.connect() as connection:
        build.run_sql(connection, sources_of(checked))
        yield connection


@pytest.fixture(scope="module")
def spark(checked, tmp_path_factory):
    where = tmp_path_factory.mktemp("a maker's cluster")
    with local_session() as session:
        # What a maker notes at midnight must not move to the day before.
        session.conf.set("spark.sql.session.timeZone", "America/New_York")
        assert run_sql(session, frames_of(session, sources_of(checked)), str(where)) == TABLES
        yield session


def _comparable(frame: pl.DataFrame) -> pl.DataFrame:
    """Sort by all that is no measured number, whole numbers being as wide as they may be."""
    wide = frame.with_columns(selectors.integer().cast(pl.Int64))
    numbers = wide.select(selectors.float()).columns
    keys = [name for name in wide.columns if name not in numbers]
    return wide.sort([*keys, *numbers])


@pytest.mark.parametrize("table", TABLES)
def test_the_table_is_the_same(duck, spark, table):
    expected = _comparable(duck.sql(f'select * from "{table}"').pl())
    made = _comparable(pl.DataFrame(spark.table(table).toArrow()))
    assert_frame_equal(made, expected, rel_tol=1e-9, abs_tol=1e-12)


@pytest.mark.parametrize(
    ("query", "answer"),
    [
        ("select arg_min(x, y) from (values (null, 1), (5, 2)) as t(x, y)", 5),
        ("select arg_max(x, (y, -z)) from (values (1, 2, 3), (4, 2, 1)) as t(x, y, z)", 4),
        (
            "select list(x order by n) from (values (3, 2), (null, 1), (7, 3)) as t(x, n)",
            [None, 3, 7],
        ),
        ("select x / (x - 2) from (values (2)) as t(x)", None),
        ("select x / 7.0 from (values (1)) as t(x)", 1 / 7),
        ("select date_diff('day', date '2026-12-30', date '2027-01-02')", 3),
        ("select upper(substring('épine', 1, 1)) || substring('épine', 2)", "Épine"),
        ("select greatest(null, x) from (values (1)) as t(x)", 1),
    ],
)
def test_both_engines_mean_the_same_by_it(duck, spark, query, answer):
    (translated,) = spark_statements([query])
    assert duck.sql(query).fetchall() == [(answer,)]
    assert [tuple(row) for row in spark.sql(translated).collect()] == [(answer,)]


def test_readings_that_only_the_cluster_holds_get_the_same_gravities(checked, spark):
    readings = checked.typed["readings"]
    (sent,) = frames_of(spark, {"readings": readings}).values()
    made = pl.DataFrame(with_gravities(sent, checked.settings).toArrow())
    assert_frame_equal(made, sources_of(checked)["logbook_readings"], check_row_order=False)


def test_a_database_that_is_there_is_left_alone(spark, tmp_path):
    with pytest.raises(HedgerowError, match="already has a database 'hedgerow'"):
        run_sql(spark, {}, str(tmp_path))
