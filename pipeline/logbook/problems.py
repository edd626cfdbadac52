"""What is wrong with a logbook, as one table: one row per problem.

Every problem names its place (file, line, column), shows the cell as it was typed, says in one
sentence what is wrong and, where possible, what to type instead.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import polars as pl

Level = Literal["error", "warning", "notice"]

PROBLEM_SCHEMA = pl.Schema(
    {
        "level": pl.String(),
        "file": pl.String(),
        "line": pl.Int64(),
        "column": pl.String(),
        "value": pl.String(),
        "rule": pl.String(),
        "message": pl.String(),
        "hint": pl.String(),
    }
)
_NO_PROBLEMS = PROBLEM_SCHEMA.to_frame()


class Fault(NamedTuple):
    """Why one cell cannot be read: the rule it breaks, the sentence, what to type instead."""

    rule: str
    message: str
    hint: str | None = None


class Problem(NamedTuple):
    """One row of the problem table."""

    level: Level
    file: str
    line: int | None
    column: str | None
    value: str | None
    rule: str
    message: str
    hint: str | None = None


def problem_frame(problems: Sequence[Problem] = ()) -> pl.DataFrame:
    """Return problems as a frame, one row per problem."""
    if not problems:
        return _NO_PROBLEMS
    return pl.DataFrame(list(problems), schema=PROBLEM_SCHEMA, orient="row")


def found(
    rows: pl.DataFrame,
    *,
    level: Level,
    file: str,
    column: str | None,
    rule: str,
    message: str | pl.Expr,
    hint: str | pl.Expr | None = None,
) -> pl.DataFrame:
    """Turn the rows that break a rule into problems.

    Parameters
    ----------
    rows : polars.DataFrame
        One row per offence, with `line`; the cell as typed is filled in later (`with_cells`).
    level, file, column, rule
        The same for every row.
    message, hint : str or polars.Expr
        A sentence, or an expression over `rows` that makes one.
    """
    if rows.is_empty():
        return _NO_PROBLEMS
    return rows.select(
        level=pl.lit(level),
        file=pl.lit(file),
        line=pl.col("line"),
        column=pl.lit(column),
        value=pl.lit(None),
        rule=pl.lit(rule),
        message=_text(message),
        hint=_text(hint),
    ).cast(PROBLEM_SCHEMA)


def _text(text: str | pl.Expr | None) -> pl.Expr:
    return text if isinstance(text, pl.Expr) else pl.lit(text)


def all_problems(frames: Sequence[pl.DataFrame]) -> pl.DataFrame:
    """Join problem tables into one, sorted by file and line, errors before warnings."""
    ranks = {"error": 0, "warning": 1, "notice": 2}
    return (
        pl.concat([problem_frame(), *frames])
        .unique(maintain_order=True)
        .sort(
            "file",
            "line",
            pl.col("level").replace_strict(ranks, return_dtype=pl.Int8),
            nulls_last=False,
            maintain_order=True,
        )
    )
