"""Showing in every problem the cell as it was typed."""

from collections.abc import Iterator

import polars as pl

_PLACE = ("file", "line", "column")


def with_cells(
    problems: pl.DataFrame, raw: dict[str, pl.DataFrame], files: dict[str, str]
) -> pl.DataFrame:
    """Fill in `value`: what stands in the problem's column and line of its file.

    Parameters
    ----------
    problems : polars.DataFrame
        One row per problem.
    raw : dict of str to polars.DataFrame
        The files as written.
    files : dict of str to str
        What each is called in problems.
    """
    places = problems.select(_PLACE).unique()
    cells = [cell for name in raw for cell in _cells(places, raw[name], files[name])]
    if not cells:
        return problems
    return (
        problems.join(pl.concat(cells), on=_PLACE, how="left", maintain_order="left")
        .with_columns(value=pl.coalesce("cell", "value"))
        .select(problems.columns)
    )


def _cells(places: pl.DataFrame, raw: pl.DataFrame, file: str) -> Iterator[pl.DataFrame]:
    """Yield the cells of a file that problems point at, column by column."""
    own = places.filter(pl.col("file") == file).drop_nulls("line")
    lines = raw["line"]
    if lines.is_empty():
        return
    for (column,), some in own.group_by("column", maintain_order=True):
        if column not in raw.columns[1:-1]:
            continue
        # The lines stand in order; one that is not among them was set aside for its form.
        at = lines.search_sorted(some["line"]).clip(0, len(lines) - 1)
        cell = raw[str(column)].gather(at).alias("cell")
        yield some.with_columns(cell).filter(lines.gather(at) == some["line"])
