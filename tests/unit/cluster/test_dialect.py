"""Every file of `sql/` has a translation that keeps its meaning where the engines differ."""

import os

import pytest

from pipeline.cellar.build import sql_files
from pipeline.cellar.formulas import FORMULAS, LEDGER_FORMULAS

if not os.environ.get("CI"):
    pytest.importorskip("sqlglot", reason="sqlglot, of the extra 'test', is not installed")

import sqlglot
from sqlglot import exp

from pipeline.cluster.dialect import spark_statements

# Spark's own, which sqlglot has no class of its own for.
SPARKS_OWN = {"collect_list"}


@pytest.fixture(scope="module")
def statements():
    return list(spark_statements(path.read_text(encoding="utf-8") for path in sql_files()))


def _one(text):
    (statement,) = spark_statements([text])
    return statement


def test_every_file_makes_its_one_table_or_view(statements):
    made = [sqlglot.parse_one(statement, read="spark").find(exp.Table) for statement in statements]
    assert [table.name for table in made] == [path.stem.split("_", 1)[1] for path in sql_files()]


def test_no_function_goes_over_that_spark_does_not_have(statements):
    known = SPARKS_OWN | set(FORMULAS) | set(LEDGER_FORMULAS)
    called = {
        call.name.lower()
        for statement in statements
        for call in sqlglot.parse_one(statement, read="spark").find_all(exp.Anonymous)
    }
    assert called - known == set()
    assert set(FORMULAS) <= called


def test_a_macro_is_written_out_with_what_it_is_called_with():
    macro = "create temp macro plus(a, b) as a + b;"
    assert _one(f"{macro} select plus(t.x, 2) * 3 from t") == "SELECT (t.x + 2) * 3 FROM t"


def test_a_decimal_is_a_double():
    assert _one("select seconds / 86400.0 from t") == (
        "SELECT seconds / CAST(86400.0 AS DOUBLE) FROM t"
    )


def test_floor_of_a_double_is_a_double():
    assert _one("select floor(day) from t") == "SELECT CAST(FLOOR(day) AS DOUBLE) FROM t"


@pytest.mark.parametrize("having", ["", " filter (where y > 1)"])
def test_the_value_at_an_extreme_is_a_known_one(having):
    said = _one(f"select arg_min(x, y){having} from t")
    known = "NOT x IS NULL"
    assert (
        said == f"SELECT MIN_BY(x, y) FILTER(WHERE {'y > 1 AND ' if having else ''}{known}) FROM t"
    )


def test_a_list_keeps_its_order_and_its_nulls():
    assert _one("select list(x order by n) filter (where y) from t") == (
        "SELECT TRANSFORM(ARRAY_SORT(collect_list(STRUCT(n, x AS entry)) FILTER(WHERE y)), "
        "pair -> pair.entry) FROM t"
    )
    with pytest.raises(NotImplementedError, match="descending"):
        _one("select list(x order by n desc) from t")
