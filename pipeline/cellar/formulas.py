"""Enology functions made callable from SQL, so that a formula stands once.

`sql/` holds no chemistry. Each entry of `FORMULAS` is a function of `pipeline.enology` that takes
float arrays; DuckDB hands it whole Arrow columns, null travels as NaN and comes back as null.
"""

from collections.abc import Callable

import duckdb
import numpy as np
import pyarrow as pa
from duckdb.sqltypes import DOUBLE

from pipeline import enology

Formula = Callable[..., object]

FORMULAS: dict[str, tuple[Formula, int]] = {}


def _arrow(formula: Formula) -> Callable[..., pa.Array]:
    def call(*columns: pa.ChunkedArray) -> pa.Array:
        arrays = [column.to_numpy(zero_copy_only=False).astype(float) for column in columns]
        return pa.array(np.asarray(formula(*arrays), dtype=float), from_pandas=True)

    return call


def register_formulas(connection: duckdb.DuckDBPyConnection) -> None:
    """Make every formula in `FORMULAS` an SQL function of the connection.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
    """
    for name, (formula, arguments) in FORMULAS.items():
        connection.create_function(
            name,
            _arrow(formula),
            [DOUBLE] * arguments,
            DOUBLE,
            type="arrow",
            null_handling="special",
        )
