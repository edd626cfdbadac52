"""What must hold between files: batches exist once, and fruits are known by name."""

import polars as pl
from rapidfuzz import fuzz, process

from pipeline.logbook.problems import found, problem_frame

_CLOSE = 80  # [0–100] similarity from which a name is proposed


def batch_id_twice(file: str, batches: pl.DataFrame) -> pl.DataFrame:
    """Find the later of two batches with one name: their rows cannot be told apart."""
    first = batches.group_by("batch_id").agg(first_line=pl.col("line").min())
    wrong = batches.join(first, on="batch_id", how="inner").filter(
        pl.col("line") > pl.col("first_line")
    )
    return found(
        wrong,
        level="error",
        file=file,
        column="batch_id",
        rule="batch-twice",
        message=pl.format(
            "line {} has this batch_id already; each batch has its own", "first_line"
        ),
        hint="give one of the two another batch_id",
    )


def no_such_batch(file: str, rows: pl.DataFrame, known: pl.DataFrame) -> pl.DataFrame:
    """Find rows whose batch is not in batches.csv: they have a `batch_id` and no `batch_at`."""
    wrong = rows.filter(pl.col("batch_at").is_null() & pl.col("batch_id").is_not_null())
    names = known["batch_id"].to_list() if wrong.height else []
    hints = {name: _closest(name, names) for name in wrong["batch_id"].unique()}
    return found(
        wrong.with_columns(
            hint=pl.col("batch_id").replace_strict(hints, default=None, return_dtype=pl.String),
        ),
        level="error",
        file=file,
        column="batch_id",
        rule="no-such-batch",
        message="there is no such batch in batches.csv",
        hint=pl.col("hint"),
    )


def _closest(name: str, known: list[str]) -> str | None:
    best = process.extractOne(
        name, known, scorer=fuzz.ratio, processor=str.lower, score_cutoff=_CLOSE
    )
    return best[0] if best else "add the batch to batches.csv"


def batch_set_aside(file: str, rows: pl.DataFrame, known: pl.DataFrame) -> pl.DataFrame:
    """Find the rows of batches whose own row was set aside, by their `batch_at` in `known`."""
    lines = known["batch_line"]
    if lines.null_count() == len(lines):
        return problem_frame()
    wrong = rows.select("line", lines.gather(rows["batch_at"])).drop_nulls("batch_line")
    return found(
        wrong,
        level="error",
        file=file,
        column="batch_id",
        rule="batch-set-aside",
        message=pl.format("its batch was set aside (batches, line {})", "batch_line"),
        hint="correct that row first",
    )


def fruit_unknown(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find fruits without a known composition: sugar, acid and tannin cannot be reckoned."""
    wrong = rows.filter((pl.col("kind") == "fruit") & pl.col("ingredient_key").is_null())
    return found(
        wrong,
        level="notice",
        file=file,
        column="ingredient",
        rule="fruit-unknown",
        message="this fruit is not in the reference table, and is reckoned as an average fruit",
        hint="the usual name of the fruit, in the singular, if it has one",
    )
