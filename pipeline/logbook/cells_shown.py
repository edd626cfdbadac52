"""Showing in every problem the cell as it was typed."""

from collections.abc import Iterator

import polars as pl

from pipeline.logbook.table import SourceTable

_PLACE = ("file", "line", "column")


def with_cells(problems: pl.DataFrame, tables: dict[str, SourceTable]) -> pl.DataFrame:
    """Fill in `value`: what stands in the problem's column and line of its file.

    Parameters
    ----------
    problems : polars.DataFrame
        One row per problem.
    tables : dict of str to SourceTable
        The files as text.
    """
    places = problems.select(_PLACE).unique()
    cells = [cell for table in tables.values() for cell in _cells(places, table)]
    if not cells:
        return problems
    return (
        problems.join(pl.concat(cells), on=_PLACE, how="left", maintain_order="left")
        .with_columns(value=pl.coalesce("cell", "value"))
        .select(problems.columns)
    )


def _cells(places: pl.DataFrame, table: SourceTable) -> Iterator[pl.DataFrame]:
    """Yield the cells of a file that problems point at, column by column."""
    own = places.filter(pl.col("file") == table.file).drop_nulls("line")
    lines = table.cells["line"]
    if lines.is_empty():
        return
    for (column,), some in own.group_by("column", maintain_order=True):
        if column not in table.cells.columns[1:]:
            continue
        # The lines stand in order; one that is not among them was set aside for its form.
        at = lines.search_sorted(some["line"]).clip(0, len(lines) - 1)
        cell = table.cells[str(column)].gather(at).alias("cell")
        yield some.with_columns(cell).filter(lines.gather(at) == some["line"])
