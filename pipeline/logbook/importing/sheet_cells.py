"""The cells of a sheet that may prove something: its dates, its numbers."""

from collections.abc import Iterator, Sequence

from pipeline.logbook.contract import FILES
from pipeline.logbook.importing.moments import is_date_like
from pipeline.logbook.importing.plan import ColumnPlan
from pipeline.logbook.importing.sheet import Sheet

_DAYS = ("date", "started_on", "moved_on", "removed_on", "tasted_on")
_NUMBER_KINDS = frozenset(
    {"number", "score", "volume", "amount", "temperature", "acidity", "sulphite", "sugar"}
)
_KINDS = {(file, column.name): column.kind for file, columns in FILES.items() for column in columns}


def date_cells(sheet: Sheet, columns: Sequence[ColumnPlan]) -> Iterator[tuple[int, str]]:
    """Yield line and text of every cell of the date columns, and of headings that are dates."""
    line = sheet.heading_lines[0] if sheet.heading_lines else 1
    for plan in columns:
        if plan.when and is_date_like(plan.when):
            yield line, plan.when
    yield from _cells(sheet, [plan.column in _DAYS or plan.to == "date" for plan in columns])


def number_cells(sheet: Sheet, columns: Sequence[ColumnPlan]) -> Iterator[tuple[int, str]]:
    """Yield line and text of every cell of the columns that hold numbers."""
    yield from _cells(
        sheet, [_KINDS.get((plan.file, plan.column)) in _NUMBER_KINDS for plan in columns]
    )


def _cells(sheet: Sheet, is_meant: Sequence[bool]) -> Iterator[tuple[int, str]]:
    for row in sheet.rows:
        for cell, meant in zip(row.cells, is_meant, strict=True):
            if meant and cell.strip():
                yield row.line, cell
