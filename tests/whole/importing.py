"""What the tests of imports share: a maker's call, and a look at what came of it."""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from pipeline.cli import main
from pipeline.logbook.importing import Answers, Preview, Proposal, preview, propose

MESSY = Path(__file__).parent / "messy"
TODAY = date(2026, 11, 25)


def proposed(name: str) -> Proposal:
    """Propose one of the messy files."""
    return propose((MESSY / name).read_bytes(), name, today=TODAY)


def read(
    proposal: Proposal,
    *,
    starts: Mapping[str, str] | None = None,
    ingredients: Mapping[str, str] | None = None,
    cells: Mapping[tuple[str, str], str] | None = None,
    **general: str,
) -> Preview:
    """Read a proposed sheet with some of its questions answered."""
    answers: Answers = proposal.answers()
    answers = replace(
        answers,
        general=answers.general | general,
        starts=answers.starts | dict(starts or {}),
        ingredients=answers.ingredients | dict(ingredients or {}),
        cells=answers.cells | {(*key, ""): use for key, use in (cells or {}).items()},
    )
    return preview(proposal, answers, today=TODAY)


def rows(found: Preview, file: str, **where: str) -> list[dict]:
    """Return the rows of a file that have these cells, blank cells left out."""
    frame = found.frames().get(file)
    if frame is None:
        return []
    plain = [{key: cell for key, cell in row.items() if cell} for row in frame.to_dicts()]
    return [row for row in plain if all(row.get(key) == cell for key, cell in where.items())]


def fate(found: Preview, line: int, heading: str) -> str:
    """Return what became of one cell: its fate."""
    return cell(found, line, heading).fate


def cell(found: Preview, line: int, heading: str):
    """Return the report's entry of one cell."""
    (one,) = [c for c in found.fates if c.line == line and c.heading == heading]
    return one


def reconciles(found: Preview) -> bool:
    """Whether every cell has one fate or is empty, and every record its place."""
    counts = found.counts()
    filled = [
        (row.line, heading)
        for row in found.sheet.rows
        for heading, text in zip(
            [plan.heading for plan in found.answers.columns], row.cells, strict=True
        )
        if text.strip()
    ]
    return (
        sorted((one.line, one.heading) for one in found.fates) == sorted(filled)
        and counts["records"] == counts["rows"] + counts["rows_set_aside"]
        and counts["cells"]
        == sum(counts[f"cells_{what}"] for what in ("loaded", "held", "rejected", "empty"))
    )


def imported(capsys: pytest.CaptureFixture[str], folder: Path, *paths: Path) -> tuple[int, dict]:
    """Call `hedgerow import` and return its status and its JSON."""
    status = main(["import", *map(str, paths), "--into", str(folder), "--json"])
    return status, json.loads(capsys.readouterr().out)
