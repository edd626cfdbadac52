"""What `export` and `report` say: where the files are, or which tables there are."""

from typing import TYPE_CHECKING

from pipeline.counts import counted
from pipeline.show.console import escape, out

if TYPE_CHECKING:
    from pipeline.show.answer import Answer


def export(answer: "Answer") -> None:
    """Say what was written, or list the tables with what one row of each is."""
    data = answer.data
    if "file" in data:
        rows = counted(data["rows"], "row")
        out(f"Written: {escape(data['file'])}, {rows}, SI units. Lists stand in one cell.")
        return
    for table in data["tables"]:
        out(f"[b]{table['table']}[/b]  {escape(table['row'].split('. ')[0].rstrip('.'))}.")
    out("")
    out("Write one with:  hedgerow export LOGBOOK batches -o batches.csv")


def report(answer: "Answer") -> None:
    """Say where the report is, and how to look at it."""
    out(f"Written: {escape(answer.data['file'])}. Open it in a browser; it prints on A4 or Letter.")
    if answer.data["pdf"]:
        out(f"Written: {escape(answer.data['pdf'])}.")
