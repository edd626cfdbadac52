"""Adding an entry from words such as ``gravity=0.994``, and which batch it is likely for."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from pipeline.errors import LogbookError
from pipeline.logbook.add import ENTRIES, Entry, add_entry
from pipeline.logbook.contract import FILES

if TYPE_CHECKING:
    from pipeline.cellar import Cellar

TODAY = "today"
_DAYS_AGO = {TODAY: 0, "yesterday": 1}
_OVER = ("bottled", "lost")
_TOUCHES = {
    "batches": "started_on",
    "staged_additions": "added_on",
    "readings": "taken_on",
    "steps": "moved_on",
    "glasses": "tasted_on",
}


def add_cells(folder: Path, kind: str, cells: list[str]) -> dict[str, Any]:
    """Add one row to a logbook if it passes every check.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    kind : str
        What is added, such as ``reading``.
    cells : list of str
        ``column=cell``, the cell as a maker would type it; ``today`` stands for the date.

    Returns
    -------
    dict
        ``file``, ``line``, ``rows`` (how many the file has now), and ``problems``: warnings that
        the row brought.

    Raises
    ------
    LogbookError
        If the row does not pass, with the reason; nothing is written then.
    """
    entry = add_typed(folder, kind, dict(_cell(text) for text in cells))
    problems = entry.problems.to_dicts()
    if not entry.is_written:
        reasons = "; ".join(_reason(problem) for problem in problems)
        raise LogbookError(f"Not written to {entry.file}: {reasons}.")
    return {"file": entry.file, "line": entry.line, "rows": entry.rows, "problems": problems}


def add_typed(folder: Path, kind: str, cells: Mapping[str, str]) -> Entry:
    """Add one row from cells as typed, if it passes every check; see `pipeline.logbook.add`.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    kind : str
        What is added, such as ``reading``.
    cells : mapping of str to str
        By the contract's column. In a column of days, ``today`` and ``yesterday`` stand for theirs,
        and a time may follow them.

    Raises
    ------
    LogbookError
        If the logbook cannot be read or written, or a cell could run as a formula.
    """
    return add_entry(folder, kind, in_dates(kind, cells))


def in_dates(kind: str, cells: Mapping[str, str]) -> dict[str, str]:
    """Return the cells with ``today`` and ``yesterday`` as dates, in the columns that hold days.

    Examples
    --------
    >>> in_dates("reading", {"notes": "today", "gravity": "1.012"})
    {'notes': 'today', 'gravity': '1.012'}
    """
    columns = FILES.get(ENTRIES.get(kind, ""), ())
    days = {column.name for column in columns if column.kind in ("day", "moment")}
    return {name: _as_date(cell) if name in days else cell for name, cell in cells.items()}


def _as_date(cell: str) -> str:
    word, _, time = cell.strip().partition(" ")
    ago = _DAYS_AGO.get(word.lower())
    if ago is None:
        return cell.strip()
    return f"{(date.today() - timedelta(days=ago)).isoformat()} {time.strip()}".strip()


def _cell(text: str) -> tuple[str, str]:
    column, sign, cell = text.partition("=")
    if not sign:
        raise LogbookError(
            f"A cell is written column=cell, such as gravity=0.994; '{text}' has no '='."
        )
    return column.strip(), cell.strip()


def _reason(problem: dict[str, Any]) -> str:
    value = f" '{problem['value']}'" if problem["value"] else ""
    hint = f" (instead: {problem['hint']})" if problem["hint"] else ""
    return f"{problem['column'] or 'the row'}{value}: {problem['message']}{hint}"


def likely_batches(cellar: Cellar, kind: str) -> list[dict[str, Any]]:
    """Return the batches that an entry can be for, the likeliest first.

    Those still running come before those that are bottled or lost, since most entries are about
    them; a tasting is as likely of a bottled wine. Then the one with the latest entry comes first.

    Parameters
    ----------
    cellar : Cellar
    kind : str
        What is to be added, such as ``reading``.

    Returns
    -------
    list of dict
        ``batch_id``, ``name``, ``state`` and ``touched_on`` (date of the latest entry).
    """
    touched = pl.concat(
        [
            cellar.table(table).select("batch_id", touched_on=pl.col(day).cast(pl.Date))
            for table, day in _TOUCHES.items()
        ]
    ).group_by("batch_id")
    last = cellar.table("batches").join(touched.agg(pl.col("touched_on").max()), on="batch_id")
    is_over = pl.col("state").is_in(() if kind == "tasting" else _OVER)
    ranked = last.sort(is_over, "touched_on", "line", descending=[False, True, True])
    return ranked.select("batch_id", "name", "state", "touched_on").to_dicts()
