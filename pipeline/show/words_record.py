"""Each recipe's record: its batches side by side, newest first."""

from collections.abc import Iterator

import polars as pl

from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.measures import measure_of
from pipeline.show.units import NOT_KNOWN, Units, number

NO_RECIPE = "without a recipe"
_COLUMNS = (
    ("original_gravity", "start"),
    ("final_gravity", "end"),
    ("alcohol", "strength"),
    ("bottled_l", "bottled"),
    ("finished_fraction", "of aim"),
    ("harshness", "harsh, of 10"),
    ("score", "score"),
    ("cost_per_bottle", "a bottle"),
)


def recipe_records(batches: pl.DataFrame) -> Iterator[tuple[str, pl.DataFrame]]:
    """Yield each recipe with its batches, the recipe of most batches first."""
    named = batches.with_columns(pl.col("recipe").fill_null(NO_RECIPE))
    counts = named.group_by("recipe").len().sort(["len", "recipe"], descending=[True, False])
    for recipe in counts["recipe"]:
        yield recipe, named.filter(pl.col("recipe") == recipe).sort("started_on", descending=True)


def record_title(recipe: str, batches: pl.DataFrame) -> str:
    """Head a recipe's record: how often it was made, and from when to when."""
    made = counted(batches.height, "batch", "batches")
    months = [f"{day:%B %Y}" for day in batches["started_on"].sort().gather([0, -1])]
    return f"{recipe}: {made}, {' to '.join(dict.fromkeys(months))}"


def record_listing(batches: pl.DataFrame, units: Units) -> Listing:
    """Return a recipe's batches, a row each; units stand in the headings."""
    rows = [
        (
            str(row["batch_id"]),
            f"{row['started_on'].day}\N{NO-BREAK SPACE}{row['started_on']:%b\N{NO-BREAK SPACE}%Y}",
            row["yeast"] or NOT_KNOWN,
            *(_cell(column, row[column], units) for column, _ in _COLUMNS),
        )
        for row in batches.iter_rows(named=True)
    ]
    headings = [_heading(column, name, units) for column, name in _COLUMNS]
    return Listing(("batch", "started", "yeast", *headings), rows, left=("started", "yeast"))


def _heading(column: str, name: str, units: Units) -> str:
    measure = measure_of(column, units)
    unit = measure.unit or measure.prefix
    return f"{name}, {unit}" if unit and not unit.startswith("of ") else name


def _cell(column: str, value: float | None, units: Units) -> str:
    measure = measure_of(column, units)
    return number(None if value is None else measure.convert(value), measure.decimals)
