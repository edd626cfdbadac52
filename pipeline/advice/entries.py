"""Adding an entry from words such as ``gravity=0.994``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from pipeline.errors import LogbookError
from pipeline.logbook.add import add_entry

TODAY = "today"


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
        ``file``, ``line``, and ``problems``: warnings that the row brought.

    Raises
    ------
    LogbookError
        If the row does not pass, with the reason; nothing is written then.
    """
    entry = add_entry(folder, kind, dict(_cell(text) for text in cells))
    problems = entry.problems.to_dicts()
    if not entry.is_written:
        reasons = "; ".join(_reason(problem) for problem in problems)
        raise LogbookError(f"Not written to {entry.file}: {reasons}.")
    return {"file": entry.file, "line": entry.line, "problems": problems}


def _cell(text: str) -> tuple[str, str]:
    column, sign, cell = text.partition("=")
    if not sign:
        raise LogbookError(
            f"A cell is written column=cell, such as gravity=0.994; '{text}' has no '='."
        )
    cell = cell.strip()
    return column.strip(), date.today().isoformat() if cell.lower() == TODAY else cell


def _reason(problem: dict[str, Any]) -> str:
    value = f" '{problem['value']}'" if problem["value"] else ""
    hint = f" (instead: {problem['hint']})" if problem["hint"] else ""
    return f"{problem['column'] or 'the row'}{value}: {problem['message']}{hint}"
