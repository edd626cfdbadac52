"""Reading the cellar: whole tables as polars frames, one short read-only connection each."""

from contextlib import suppress
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from pipeline.errors import ChangedMeanwhileError, UnknownNameError

# The cellar reads its own file and nothing else, and no query can change that.
LOCKED_IN: dict[str, str | bool | int | float | list[str]] = {
    "enable_external_access": "false",
    "lock_configuration": "true",
}

# Tables that SQL leaves in no certain order: it would carry every column of millions of rows about
# for one, while most readings stand in it already.
_IN_NO_ORDER = ("readings",)

# Whatever else DuckDB says on reading a whole table, the file is damaged.
_OUR_OWN_FAULT = (
    duckdb.ProgrammingError,
    duckdb.PermissionException,
    duckdb.ConnectionException,
    duckdb.OutOfMemoryException,
)


class Cellar:
    """The derived tables of one logbook.

    Parameters
    ----------
    path : pathlib.Path
        The DuckDB file. It is opened read-only for each table and closed again at once, so that a
        new cellar can be renamed over it at any time; tables already read are kept.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._tables: dict[str, pl.DataFrame] = {}
        self._built: str | None = None

    def fingerprint(self) -> str | None:
        """Return what this cellar was built from, or None if it is missing or unreadable."""
        if not self.path.exists():
            return None
        try:
            with self._opened() as connection:
                return _fingerprint(connection)
        except duckdb.Error:
            # Made by another version, or damaged: it is derived, so it is simply built again.
            return None

    def built_from(self) -> str | None:
        """Return what the tables already read were built from; else as `fingerprint`, looked up."""
        if self._built is None:
            self._built = self.fingerprint()
        return self._built

    def table(self, name: str) -> pl.DataFrame:
        """Return a whole table.

        Parameters
        ----------
        name : str
            Name of a table in `sql/`, without its number.

        Returns
        -------
        polars.DataFrame
            What one row is stands at the head of the table's SQL file.
        """
        if name not in self._tables:
            found = self._read(f'select * from "{name}"')
            self._tables[name] = found.sort("line") if name in _IN_NO_ORDER else found
        return self._tables[name]

    def tables(self) -> dict[str, str]:
        """Return the tables there are, each with what one row of it is."""
        found = self._read(
            "select table_name, comment from duckdb_tables() where comment is not null"
        )
        return {
            name: comment
            for name, comment in found.sort("table_name").iter_rows()
            if not name.startswith("check_")
        }

    def settings(self) -> dict[str, Any]:
        """Return the logbook's settings, SI units."""
        return self.table("settings").row(0, named=True)

    def batch(self, batch_id: str) -> dict[str, Any]:
        """Return one batch as a mapping of column to value.

        Raises
        ------
        UnknownNameError
            If the logbook has no such batch.
        """
        return self._row("batches", "batch_id", batch_id, "batch")

    def _row(self, table: str, key: str, value: str, noun: str) -> dict[str, Any]:
        frame = self.table(table)
        found = frame.filter(pl.col(key) == value)
        if found.is_empty():
            known = ", ".join(frame[key].cast(pl.String).head(8))
            raise UnknownNameError(
                f"There is no {noun} '{value}' in this logbook. "
                + (f"It has {frame.height}, among them: {known}." if known else "It has none yet.")
            )
        return found.row(0, named=True)

    def _read(self, query: str) -> pl.DataFrame:
        try:
            with self._opened() as connection:
                found = _fingerprint(connection)
                if self._built not in (None, found):
                    raise ChangedMeanwhileError("the logbook changed while it was being read")
                self._built = found
                return connection.sql(query).pl()
        except _OUR_OWN_FAULT:
            raise
        except duckdb.Error as error:
            # Nothing is lost with it: whoever calls next builds it anew.
            with suppress(OSError):
                self.path.unlink()
            raise ChangedMeanwhileError(
                f"{self.path} is damaged, and is built anew from the logbook"
            ) from error

    def _opened(self) -> duckdb.DuckDBPyConnection:
        return duckdb.connect(str(self.path), read_only=True, config=LOCKED_IN)


def _fingerprint(connection: duckdb.DuckDBPyConnection) -> str:
    return str(connection.sql("select fingerprint from built").pl().item())
