"""Showing in every problem the cell as it was typed."""

import polars as pl

from pipeline.logbook.table import SourceTable


def with_cells(problems: pl.DataFrame, tables: dict[str, SourceTable]) -> pl.DataFrame:
    """Fill in `value`: what stands in the problem's column and line of its file.

    Parameters
    ----------
    problems : polars.DataFrame
        One row per problem.
    tables : dict of str to SourceTable
        The files as text.
    """
    shown = [problems]
    for table in tables.values():
        own = problems.filter(pl.col("file") == table.file)
        named = own["column"].drop_nulls().unique()
        shown.extend(
            _column_shown(own.filter(column=column), column, table)
            for column in named
            if column in table.cells.columns
        )
    return pl.concat(shown).unique(
        [name for name in problems.columns if name != "value"], keep="last", maintain_order=True
    )


def _column_shown(own: pl.DataFrame, column: str, table: SourceTable) -> pl.DataFrame:
    cells = table.cells.select("line", cell=column).filter(
        pl.col("line").is_in(own["line"].implode())
    )
    joined = own.join(cells, on="line", how="left", maintain_order="left")
    return joined.with_columns(value=pl.coalesce("cell", "value")).select(own.columns)
