"""The cellar explains itself to whoever opens it with another program."""

import re

import duckdb
import polars as pl
import pytest
from reference.cellar_page import PAGE, page

from pipeline.cellar import load_cellar
from pipeline.cellar.build import sql_files
from pipeline.cellar.comments import column_comments, describe, table_comment
from pipeline.logbook.new import write_new_logbook


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """A cellar opened as any DuckDB client would."""
    folder = tmp_path_factory.mktemp("logs") / "log"
    write_new_logbook(folder)
    with duckdb.connect(str(load_cellar(folder).path)) as connection:
        yield connection


def test_every_table_and_column_is_commented(opened):
    tables = opened.sql("select table_name, comment from duckdb_tables()").pl()
    made = {
        path.stem.split("_", 1)[1] for path in sql_files() if "create table" in path.read_text()
    }
    assert len(made) > 30
    assert set(tables.drop_nulls()["table_name"]) == made
    columns = opened.sql(
        "select table_name, column_name, comment from duckdb_columns() where not internal"
    ).pl()
    silent = columns.filter(pl.col("comment").is_null() & (pl.col("table_name") != "built"))
    assert silent.rows() == []


def test_a_comment_says_what_and_in_which_unit(opened):
    comment = (
        "select comment from duckdb_columns() "
        "where table_name = 'batches' and column_name = 'fruit_load_kg_l'"
    )
    assert opened.sql(comment).fetchall() == [("Fruit for each litre of target. [kg/L]",)]
    table = "select comment from duckdb_tables() where table_name = 'problems'"
    said = opened.sql(table).fetchall()
    assert said == [("one row per thing wrong or doubtful in the logbook's files.",)]


def test_one_word_may_mean_two_things_in_two_tables(opened):
    said = {
        (row["table"], row["column"]): row["meaning"]
        for row in describe(opened).iter_rows(named=True)
    }
    assert said["glasses", "fruit"] == "How fruity the glass was."
    assert said["must_fruits", "fruit"] == "The fruit under its reference name."


def test_the_dictionary_has_no_word_that_no_table_uses(opened):
    there = describe(opened)
    said = column_comments()
    assert said.select("table", "column").is_duplicated().sum() == 0
    own = said.filter(pl.col("table").is_not_null())
    assert own.join(there, on=["table", "column"], how="anti").rows() == []
    assert said.join(there, on="column", how="anti").rows() == []
    for ending, unit in {"_mg_l": "mg/L", "_c": "°C", "_share": "share 0–1"}.items():
        found = said.filter(pl.col("column").str.ends_with(ending))
        assert set(found["unit"]) == {unit}


def test_the_head_of_a_sql_file_is_its_tables_sentence(tmp_path):
    path = tmp_path / "310_wines.sql"
    path.write_text("-- wines: one row per wine,\n-- as bottled.\nselect 1\n-- not this\n")
    assert table_comment(path) == "one row per wine, as bottled."


def test_the_page_on_the_tables_is_in_step_and_its_queries_run(opened):
    text = PAGE.read_text(encoding="utf-8")
    assert text == page(), "run: python tests/reference/cellar_page.py"
    (queries,) = re.findall(r"^```sql\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    comments, shares = (opened.sql(query) for query in queries.split(";\n")[:2])
    assert ("fruit_load_kg_l", "Fruit for each litre of target. [kg/L]") in comments.fetchall()
    assert shares.columns == ["recipe", "avg(finished_fraction)"]
