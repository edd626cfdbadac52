"""Rows of a recipe as somebody would write them, read and checked without any file."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.logbook.appending import heading_line, row_text
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.problems import problem_frame
from pipeline.logbook.reading import check_tables
from pipeline.logbook.settings import read_settings
from pipeline.logbook.table import read_csv_table

_RECIPES = "recipes"


def read_recipe_rows(
    folder: Path, rows: Sequence[Mapping[str, str]]
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Read rows as if they stood in recipes.csv.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook, for its settings; nothing else in it is read, and nothing written.
    rows : sequence of mapping of str to str
        By the contract's columns, as typed.

    Returns
    -------
    typed : polars.DataFrame
        The rows that pass, as in `CheckedLogbook.typed`; `line` is 2 for the first, 3 for the next.
    problems : polars.DataFrame
        What is wrong with the others.
    """
    names = column_names(_RECIPES)
    lines = [row_text([row.get(name) or "" for name in names], ",") for row in rows]
    data = "\n".join([row_text(names, ","), *lines, ""]).encode()
    settings, _ = read_settings(folder)
    contents = {name: heading_line(name) for name in FILES} | {_RECIPES: data}
    tables = {name: read_csv_table(one, name, f"{name}.csv") for name, one in contents.items()}
    checked = check_tables(folder, tables, settings, problem_frame(), date.today())
    return checked.typed[_RECIPES], checked.problems.filter(pl.col("level") == "error")
