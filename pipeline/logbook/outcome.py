"""Splitting rows into loaded and set aside, and the account of both."""

from dataclasses import replace
from typing import NamedTuple

import polars as pl

from pipeline.logbook.contract import KINDS
from pipeline.logbook.defaults import with_defaults
from pipeline.logbook.settings import Settings
from pipeline.logbook.table import SourceTable
from pipeline.logbook.typed_contract import TYPED, empty_frame

_AS_WRITTEN = ("batch_id", "kind", "ingredient", "amount")
_SET_ASIDE_SCHEMA = pl.Schema(
    {
        "file": pl.String(),
        "line": pl.Int64(),
        **{name: pl.String() for name in _AS_WRITTEN},
        "table": pl.String(),
    }
)


class Split(NamedTuple):
    """Rows as written, rows loaded, rows set aside, and the account of all three."""

    raw: dict[str, pl.DataFrame]
    typed: dict[str, pl.DataFrame]
    set_aside: pl.DataFrame
    files: pl.DataFrame


def split_rows(
    settings: Settings,
    tables: dict[str, SourceTable],
    typed: dict[str, pl.DataFrame],
    problems: pl.DataFrame,
) -> Split:
    """Set aside every row with an error and account for all of them.

    Parameters
    ----------
    settings : Settings
        Its settings.
    tables : dict of str to SourceTable
        Its files as text; taken out of it, as each may be large.
    typed : dict of str to polars.DataFrame
        The same rows typed, faulty ones among them; taken out of it, as each may be large.
    problems : polars.DataFrame
        Every problem found.
    """
    errors = problems.filter(pl.col("level") == "error")
    raw, loaded, set_aside, files = {}, {}, [pl.DataFrame(schema=_SET_ASIDE_SCHEMA)], []
    for name in list(tables):
        table = tables.pop(name)
        bad = errors.filter(pl.col("file") == table.file)["line"].unique()
        cells, table = table.cells.get_columns(), replace(table, cells=pl.DataFrame())
        raw[name] = _raw(cells, table, bad)
        loaded[name] = with_defaults(name, _without(typed, name, bad), settings)
        aside = raw[name].filter("is_set_aside")
        set_aside.append(_as_written(table, aside))
        files.append((table.file, raw[name].height, loaded[name].height, aside.height))
    return Split(
        raw=raw,
        typed={name: loaded[name] if name in loaded else empty_frame(name) for name in TYPED},
        set_aside=pl.concat(set_aside),
        files=_files(files),
    )


def _without(typed: dict[str, pl.DataFrame], name: str, bad: pl.Series) -> pl.DataFrame:
    """Take a frame out and return it without some lines.

    Column by column, each let go before the next: all at once, a long file would stand in memory
    twice, and more than anything else takes.
    """
    columns = typed.pop(name).get_columns()
    is_kept = ~columns[0].is_in(bad.implode())
    if is_kept.all():
        return pl.DataFrame(columns)
    return pl.DataFrame([columns.pop(0).filter(is_kept) for _ in range(len(columns))])


def _raw(cells: list[pl.Series], table: SourceTable, bad: pl.Series) -> pl.DataFrame:
    """Put the rows set aside for their form, of which there are no cells, in their places."""
    if table.ragged:
        ragged = pl.Series([row.line for row in table.ragged], dtype=pl.Int64)
        lines = pl.concat([cells[0], ragged])
        place = lines.arg_sort()
        # A place beyond the cells is null; column by column, as in `_without`.
        at = place.set(place >= len(cells[0]), None)
        cells = [lines.gather(place), *(cells.pop(1).gather(at) for _ in range(len(cells) - 1))]
    return pl.DataFrame(cells).with_columns(is_set_aside=pl.col("line").is_in(bad.implode()))


def _as_written(table: SourceTable, aside: pl.DataFrame) -> pl.DataFrame:
    """Return what is known of the rows set aside, so that their batch can count it as unknown."""
    written = aside.select(
        pl.lit(table.file).alias("file"),
        "line",
        *(
            (
                pl.col(name) if name in aside.columns else pl.lit(None, dtype=pl.String).alias(name)
            ).str.strip_chars()
            for name in _AS_WRITTEN
        ),
        pl.lit(table.name).alias("table"),
    )
    if not table.ragged:
        return written
    return written.update(_from_ragged(table), on="line", how="left").cast(_SET_ASIDE_SCHEMA)


def _from_ragged(table: SourceTable) -> pl.DataFrame:
    """Return the cells of ragged rows that are beyond doubt: a kind that is one of the kinds."""
    names = [heading.name for heading in table.headings]
    rows = []
    for row in table.ragged:
        cells = dict(zip(names, (cell.strip() or None for cell in row.cells), strict=False))
        kind = cells.get("kind") if cells.get("kind") in KINDS else None
        rows.append((row.line, cells.get("batch_id"), kind if "kind" in names else None))
    schema = {"line": pl.Int64, "batch_id": pl.String, "kind": pl.String}
    return pl.DataFrame(rows, schema=schema, orient="row")


def _files(files: list[tuple[str, int, int, int]]) -> pl.DataFrame:
    schema = {
        "file": pl.String,
        "rows_read": pl.Int64,
        "rows_loaded": pl.Int64,
        "rows_set_aside": pl.Int64,
    }
    return pl.DataFrame(files, schema=schema, orient="row")


def sources(tables: dict[str, SourceTable]) -> pl.DataFrame:
    """Return how each file was read, one row per file."""
    return pl.DataFrame(
        [
            {
                "file": table.file,
                "table": table.name,
                "encoding": table.encoding,
                "delimiter": table.delimiter,
                "lines": table.lines,
                "blank_lines": table.blank_lines,
                "records": table.rows_read,
            }
            for table in tables.values()
        ]
    )
