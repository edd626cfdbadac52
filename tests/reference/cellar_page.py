"""Writes sql/TABLES.md: every table of the cellar, what its row is, and every column.

Run it after a change of sql/: ``python tests/reference/cellar_page.py``.
"""

import sys
import tempfile
from pathlib import Path

import duckdb
import polars as pl

sys.path[:0] = [str(Path(__file__).parents[2])]

from pipeline.cellar import load_cellar  # noqa: E402  # found through the path just set
from pipeline.cellar.build import sql_files  # noqa: E402
from pipeline.cellar.comments import describe, table_comment  # noqa: E402
from pipeline.logbook.new import write_new_logbook  # noqa: E402

PAGE = Path(__file__).parents[2] / "sql" / "TABLES.md"
LAYERS = {
    "4": ("Mart", "what answers, page and exports read"),
    "3": ("Facts", "musts put together from their lines, with the chemistry's formulas"),
    "2": ("Staged", "the files' rows with types, in SI units"),
    "1": ("As written", "the files' cells, to the letter"),
}
COLUMN_HEAD = ("| column | unit | what it is |", "| --- | --- | --- |")
OPENING = """\
# The tables of the cellar

Written from the heads of the SQL files and from `columns.csv` by
`python tests/reference/cellar_page.py`; a test keeps it in step. The same sentences are comments
in the file itself: `LOGBOOK/.hedgerow/cellar.duckdb` opens in any DuckDB client.

```sql
select column_name, comment from duckdb_columns() where table_name = 'batches';
select recipe, avg(finished_fraction) from batches group by recipe;
```
"""


def page() -> str:
    """Return the page as it should be."""
    with tempfile.TemporaryDirectory() as folder:
        logbook = Path(folder) / "log"
        write_new_logbook(logbook)
        with duckdb.connect(str(load_cellar(logbook).path), read_only=True) as connection:
            columns = describe(connection)
    sections = [OPENING]
    for digit, (title, holds) in LAYERS.items():
        files = [path for path in sql_files() if path.name.startswith(digit)]
        sections.append(f"## {title}: {holds}\n")
        sections += [section for path in files if (section := _table(path, columns))]
    return "\n".join(sections)


def _table(path: Path, columns: pl.DataFrame) -> str:
    name = path.stem.split("_", 1)[1]
    own = columns.filter(pl.col("table") == name)
    if own.is_empty():
        return ""
    lines = [
        f"| {row['column']} | {row['unit'] or ''} | {_cell(row['meaning'])} |"
        for row in own.iter_rows(named=True)
    ]
    said = table_comment(path)
    head = [f"### {name}", "", said[:1].upper() + said[1:], "", *COLUMN_HEAD]
    return "\n".join([*head, *lines, ""])


def _cell(text: str | None) -> str:
    return (text or "").replace("|", "∣")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
