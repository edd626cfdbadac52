"""Names and statements that do not agree with each other, and rows that say nothing."""

import polars as pl

from pipeline.logbook.loaded import Loaded
from pipeline.logbook.new import EXAMPLE, EXAMPLE_NAME
from pipeline.logbook.problems import found, problem_frame

_NAMES = (("batches", "yeast"), ("batches", "recipe"), ("tastings", "taster"))
_RECIPE_WIDE = {
    "yeast": "yeast",
    "target_volume_l": "target_volume",
    "ferment_temperature_c": "ferment_temperature",
    "sweeten_to_g_l": "sweeten_to",
    "gallon": "gallon",
    "rackings": "rackings",
    "taste_day": "taste_day",
}
_MEASURED = (
    "gravity_sg",
    "gravity_brix",
    "temperature_c",
    "must_temperature_c",
    "ph",
    "ta_g_l",
    "free_so2_mg_l",
    "volume_l",
)


def example_left(loaded: Loaded) -> pl.DataFrame:
    """Find the example of a new logbook where it stands among batches of the maker's own."""
    batches = loaded["batches"]
    is_example = (pl.col("batch_id") == EXAMPLE) & (pl.col("name") == EXAMPLE_NAME)
    left = batches.filter(is_example.fill_null(value=False)).select("line", "batch_id")
    if left.height == batches.height:
        return problem_frame()
    return loaded.warn(
        left,
        "batches",
        "batch_id",
        "example-left",
        pl.lit("the example that came with the logbook is still here, and counts as a batch"),
        pl.lit("delete its row in every file, or write your own over it"),
    )


def spelled_two_ways(loaded: Loaded) -> pl.DataFrame:
    """Find yeasts, recipes and tasters written in two ways: they are taken for two."""
    return pl.concat(_spelled_two_ways(loaded, name, column) for name, column in _NAMES)


def _spelled_two_ways(loaded: Loaded, name: str, column: str) -> pl.DataFrame:
    rows = loaded[name].select("line", written=column).drop_nulls()
    if rows.is_empty():
        return problem_frame()
    # Case, blanks, hyphens and full stops are what one maker writes differently on another day.
    plain = pl.col("written").str.to_lowercase().str.replace_all(r"[\s._-]+", "")
    spellings = rows.group_by("written", maintain_order=True).len().with_columns(plain=plain)
    usual = (
        spellings.sort("len", descending=True, maintain_order=True)
        .group_by("plain", maintain_order=True)
        .agg(usual=pl.col("written").first())
    )
    odd = spellings.join(usual, on="plain").filter(pl.col("written") != pl.col("usual"))
    return loaded.warn(
        rows.join(odd, on="written", how="inner", maintain_order="left"),
        name,
        column,
        "spelled-two-ways",
        pl.format("'{}' is also written '{}' here, and the two count as two", "written", "usual"),
        pl.col("usual"),
    )


def recipe_said_twice(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find lines of a recipe that contradict an earlier one on what holds for the whole recipe."""
    return pl.concat(
        _said_twice(file, rows, typed, column) for typed, column in _RECIPE_WIDE.items()
    )


def _said_twice(file: str, rows: pl.DataFrame, typed: str, column: str) -> pl.DataFrame:
    own = rows.select("line", "recipe", said=typed).drop_nulls()
    first = own.group_by("recipe").agg(first=pl.col("said").first())
    odd = own.join(first, on="recipe").filter(pl.col("said") != pl.col("first"))
    return found(
        odd.sort("line"),
        level="warning",
        file=file,
        column=column,
        rule="recipe-said-twice",
        message=f"an earlier line of this recipe says another {column}; the first one counts",
        hint="say it on one line of the recipe only",
    )


def nothing_read(loaded: Loaded) -> pl.DataFrame:
    """Find readings that say nothing."""
    empty = loaded["readings"].filter(pl.all_horizontal(pl.col(_MEASURED).is_null()))
    return loaded.warn(
        empty,
        "readings",
        "gravity",
        "nothing-read",
        "the row says when something was read, and not what",
        "the reading, or no row",
        level="notice",
    )
