"""Enology functions made callable from Spark's SQL, by the names that DuckDB knows them by."""

from collections.abc import Callable

import pyarrow as pa
from pyspark.sql import SparkSession
from pyspark.sql.functions import arrow_udf

from pipeline.cellar.formulas import FORMULAS, LEDGER_FORMULAS, over_columns


def register_formulas(session: SparkSession) -> None:
    """Make every formula that `sql/` calls an Arrow function of the session.

    Parameters
    ----------
    session : pyspark.sql.SparkSession
        hedgerow must be installed where its workers run: they are sent the functions' names.
    """
    functions = {name: over_columns(*formula) for name, formula in FORMULAS.items()}
    functions |= {name: function for name, (function, _) in LEDGER_FORMULAS.items()}
    for name, function in functions.items():
        session.udf.register(name, arrow_udf(_over_arrays(function), "double"))


def _over_arrays(function: Callable[..., pa.Array]) -> Callable[..., pa.Array]:
    """Wrap a function of chunked columns, as DuckDB hands them over, for Spark's single arrays."""

    def call(*columns: pa.Array) -> pa.Array:
        return function(*(pa.chunked_array([column]) for column in columns))

    return call
