"""What is on the shelf: counts, what wants looking at, and the table of batches."""

import polars as pl

from pipeline.show.measures import counted, joined, measure_of
from pipeline.show.units import Units

STATES = {
    "fermenting": "fermenting",
    "stuck": "stuck",
    "ageing": "ageing",
    "bottled": "bottled",
    "lost": "lost",
}


def shelf_answer(batches: pl.DataFrame) -> str:
    """Answer 'What is on the shelf?' in one sentence."""
    if batches.is_empty():
        return "The shelf is empty."
    counts = dict(batches["state"].value_counts().iter_rows())
    parts = [f"{counts[state]} {word}" for state, word in STATES.items() if counts.get(state)]
    return f"{counted(batches.height, 'batch', 'batches')}: {joined(parts)}."


def attention_lines(batches: pl.DataFrame, files: pl.DataFrame) -> list[str]:
    """Say what wants looking at: stuck batches, doubtful starts, rows set aside."""
    lines = [
        f"{_title(row)} has stood still at {row['last_gravity']:.3f}: "
        "check its temperature, strength and nitrogen."
        for row in batches.filter(pl.col("state") == "stuck").iter_rows(named=True)
    ]
    doubtful = batches.filter(pl.col("is_original_gravity_doubtful")).height
    if doubtful:
        lines.append(
            f"In {counted(doubtful, 'batch', 'batches')} the first gravity differs from what went "
            "in by more than 0.006: the fruit had not given its sugar yet, or the sugar was not "
            "stirred in."
        )
    aside = int(files["rows_set_aside"].sum())
    if aside:
        lines.append(
            f"{counted(aside, 'row')} of the logbook could not be read and "
            f"{'was' if aside == 1 else 'were'} set aside; hedgerow check says what to mend."
        )
    return lines


def _title(row: dict) -> str:
    return f"{row['batch_id']} ({row['name']})" if row["name"] else str(row["batch_id"])


def shelf_frame(batches: pl.DataFrame, units: Units) -> pl.DataFrame:
    """Return one row per batch, newest first, numbers in the logbook's units.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's batches.
    units : Units
        The logbook's.
    """
    volume = f"bottled, {units.volume_unit}"
    load = f"fruit, {units.load_unit}"
    return batches.sort("started_on", descending=True).select(
        pl.col("batch_id").alias("batch"),
        "name",
        "state",
        pl.col("main_fruit").alias("fruit"),
        "yeast",
        pl.col("started_on").alias("started"),
        _shown("fruit_load_kg_l", units).alias(load),
        _shown("original_gravity", units).alias("gravity at start"),
        _shown("last_gravity", units).alias("gravity last"),
        _shown("alcohol", units).alias("% vol"),
        _shown("bottled_l", units).alias(volume),
        _shown("harshness", units).alias("harshness"),
        _shown("score", units).alias("score"),
    )


def _shown(column: str, units: Units) -> pl.Expr:
    measure = measure_of("final_gravity" if column == "last_gravity" else column, units)
    return pl.col(column).map_elements(
        lambda value: round(measure.convert(value), measure.decimals), return_dtype=pl.Float64
    )
