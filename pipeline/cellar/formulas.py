"""Enology functions made callable from SQL, so that a formula stands once.

`sql/` holds no chemistry. Each entry of `FORMULAS` is a function of `pipeline.enology` that takes
float arrays; DuckDB hands it whole Arrow columns, null travels as NaN and comes back as null.
"""

import inspect
from collections.abc import Callable, Sequence
from typing import Any

import duckdb
import numpy as np
import pyarrow as pa
from duckdb.func import ARROW, SPECIAL
from duckdb.sqltypes import DOUBLE

from pipeline.enology import alcohol, extract, gravity, ledger, nitrogen, sucrose, sulphite, tannin

Formula = Callable[..., Any]
Columns = np.ndarray

# SQL name: the function, and how many columns it takes.
FORMULAS: dict[str, tuple[Formula, int]] = {
    "alcohol_from_gravities": (alcohol.alcohol_from_gravities, 2),
    "apparent_attenuation": (extract.apparent_attenuation, 2),
    "brix_from_gravity": (sucrose.brix_from_gravity, 1),
    "dry_extract": (extract.dry_extract, 2),
    "gravity_from_fermented_refractometer": (gravity.gravity_from_fermented_refractometer, 2),
    "gravity_from_refractometer": (gravity.gravity_from_refractometer, 1),
    "gravity_from_sugar": (sucrose.gravity_from_sugar, 1),
    "molecular_so2": (sulphite.molecular_so2, 2),
    "nitrogen_needed": (nitrogen.nitrogen_needed, 1),
    "real_attenuation": (extract.real_attenuation, 2),
    "residual_sugar": (extract.residual_sugar, 2),
    "tannin_exposure": (tannin.tannin_exposure, 5),
}


def _floats(column: pa.ChunkedArray | pa.Array) -> np.ndarray:
    return column.to_numpy(zero_copy_only=False).astype(float)


def over_columns(formula: Formula, arguments: int) -> Callable[..., pa.Array]:
    """Return a formula wrapped so that it takes Arrow columns and gives one back."""

    def call(*columns: pa.ChunkedArray) -> pa.Array:
        arrays = [_floats(column) for column in columns]
        return pa.array(np.asarray(formula(*arrays), dtype=float), from_pandas=True)

    # DuckDB counts a function's parameters by its signature, which *columns would hide.
    call.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [
            inspect.Parameter(f"column_{number}", inspect.Parameter.POSITIONAL_ONLY)
            for number in range(arguments)
        ]
    )
    return call


def _fed(gravity: Columns, volume_l: Columns, sugar_kg: Columns, added_l: Columns) -> object:
    """Return the equivalent gravity after one entry of the ledger; see `enology.ledger`."""
    sugared = ledger.equivalent_gravity_after_sugar(gravity, volume_l, sugar_kg)
    return ledger.equivalent_gravity_after_liquid(sugared, volume_l, added_l)


def _padded(column: pa.ChunkedArray, rows: int) -> np.ndarray:
    """Return a column of lists as an array (entries, rows), infinite where a list has ended."""
    lists = column.combine_chunks()
    lengths = np.nan_to_num(_floats(lists.value_lengths())).astype(int)
    entries = _floats(lists.flatten())
    row = np.repeat(np.arange(rows), lengths)
    at = np.arange(len(entries)) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    padded = np.full((lengths.max(initial=0), rows), np.inf)
    padded[at, row] = entries
    return padded


def _fold(step: Formula, start: pa.ChunkedArray | float, lists: Sequence[pa.ChunkedArray]):  # type: ignore[no-untyped-def]
    """Apply a step to every batch's entries in their order, all batches at once."""
    rows = len(lists[0])
    state = np.full(rows, start) if isinstance(start, float) else _floats(start)
    for entry in zip(*(_padded(column, rows) for column in lists), strict=True):
        is_there = ~np.isinf(entry[0])
        state[is_there] = np.asarray(step(state[is_there], *(part[is_there] for part in entry)))
    return pa.array(state, from_pandas=True)


def _equivalent_gravity(
    original: pa.ChunkedArray,
    before_l: pa.ChunkedArray,
    sugar_kg: pa.ChunkedArray,
    added_l: pa.ChunkedArray,
) -> pa.Array:
    return _fold(_fed, original, [before_l, sugar_kg, added_l])


def _undiluted_share(before_l: pa.ChunkedArray, added_l: pa.ChunkedArray) -> pa.Array:
    return _fold(ledger.alcohol_after_topping_up, 1.0, [before_l, added_l])


# SQL name: the function over a batch's list of changes, and the types it takes.
_LIST = duckdb.list_type(DOUBLE)
LEDGER_FORMULAS: dict[str, tuple[Formula, list[Any]]] = {
    "equivalent_gravity": (_equivalent_gravity, [DOUBLE, _LIST, _LIST, _LIST]),
    "undiluted_share": (_undiluted_share, [_LIST, _LIST]),
}


def register_formulas(connection: duckdb.DuckDBPyConnection) -> None:
    """Make every formula in `FORMULAS` an SQL function of the connection.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
    """
    for name, (formula, arguments) in FORMULAS.items():
        connection.create_function(
            name,
            over_columns(formula, arguments),
            [DOUBLE] * arguments,
            DOUBLE,
            type=ARROW,
            null_handling=SPECIAL,
        )
    for name, (function, types) in LEDGER_FORMULAS.items():
        connection.create_function(name, function, types, DOUBLE, type=ARROW, null_handling=SPECIAL)
