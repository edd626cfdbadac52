"""The pandera schemas, one per file, made from the typed contract, and their verdicts as problems.

Only rows that may fail are handed to pandera, and where there are none it is not even loaded: that
takes longer than a logbook takes to read, and of millions of rows few are out of bounds.
"""

from functools import cache
from typing import Any

import polars as pl

from pipeline.logbook.contract import FILES, Column
from pipeline.logbook.lean_pandera import load_pandera, without_unneeded
from pipeline.logbook.problems import PROBLEM_SCHEMA, problem_frame
from pipeline.logbook.slips import gravity_hint, ph_hint
from pipeline.logbook.typed_contract import TYPED, TypedColumn


@cache
def schema(name: str) -> Any:
    """Return the schema of a file's typed frame.

    Parameters
    ----------
    name : str
        The contract's name, such as "readings".
    """
    pa = load_pandera()
    meant: dict[str | None, Column] = {column.name: column for column in FILES[name]}
    return pa.DataFrameSchema(
        {column.name: _column(column, meant.get(column.source)) for column in TYPED[name]},
        name=name,
        strict=False,
        title=f"{name}.csv",
    )


def _column(column: TypedColumn, meant: Column | None) -> Any:
    pa = load_pandera()
    checks = []
    if column.low is not None:
        above = pa.Check.gt if column.is_above else pa.Check.ge
        checks.append(above(column.low, name="too-low"))
    if column.high is not None:
        checks.append(pa.Check.le(column.high, name="too-high"))
    if column.choices:
        checks.append(pa.Check.isin(list(column.choices), name="choice"))
    return pa.Column(
        column.dtype,
        checks,
        nullable=not column.is_required,
        metadata={
            "column": column.source,
            "kind": meant.kind if meant else None,
            "meaning": meant.meaning if meant else None,
        },
        title=column.source,
    )


def failures(name: str, frame: pl.DataFrame) -> pl.DataFrame:
    """Validate a collected frame and return its failures.

    Parameters
    ----------
    name : str
        The contract's name of the file.
    frame : polars.DataFrame
        In the form of the typed contract; collected, because pandera checks only the types of a
        lazy one.

    Returns
    -------
    polars.DataFrame
        One row per failure: `row` (position), `typed` (column of the frame), `check`.
    """
    pa = load_pandera()
    nothing = pl.DataFrame(schema={"row": pl.UInt32, "typed": pl.String, "check": pl.String})
    try:
        with without_unneeded():
            schema(name).validate(frame, lazy=True)
    except pa.errors.SchemaErrors as errors:
        cases = errors.failure_cases.select(
            row=pl.col("index").cast(pl.UInt32), typed="column", check="check"
        )
        return pl.concat([nothing, cases])
    return nothing


def doubtful_rows(name: str, frame: pl.DataFrame, unread: pl.DataFrame) -> pl.Series:
    """Return the rows that may break the schema of their file: every one that does is among them.

    Parameters
    ----------
    name : str
        The contract's name of the file.
    frame : polars.DataFrame
        In the form of the typed contract.
    unread : polars.DataFrame
        Cells that could not be read, `line` and `column`: they are empty now, but not missing.
    """
    judged = [column for column in TYPED[name] if column.source and _doubts(column)]
    sources = {column.name: column.source for column in judged}
    doubts = frame.select(
        pl.int_range(pl.len(), dtype=pl.UInt32).alias("row"),
        "line",
        *(pl.any_horizontal(_doubts(column)).alias(column.name) for column in judged),
    ).filter(pl.any_horizontal(*sources))
    return (
        doubts.unpivot(list(sources), index=["row", "line"], variable_name="column")
        .filter("value")
        .with_columns(pl.col("column").replace_strict(sources, return_dtype=pl.String))
        .join(unread, on=["line", "column"], how="anti")["row"]
        .unique()
        .sort()
    )


def _doubts(column: TypedColumn) -> list[pl.Expr]:
    """Return what may be wrong with a value; of one that is null, nothing unless it is required."""
    value = pl.col(column.name)
    doubts = [value.is_null()] if column.is_required else []
    if column.low is not None:
        doubts.append(~(value > column.low if column.is_above else value >= column.low))
    if column.high is not None:
        doubts.append(~(value <= column.high))
    if column.choices:
        doubts.append(~value.is_in(column.choices))
    if doubts and column.dtype == pl.Float64:
        doubts.append(value.is_nan())
    return doubts


def bound_problems(
    name: str, file: str, frame: pl.DataFrame, raw: pl.DataFrame, unread: pl.DataFrame
) -> pl.DataFrame:
    """Return the values of a frame that are out of bounds or missing, as problems.

    Parameters
    ----------
    name, file : str
        The contract's name, and the file as the maker knows it.
    frame : polars.DataFrame
        In the form of the typed contract.
    raw : polars.DataFrame
        The same rows as written.
    unread : polars.DataFrame
        Cells that could not be read, `line` and `column`; no word is lost on them here.
    """
    rows = doubtful_rows(name, frame, unread)
    if rows.is_empty():
        return problem_frame()
    failed = failures(name, frame[rows])
    failed = failed.with_columns(rows.gather(failed["row"]).alias("row"))
    if failed.is_empty():
        return problem_frame()
    meanings = {column.name: column.meaning for column in FILES[name]}
    parts = [
        _column_problems(column, file, failed.filter(pl.col("typed") == column.name), raw, meanings)
        for column in TYPED[name]
        if column.source is not None
    ]
    return pl.concat(parts).join(unread, on=["line", "column"], how="anti")


def _column_problems(
    column: TypedColumn,
    file: str,
    failed: pl.DataFrame,
    raw: pl.DataFrame,
    meanings: dict[str, str],
) -> pl.DataFrame:
    if failed.is_empty():
        return problem_frame()
    rows = raw[failed["row"].to_list()]
    value = rows[column.source] if column.source in rows.columns else pl.Series([None] * len(rows))
    is_missing = pl.col("check") == "not_nullable"
    return (
        failed.with_columns(rows["line"], value.cast(pl.String).alias("value"))
        .select(
            level=pl.lit("error"),
            file=pl.lit(file),
            line="line",
            column=pl.lit(column.source),
            value=pl.lit(None),
            rule=pl.when(is_missing).then(pl.lit("missing")).otherwise(pl.lit("out-of-range")),
            message=pl.when(is_missing)
            .then(pl.lit(f"{column.source} must not be empty"))
            .otherwise(pl.lit(bounds_sentence(column))),
            hint=pl.when(is_missing)
            .then(pl.lit(meanings.get(column.source or "")))
            .otherwise(
                pl.col("value").map_elements(
                    lambda text: bounds_hint(column, text), return_dtype=pl.String
                )
            ),
        )
        .cast(PROBLEM_SCHEMA)
    )


def bounds_sentence(column: TypedColumn) -> str:
    """Return what a column's values must be, in words."""
    if column.is_above and column.high is not None:
        unit = "kg" if column.name.endswith("_kg") else "L"
        return f"{column.speaks_of} more than {column.low:g} and at most {column.high:g} {unit}"
    if column.low is not None and column.high is not None:
        digits = ".3f" if column.name == "gravity_sg" else "g"
        return f"{column.speaks_of} between {column.low:{digits}} and {column.high:{digits}}"
    if column.is_above:
        return f"{column.speaks_of} more than {column.low:g}"
    return f"{column.speaks_of} {column.low or 0:g} or more"


def bounds_hint(column: TypedColumn, text: str) -> str | None:
    """Return what was probably meant by a value that is out of bounds."""
    if column.name == "gravity_sg":
        return gravity_hint(text)
    return ph_hint(text) if column.name == "ph" else None
