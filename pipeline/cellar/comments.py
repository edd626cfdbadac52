"""What each table's row and each column is, written into the cellar for whoever opens it.

A table's sentence is the comment its SQL file begins with; a column's stands in `sql/columns.csv`.
"""

import re
from functools import cache
from pathlib import Path

import duckdb
import polars as pl

from pipeline.files import project_file


def table_comment(path: Path) -> str:
    """Return what one row of the table that a file of `sql/` makes is."""
    lines = path.read_text(encoding="utf-8").splitlines()
    opening = []
    for line in lines:
        if not line.startswith("--"):
            break
        opening.append(line.removeprefix("--").strip())
    return re.sub(r"^\w+: ", "", " ".join(opening))


@cache
def column_comments() -> pl.DataFrame:
    """Return ``table`` (null: wherever it stands), ``column``, ``unit`` and ``meaning``."""
    columns = pl.read_csv(project_file("sql", "columns.csv"), infer_schema_length=0)
    return columns.with_columns(pl.col("table").replace("", None))


def describe(connection: duckdb.DuckDBPyConnection) -> pl.DataFrame:
    """Return the tables of a cellar with their columns, each with its unit and meaning.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        Of a cellar, built or being built.

    Returns
    -------
    polars.DataFrame
        ``table``, ``column``, ``unit``, ``meaning``; one row a column.
    """
    there = connection.sql(
        'select table_name as "table", column_name as "column" '
        "from information_schema.columns where table_catalog <> 'temp' "
        "order by table_name, ordinal_position"
    ).pl()
    said = column_comments()
    own = said.filter(pl.col("table").is_not_null())
    anywhere = said.filter(pl.col("table").is_null()).drop("table")
    return (
        there.join(own, on=["table", "column"], how="left", maintain_order="left")
        .join(anywhere, on="column", how="left", suffix="_anywhere", maintain_order="left")
        .select(
            "table",
            "column",
            *(pl.coalesce(name, f"{name}_anywhere").alias(name) for name in ("unit", "meaning")),
        )
    )


def write_comments(connection: duckdb.DuckDBPyConnection, files: list[Path]) -> None:
    """Comment the tables that these files of `sql/` made, and their columns."""
    columns = describe(connection)
    there = set(columns["table"])
    names = ((path.stem.split("_", 1)[1], path) for path in files)
    tables = {name: table_comment(path) for name, path in names if name in there}
    statements = [
        f'comment on table "{table}" is {_quoted(text)};' for table, text in tables.items()
    ]
    for table, column, unit, meaning in columns.iter_rows():
        if table in tables and meaning is not None:
            text = f"{meaning} [{unit}]" if unit else meaning
            statements.append(f'comment on column "{table}"."{column}" is {_quoted(text)};')
    # In one transaction: hundreds of small ones take longer than the whole mart.
    connection.execute("begin;" + "\n".join(statements) + "commit;")


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
