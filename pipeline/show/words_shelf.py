"""What is on the shelf: counts, what wants looking at, and the table of batches."""

from collections.abc import Sequence

import polars as pl

from pipeline.counts import counted
from pipeline.show.measures import joined, measure_of
from pipeline.show.units import Units

STATES = ("fermenting", "stuck", "ageing", "bottled", "lost")
_ON_THE_MOVE = ("fermenting", "stuck")
_CURVES = 6  # small plots, more only if more batches are on the move
_MOST_CURVES = 12


def shelf_answer(batches: pl.DataFrame) -> str:
    """Answer 'What is on the shelf?' in one sentence."""
    if batches.is_empty():
        return "The shelf is empty."
    counts = dict(batches["state"].value_counts().iter_rows())
    parts = [f"{counts[state]} {state}" for state in STATES if counts.get(state)]
    return f"{counted(batches.height, 'batch', 'batches')}: {joined(parts)}."


def shelf_doubts(batches: pl.DataFrame) -> list[str]:
    """Say in how many batches the first gravity does not fit what went in."""
    doubtful = batches.filter(pl.col("is_original_gravity_doubtful")).height
    if not doubtful:
        return []
    return [
        f"In {counted(doubtful, 'batch', 'batches')} the first gravity differs from what went in "
        "by more than 0.006: the fruit had not given its sugar yet, or the sugar was not stirred "
        "in."
    ]


def batch_title(row: dict) -> str:
    """Name a batch by its id and, if it has one, its name."""
    return f"{row['batch_id']} ({row['name']})" if row["name"] else str(row["batch_id"])


def batch_choices(batches: pl.DataFrame) -> dict[str, str]:
    """Return every batch by id, newest first, each as a choice in words."""
    newest = batches.select("batch_id", "name", "started_on").sort(
        "started_on", "batch_id", descending=True
    )
    return {row["batch_id"]: batch_title(row) for row in newest.iter_rows(named=True)}


def tasted_batches(batches: pl.DataFrame) -> dict[str, str]:
    """Return the tasted batches by id, harshest first, each as a choice in words."""
    scored = batches.select("batch_id", "name", "harshness").drop_nulls("harshness")
    return {
        row["batch_id"]: f"{batch_title(row)}, scored {row['harshness']:.1f}"
        for row in scored.sort("harshness", descending=True).iter_rows(named=True)
    }


def set_aside_basis(files: pl.DataFrame) -> str:
    """Say how much of the logbook this rests on."""
    read, aside = (int(files[name].sum()) for name in ("rows_read", "rows_set_aside"))
    text = f"This rests on {read - aside} of {counted(read, 'row')} of the logbook"
    if not aside:
        return f"{text}: every one could be read."
    were = "was" if aside == 1 else "were"
    why = "'What the logs got wrong' says why and what to type"
    return f"{text}; {aside} {were} set aside, and {why}."


def states_of(batches: pl.DataFrame) -> list[str]:
    """Return the states that batches are in, in the order of a wine's life."""
    found = set(batches["state"])
    return [state for state in STATES if state in found]


def shelf_frame(
    batches: pl.DataFrame, units: Units, states: Sequence[str] | None = None
) -> pl.DataFrame:
    """Return one row per batch, newest first, numbers in the logbook's units.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's batches.
    units : Units
        The logbook's.
    states : sequence of str, optional
        Only batches in these states; all if empty.
    """
    if states:
        batches = batches.filter(pl.col("state").is_in(list(states)))
    return batches.sort("started_on", descending=True).select(
        pl.col("batch_id").alias("batch"),
        "name",
        "state",
        pl.col("main_fruit").alias("fruit"),
        "yeast",
        pl.col("started_on").alias("started"),
        *(
            _shown(column, units).alias(heading)
            for column, heading in _number_headings(units).items()
        ),
    )


def shelf_decimals(units: Units) -> dict[str, int]:
    """Return how many decimals each number of `shelf_frame` is known to, by heading."""
    return {
        heading: measure_of(column, units).decimals
        for column, heading in _number_headings(units).items()
    }


def _number_headings(units: Units) -> dict[str, str]:
    return {
        "fruit_load_kg_l": f"fruit, {units.load_unit}",
        "original_gravity": "gravity at start",
        "last_gravity": "gravity last",
        "alcohol": "% vol",
        "bottled_l": f"bottled, {units.volume_unit}",
        "harshness": "harshness",
        "score": "score",
    }


def _shown(column: str, units: Units) -> pl.Expr:
    measure = measure_of(column, units)
    return pl.col(column).map_elements(
        lambda value: round(measure.convert(value), measure.decimals), return_dtype=pl.Float64
    )


def curves_shown(batches: pl.DataFrame) -> pl.DataFrame:
    """Return the batches whose gravity is worth a plot.

    Those fermenting or stuck come first; the newest others fill up the row. One gravity alone is
    no curve.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's batches.
    """
    curved = batches.filter(pl.col("gravities") > 1).with_columns(
        is_moving=pl.col("state").is_in(_ON_THE_MOVE)
    )
    ordered = curved.sort("is_moving", "started_on", "batch_id", descending=True)
    return ordered.head(max(_CURVES, min(int(curved["is_moving"].sum()), _MOST_CURVES)))


def curves_answer(batches: pl.DataFrame) -> str:
    """Say how many batches are on the move, and which the small plots show."""
    moving = batches.filter(pl.col("state").is_in(_ON_THE_MOVE))
    single = moving.filter(pl.col("gravities").fill_null(0) < 2).height
    if moving.is_empty():
        opening = "Nothing is fermenting."
    else:
        opening = f"{counted(moving.height, 'batch', 'batches')} fermenting or standing still"
        opening += f", {single} of them without a second gravity yet." if single else "."
    if curves_shown(batches).is_empty():
        return f"{opening} Two gravities make a curve: take the next one."
    return f"{opening} Those on the move come first, then the newest."
