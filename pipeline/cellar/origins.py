"""Which cells of the logbook the rows of the mart were made from.

The mart keeps the line of every row it takes in, and the raw tables keep every cell as it was
written: together they lead from a number back to what somebody typed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

import polars as pl

Row = dict[str, Any]
_KEYS = ("must_id", "batch_id", "recipe")  # what names a must in a table, the first that is there


class Tables(Protocol):
    """A cellar, or anything else that hands out its tables."""

    def table(self, name: str) -> pl.DataFrame:
        """Return a whole table by the name of its SQL file."""
        ...


@dataclass(frozen=True)
class Cell:
    """One cell that a number rests on.

    Parameters
    ----------
    file : str
        As the maker knows it; a reference table under its path in the project.
    line : int or None
        As a text editor counts; None where there are no lines to count (a setting, the call).
    column : str
        Its heading in the contract.
    as_written : str or None
        The cell itself; None if it is empty.
    value : float or None
        What it puts into the number, in the number's own unit; None where it only says which row
        counts, or is not known.
    weight : float or None
        How much it counts in a mean; None: as much as any other.
    source : str
        Where a number of a reference table is from.
    """

    file: str
    line: int | None
    column: str
    as_written: str | None
    value: float | None = None
    weight: float | None = None
    source: str = ""


class Origins:
    """The rows that describe one batch or planned recipe, and the cells they were written in.

    Parameters
    ----------
    tables : Tables
        The cellar, or a plan's tables.
    must_id : str
        The batch, or the recipe's name.
    is_planned : bool
        Whether it is a recipe.
    """

    def __init__(self, tables: Tables, must_id: str, *, is_planned: bool = False) -> None:
        self.tables, self.must_id, self.is_planned = tables, must_id, is_planned
        self._rows: dict[str, list[Row]] = {}

    def rows(self, table: str) -> list[Row]:
        """Return this must's rows of a table, in the order of the logbook."""
        if table not in self._rows:
            frame = self.tables.table(table)
            key = next(name for name in _KEYS if name in frame.columns)
            mine = pl.col(key) == self.must_id
            if "is_planned" in frame.columns:
                mine &= pl.col("is_planned") == self.is_planned
            frame = frame.filter(mine)
            self._rows[table] = (
                frame.sort("line") if "line" in frame.columns else frame
            ).to_dicts()
        return self._rows[table]

    def row(self, table: str) -> Row:
        """Return this must's one row of a table; empty if it has none."""
        found = self.rows(table)
        return found[0] if found else {}

    @property
    def additions(self) -> str:
        """Which of the contract's files says what goes in."""
        return "recipes" if self.is_planned else "additions"

    def cell(
        self,
        contract_file: str,
        line: int | None,
        column: str,
        value: float | None = None,
        weight: float | None = None,
    ) -> Cell:
        """Return a cell of the logbook.

        Parameters
        ----------
        contract_file : str
            The contract's name of the file, without ending.
        line : int or None
            None of something that stands in no file yet.
        column : str
            The contract's name of the column.
        value, weight : float, optional
            As in `Cell`.
        """
        row = self._written.get(contract_file, {}).get(line)
        if row is None and line is None:
            row = {}
        elif row is None:
            raw = self.tables.table(f"raw_{contract_file}").filter(pl.col("line") == line)
            row = raw.row(0, named=True) if raw.height else {}
            self._written.setdefault(contract_file, {})[line] = row
        return Cell(self.file(contract_file), line, column, row.get(column), value, weight)

    def cells(
        self, contract_file: str, rows: Iterable[Row], column: str, value: str | None = None
    ) -> list[Cell]:
        """Return one column's cell of each row, with the value that stands under `value`."""
        return [
            self.cell(contract_file, row["line"], column, None if value is None else row[value])
            for row in rows
        ]

    def setting(self, name: str, written: str) -> Cell:
        """Return a setting of logbook.toml as a cell."""
        value = float(self.row_of_settings[name])
        return Cell("logbook.toml", None, written, f"{value:g}", value)

    @cached_property
    def row_of_settings(self) -> Row:
        """The logbook's settings."""
        return self.tables.table("settings").row(0, named=True)

    def file(self, contract_file: str) -> str:
        """Return what the maker calls a file of the contract."""
        return self._files.get(contract_file, f"{contract_file}.csv")

    @cached_property
    def _files(self) -> Mapping[str, str]:
        files = self.tables.table("files").select("contract_file", "file")
        return dict(files.iter_rows())

    @cached_property
    def _written(self) -> dict[str, dict[int | None, Row]]:
        return {}
