"""One batch's rows as they were written, and its glasses as they were scored."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import polars as pl

from pipeline.advice.story import LogRow
from pipeline.counts import counted
from pipeline.show.listing import Listing
from pipeline.show.units import NOT_KNOWN

_WHAT = {
    "batches": "begun",
    "additions": "added",
    "readings": "read",
    "transfers": "moved",
    "tastings": "tasted",
}
_PLAIN = {"additions": ("kind", "ingredient", "amount"), "transfers": ("step",)}
_SHOWN_IN = ("batch_id", "started_on", "added_on", "taken_on", "moved_on", "tasted_on")


def log_listing(rows: Sequence[LogRow], start: date) -> Listing:
    """One row per row of the logbook, by date, each as it was written.

    Parameters
    ----------
    rows : sequence of LogRow
        As `story.batch_log` gives them.
    start : datetime.date
        The day the batch was begun.
    """
    headings = ("date", "day", "what", "as written", "stands in")
    return Listing(headings, [_log_row(row, start) for row in rows], left=headings)


def _log_row(row: LogRow, start: date) -> tuple[str, ...]:
    what = _WHAT[row.table] + (", set aside" if row.is_set_aside else "")
    where = f"{row.file} line {row.line}"
    if row.happened_at is None:
        return ("not readable", "", what, _as_written(row, with_date=True), where)
    day = row.happened_at.date()
    return (day.isoformat(), str((day - start).days), what, _as_written(row), where)


def _as_written(row: LogRow, *, with_date: bool = False) -> str:
    plain = _PLAIN.get(row.table, ())
    hidden = () if with_date else _SHOWN_IN
    named = row.cells.get("ingredient", "").lower()
    first = " ".join(
        row.cells[name]
        for name in plain
        if name in row.cells and not (name == "kind" and row.cells[name].lower() in named)
    )
    rest = [
        f"{name.replace('_', ' ')} {cell}"
        for name, cell in row.cells.items()
        if name not in (*plain, *hidden)
    ]
    return "; ".join([first, *rest] if first else rest)


def glasses_listing(glasses: pl.DataFrame) -> Listing:
    """One row per glass tasted, as it was scored."""
    names = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")
    rows = [
        (
            row["taster"] or NOT_KNOWN,
            row["tasted_on"].isoformat(),
            counted(round(row["age_days"]), "day"),
            "" if row["sweetened_to_g_l"] is None else f"{row['sweetened_to_g_l']:g} g/L",
            *(_point(row[name]) for name in (*names, "harshness", "score")),
            row["faults"] or "",
            row["notes"] or "",
        )
        for row in glasses.sort("tasted_on", "taster", "line").iter_rows(named=True)
    ]
    headings = ("taster", "date", "age", "sweetened to", *names, "harshness", "score")
    return Listing((*headings, "faults", "notes"), rows, left=("date", "faults", "notes"))


def _point(value: Any) -> str:
    return "" if value is None else f"{value:.1f}".removesuffix(".0")
