"""The report of an import: every cell that was changed, held or rejected, every line set aside."""

import csv
import io
from collections.abc import Iterator

from pipeline.logbook.importing.previews import Preview

_COLUMNS = ("line", "column", "written", "became", "to", "text", "rule", "reason", "may mean")
_FORMULA_SIGNS = ("=", "@", "\t", "\r")


def report_text(preview: Preview) -> str:
    """Return the report as CSV, one row per cell or line, in the order of the sheet.

    A text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    rows = sorted([*_cells(preview), *_lines(preview)], key=lambda row: int(row[0]))
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(_COLUMNS)
    writer.writerows([_safe(cell) for cell in row] for row in rows)
    return buffer.getvalue()


def _safe(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_SIGNS) else text


def _cells(preview: Preview) -> Iterator[tuple[str, ...]]:
    for cell in preview.fates:
        yield (
            str(cell.line),
            cell.heading,
            cell.written,
            cell.fate,
            cell.to,
            cell.text,
            cell.rule,
            cell.reason,
            " | ".join(cell.readings),
        )


def _lines(preview: Preview) -> Iterator[tuple[str, ...]]:
    for aside in (*preview.sheet.titles, *preview.sheet.aside):
        fate = "title" if aside.fault == "title" else "set aside"
        yield (str(aside.line), "", aside.raw, fate, "", "", aside.fault, aside.reason, "")
    for caution in preview.cautions:
        yield (str(caution.line), "", "", "caution", "", "", "", caution.text, "")
