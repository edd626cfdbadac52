"""When things happened: not in the future, and not before their batch began."""

from datetime import date

import polars as pl

from pipeline.logbook.problems import found

# Fruit is often bought, frozen or steeped a day or two before the must is put together.
DAYS_BEFORE_START = 2


def in_the_future(file: str, rows: pl.DataFrame, column: str, today: date) -> pl.DataFrame:
    """Find days that have not come yet: a logbook says what happened, so they are mistyped."""
    wrong = rows.filter(pl.col(column) > today)
    return found(
        wrong,
        level="error",
        file=file,
        column=column,
        rule="in-the-future",
        message=f"this day has not come yet (today is {today.isoformat()})",
        hint="check the year",
    )


def before_the_start(
    file: str, rows: pl.DataFrame, column: str, known: pl.DataFrame
) -> pl.DataFrame:
    """Find what happened to a batch more than two days before it began.

    Rows have the place of their batch in `known`, `batch_at`.
    """
    started = known["started_on"].gather(rows["batch_at"])
    wrong = rows.select("line", column, started).filter(
        pl.col(column) < pl.col("started_on") - pl.duration(days=DAYS_BEFORE_START)
    )
    return found(
        wrong,
        level="error",
        file=file,
        column=column,
        rule="before-the-start",
        message=pl.format(
            "the batch began on {}, later than this", pl.col("started_on").cast(pl.String)
        ),
        hint="correct this day, or started_on in batches.csv",
    )
