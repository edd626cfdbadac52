"""Running the files of `sql/` on Spark: source frames in, the cellar's tables out, as Parquet."""

from collections.abc import Mapping

from pyspark.sql import DataFrame, SparkSession

from pipeline.cellar.build import sql_files
from pipeline.cluster.dialect import spark_statements
from pipeline.cluster.formulas import register_formulas
from pipeline.cluster.frames import mean_as_duckdb
from pipeline.errors import HedgerowError

DATABASE = "hedgerow"


def run_sql(
    session: SparkSession,
    sources: Mapping[str, DataFrame],
    location: str,
    database: str = DATABASE,
) -> list[str]:
    """Make every table of `sql/` in a new database.

    Parameters
    ----------
    session : pyspark.sql.SparkSession
        Is set as `mean_as_duckdb` says; its current database is the new one afterwards.
    sources : mapping of str to pyspark.sql.DataFrame
        The frames that the first layer reads, by the names that
        `pipeline.cellar.sources.sources_of` gives.
    location : str
        Where the tables go, a folder each: a path or an address that all workers can write to.
    database : str
        Name of the database in the session's catalog.

    Returns
    -------
    list of str
        The tables, in the order in which they were made.

    Raises
    ------
    HedgerowError
        If there is such a database already: its tables would be mixed with these.
    """
    if session.catalog.databaseExists(database):
        raise HedgerowError(
            f"Spark already has a database '{database}'. Name another, or drop that one first."
        )
    mean_as_duckdb(session)
    register_formulas(session)
    for name, frame in sources.items():
        frame.createOrReplaceTempView(name)
    named = {"name": database, "location": location}
    session.sql("create database identifier(:name) location :location", args=named)
    session.catalog.setCurrentDatabase(database)
    files = {path: path.read_text(encoding="utf-8") for path in sql_files()}
    for statement in spark_statements(files.values()):
        session.sql(statement)
    return [path.stem.split("_", 1)[1] for path, text in files.items() if "create table" in text]
