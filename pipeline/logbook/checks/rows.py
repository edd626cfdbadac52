"""What must hold within one row; a row that breaks it is set aside.

Each rule is one function that returns the offending rows as problems.
"""

from collections.abc import Callable

import polars as pl

from pipeline.logbook.problems import Problem, found, problem_frame
from pipeline.logbook.settings import Settings

FRUIT_ONLY = ("form", "skins", "ripeness", "removed_on", "removed_day")


def row_problems(name: str, file: str, rows: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """Return every broken row rule of a file.

    Parameters
    ----------
    name, file : str
        The contract's name, and the file as the maker knows it.
    rows : polars.DataFrame
        All rows, typed.
    settings : Settings
        For the score scale.
    """
    if name == "tastings":
        return score_over_scale(file, rows, settings.score_out_of)
    return pl.concat([problem_frame(), *(rule(file, rows) for rule in _RULES[name])])


def fruit_only(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find skins, ripeness, form or removal on what is no fruit: a cell that slipped."""
    parts = []
    for column in FRUIT_ONLY:
        if column not in rows.columns:
            continue
        wrong = rows.filter((pl.col("kind") != "fruit") & pl.col(column).is_not_null())
        parts.append(
            found(
                wrong,
                level="error",
                file=file,
                column=column,
                rule="fruit-only",
                message=pl.format(
                    "{} is for fruit only, and this row is {}", pl.lit(column), "kind"
                ),
                hint="leave the cell empty, or correct the kind",
            )
        )
    return pl.concat(parts)


def mark_only_for_water(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find what is made up to a mark and is not water."""
    wrong = rows.filter(pl.col("is_to_mark") & (pl.col("kind") != "water"))
    return found(
        wrong,
        level="error",
        file=file,
        column="amount",
        rule="to-mark",
        message="only water is made up to a mark; an amount must be the amount itself",
        hint=pl.col("amount").str.replace(r"(?i)^.*?\bto ", ""),
    )


def removed_after_added(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find fruit that came out before it went in."""
    wrong = rows.filter(pl.col("removed_on") < pl.col("added_on"))
    return found(
        wrong,
        level="error",
        file=file,
        column="removed_on",
        rule="dates-in-order",
        message=pl.format(
            "the fruit came out before it went in on {}", pl.col("added_on").cast(pl.String)
        ),
        hint="correct one of the two days",
    )


def removed_day_after_day(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find fruit that a recipe takes out before it goes in."""
    wrong = rows.filter(pl.col("removed_day") < pl.col("day"))
    return found(
        wrong,
        level="error",
        file=file,
        column="removed_day",
        rule="dates-in-order",
        message=pl.format("the fruit comes out before it goes in on day {}", "day"),
        hint="correct one of the two days",
    )


def volume_after_needed(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find steps without a volume: nobody can say what they lost."""
    has_volume = pl.col("volume_after_l").is_not_null() | pl.col("volume_after_given").is_not_null()
    has_bottles = (pl.col("step") == "bottle") & pl.col("bottles_given").is_not_null()
    wrong = rows.filter((pl.col("step") != "chill") & ~has_volume & ~has_bottles)
    return found(
        wrong,
        level="error",
        file=file,
        column="volume_after",
        rule="missing",
        message=pl.format("volume_after must not be empty for the step {}", "step"),
        hint=pl.when(pl.col("step") == "bottle")
        .then(pl.lit("the volume, such as 3.75 L, or the number of bottles"))
        .otherwise(pl.lit("the wine after the step, such as 4.25 L")),
    )


def pressed_only_when_strained(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find pressing where nothing was strained."""
    wrong = rows.filter(pl.col("pressed").is_not_null() & (pl.col("step") != "strain"))
    return _refused_with_step(file, wrong, "pressed", "strain")


def bottles_only_when_bottled(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find bottles where nothing was bottled."""
    wrong = rows.filter(pl.col("bottles").is_not_null() & (pl.col("step") != "bottle"))
    return _refused_with_step(file, wrong, "bottles", "bottle")


def _refused_with_step(file: str, wrong: pl.DataFrame, column: str, step: str) -> pl.DataFrame:
    return found(
        wrong,
        level="error",
        file=file,
        column=column,
        rule="refused-combination",
        message=pl.format(
            "{} goes with the step {}, and this row is {}", pl.lit(column), pl.lit(step), "step"
        ),
        hint="leave the cell empty, or correct the step",
    )


def score_over_scale(file: str, rows: pl.DataFrame, score_out_of: float) -> pl.DataFrame:
    """Find scores above the top of the scale: they belong to another one."""
    wrong = rows.filter(pl.col("score") > score_out_of)
    return found(
        wrong,
        level="error",
        file=file,
        column="score",
        rule="out-of-range",
        message=f"score must be between 0 and {score_out_of:g}, the top of this logbook's scale",
        hint="score_out_of in logbook.toml, if the whole logbook uses another scale",
    )


_RULES: dict[str, tuple[Callable[[str, pl.DataFrame], pl.DataFrame], ...]] = {
    "batches": (),
    "additions": (fruit_only, mark_only_for_water, removed_after_added),
    "readings": (),
    "transfers": (volume_after_needed, pressed_only_when_strained, bottles_only_when_bottled),
    "recipes": (fruit_only, mark_only_for_water, removed_day_after_day),
}


def ragged_problem(file: str, line: int, raw: str, fault: str, width: int, count: int) -> Problem:
    """Say what is wrong with a row whose cells cannot be told apart."""
    messages = {
        "cells": f"the row has {count} cells and the first line names {width}, so it is not "
        "certain which is which",
        "quote": "a quotation mark opens a cell and nothing closes it properly",
        "letters": "the row holds letters that are not in the encoding of the rest of the file",
    }
    hints = {
        "cells": "put a cell that holds the separator between quotation marks"
        if count > width
        else "add the missing separators",
        "quote": 'close the mark, or write " inside a quoted cell twice',
        "letters": "retype the accented letters, and save the file as UTF-8",
    }
    return Problem("error", file, line, None, raw, f"row-{fault}", messages[fault], hints[fault])
