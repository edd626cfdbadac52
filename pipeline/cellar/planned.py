"""A recipe that stands in no file, or in another size than written, read like a cellar."""

import polars as pl

from pipeline.cellar.origins import Tables
from pipeline.cellar.plan import plan_tables

# Column of recipes.csv: the typed column it is read into.
_READ_INTO = {
    **{name: name for name in ("kind", "ingredient", "amount", "form", "skins", "ripeness")},
    **{name: name for name in ("day", "removed_day", "cost", "yeast", "rackings", "taste_day")},
    "target_volume": "target_volume_l",
    "ferment_temperature": "ferment_temperature_c",
    "sweeten_to": "sweeten_to_g_l",
}


class PlannedTables:
    """The mart's tables of a recipe's lines as they were changed, with the cells they came from.

    Parameters
    ----------
    tables : Tables
        The cellar of the logbook that the recipe stands in.
    lines : polars.DataFrame
        The recipe's lines, with the columns of `staged_recipes`.
    """

    def __init__(self, tables: Tables, lines: pl.DataFrame) -> None:
        self._cellar, self._lines = tables, lines
        bottle_l = float(tables.table("settings")["bottle_l"][0])
        self._tables = plan_tables(lines, bottle_l)
        self._tables["raw_recipes"] = _written(tables, lines)

    def table(self, name: str) -> pl.DataFrame:
        """Return a table: the plan's own, else that of the logbook."""
        return self._tables[name] if name in self._tables else self._cellar.table(name)


def _written(tables: Tables, lines: pl.DataFrame) -> pl.DataFrame:
    """Return the cells of recipes.csv, each with what was made of it where that is another."""
    raw = {row["line"]: row for row in tables.table("raw_recipes").iter_rows(named=True)}
    before = {row["line"]: row for row in tables.table("staged_recipes").iter_rows(named=True)}
    rows = []
    for line in lines.iter_rows(named=True):
        at = line["line"]
        cells = dict(raw.get(at, {}))
        for column, typed in _READ_INTO.items():
            cells[column] = _cell(cells.get(column), line, before.get(at), typed)
        rows.append({"line": at, **{name: cells.get(name) for name in _READ_INTO}})
    return pl.DataFrame(rows, schema={"line": pl.Int64} | dict.fromkeys(_READ_INTO, pl.String))


def _cell(written: str | None, now: dict, before: dict | None, typed: str) -> str | None:
    if typed == "amount":
        return _amount(written, now, before)
    value = now[typed]
    if value is None or (before is not None and value == before[typed]):
        return written  # once said, it stands on every line of the recipe as read
    if before is None:
        return str(value)
    return f"{written or 'blank'}, changed to {value:g}" if isinstance(value, float) else str(value)


def _amount(written: str | None, now: dict, before: dict | None) -> str | None:
    """Return an amount as written, with what was made of it: another amount, or so many times."""
    if before is None:
        return str(now["amount"])
    if now["amount"] != before["amount"]:
        return f"{written}, changed to {now['amount']}"
    for size in ("amount_kg", "amount_l"):
        if now[size] and before[size] and abs(now[size] / before[size] - 1) > 1e-9:
            return f"{written}, times {now[size] / before[size]:.4g}"
    return written
