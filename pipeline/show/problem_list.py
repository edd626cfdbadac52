"""The problems of a logbook as a list to work through, for a spreadsheet or a browser."""

from pathlib import Path

import polars as pl

from pipeline.errors import LogbookError
from pipeline.files import written_whole
from pipeline.show.export import write_table
from pipeline.show.hypertext import escape

COLUMNS = ("level", "file", "line", "column", "value", "message", "hint")
_PAGE = """<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Problems in the logbook</title>
<style>
body {{ font: 16px/1.4 system-ui, sans-serif; margin: 2rem auto; max-width: 70rem; }}
table {{ border-collapse: collapse; }}
td, th {{ border-bottom: 1px solid #bbb; padding: .3rem .6rem; text-align: left;
  vertical-align: top; }}
td.value {{ font-weight: bold; }}
</style>
<h1>Problems in the logbook</h1>
<table>
<tr>{headings}</tr>
{rows}
</table>
</html>
"""


def write_list(problems: pl.DataFrame, path: Path) -> None:
    """Write the problems to a .csv or .html file.

    Parameters
    ----------
    problems : polars.DataFrame
        One row per problem.
    path : pathlib.Path
        Ends in ``.csv`` (UTF-8 with the mark that spreadsheet programs look for) or ``.html``.

    Raises
    ------
    LogbookError
        If the ending is another, or the file cannot be written.
    """
    rows = problems.select(COLUMNS)
    if path.suffix not in (".csv", ".html"):
        raise LogbookError(f"A list ends in .csv or .html; '{path.name}' does not.")
    try:
        if path.suffix == ".html":
            with written_whole(path) as fresh:
                fresh.write_text(_page(rows), encoding="utf-8")
        else:
            write_table(rows, path, mark=True)
    except OSError as error:
        raise LogbookError(f"{path} cannot be written: {error.strerror or error}.") from error


def _page(rows: pl.DataFrame) -> str:
    headings = "".join(f"<th>{name}</th>" for name in COLUMNS)
    lines = [
        "<tr>" + "".join(_cell(name, value) for name, value in row.items()) + "</tr>"
        for row in rows.iter_rows(named=True)
    ]
    return _PAGE.format(headings=headings, rows="\n".join(lines))


def _cell(name: str, value: object) -> str:
    return f'<td class="{name}">{escape("" if value is None else str(value))}</td>'
