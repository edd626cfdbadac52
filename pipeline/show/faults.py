"""Rows of the logbook that have something to say against them, each as it was written."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import polars as pl

LEVELS = ("error", "warning", "notice")
CONSEQUENCE = "batch-set-aside"  # nothing to mend there: it goes with its batch's own row


@dataclass(frozen=True)
class FaultyRow:
    """One row and what is wrong with it.

    Attributes
    ----------
    file : str
        As the maker knows it.
    line : int or None
        Where it begins; None is the file as a whole.
    problems : tuple of dict
        Those of the row, as in the cellar.
    cells : dict of str to str or None
        By column, as written; empty if the row cannot be cut into cells.
    """

    file: str
    line: int | None
    problems: tuple[dict, ...]
    cells: dict[str, str | None]

    @property
    def marked(self) -> list[str]:
        """Columns that a problem points at."""
        columns = [problem["column"] for problem in self.problems]
        return [column for column in dict.fromkeys(columns) if column in self.cells]

    @property
    def raw(self) -> str | None:
        """The row's text where it cannot be cut into cells."""
        values = (p["value"] for p in self.problems if p["rule"].startswith("row-"))
        return next(values, None)

    @property
    def is_csv(self) -> bool:
        """Whether it stands in a file that can be written to from here."""
        return self.file.lower().endswith(".csv")

    def is_mendable(self) -> bool:
        """Whether one of its cells, or the row itself, can be typed anew."""
        return self.is_csv and (bool(self.cells) or self.raw is not None)


def narrowed(
    problems: pl.DataFrame, level: str | None, file: str | None, rule: str | None
) -> pl.DataFrame:
    """Return the problems of one level, file and rule; None is any.

    Parameters
    ----------
    problems : polars.DataFrame
        The cellar's.
    level, file, rule : str or None
        As in the problems.
    """
    for column, wanted in (("level", level), ("file", file), ("rule", rule)):
        if wanted is not None:
            problems = problems.filter(pl.col(column) == wanted)
    return problems


def count_rows(problems: pl.DataFrame) -> int:
    """Return how many rows problems point at."""
    return problems.select("file", "line").n_unique()


def faulty_rows(
    problems: pl.DataFrame,
    files: pl.DataFrame,
    raw: Mapping[str, pl.DataFrame],
    most: int | None = None,
) -> list[FaultyRow]:
    """Return the rows that problems point at, those first whose mending helps most.

    Rows set aside come first, a batch's own before all, since it takes its other rows with it; rows
    that only wait for their batch come last.

    Parameters
    ----------
    problems : polars.DataFrame
        The cellar's.
    files : polars.DataFrame
        The cellar's: which table of rows belongs to a file.
    raw : mapping of str to polars.DataFrame
        Rows as written, by the contract's name of the file.
    most : int, optional
        How many rows at most; all of them if left out.
    """
    tables = {row["file"]: row["contract_file"] for row in files.iter_rows(named=True)}
    rank = problems.select(
        pl.col("level").cast(pl.Enum(LEVELS)).to_physical().alias("level"),
        (pl.col("rule") == CONSEQUENCE).alias("waits"),
        pl.col("file").replace_strict(tables, default="").ne("batches").alias("is_other"),
    )
    ordered = problems.hstack(rank.rename({"level": "rank"})).sort(
        "waits", "rank", "is_other", "file", "line", nulls_last=False, maintain_order=True
    )
    places = ordered.select("file", "line").unique(maintain_order=True).head(most or len(ordered))
    wanted = ordered.join(places, on=["file", "line"], how="semi", nulls_equal=True)
    groups = wanted.drop("waits", "rank", "is_other").partition_by(
        "file", "line", maintain_order=True
    )
    cells = {name: _by_line(raw[name]) for name in set(tables.values()) if name in raw}
    return list(_rows(groups, tables, cells))


def _rows(
    groups: list[pl.DataFrame], tables: dict[str, str], cells: dict[str, pl.DataFrame]
) -> Iterator[FaultyRow]:
    for group in groups:
        file, line = group["file"][0], group["line"][0]
        found = cells.get(tables.get(file, ""))
        row = None if found is None or line is None else found.filter(pl.col("line") == line)
        known = {} if row is None or row.is_empty() else row.drop("line").row(0, named=True)
        # A row that cannot be cut into cells stands in the table with none.
        is_cut = not group["rule"].str.starts_with("row-").any()
        yield FaultyRow(file, line, tuple(group.to_dicts()), known if is_cut else {})


def _by_line(rows: pl.DataFrame) -> pl.DataFrame:
    return rows.drop("is_set_aside", strict=False)


def waiting(problems: pl.DataFrame) -> int:
    """Return how many rows only wait for their batch's own row to be mended."""
    errors = problems.filter(pl.col("level") == "error")
    rows = errors.group_by("file", "line").agg(waits=(pl.col("rule") == CONSEQUENCE).all())
    return int(rows["waits"].sum())


def of_rows(problems: pl.DataFrame, rows: Sequence[tuple[str, int]]) -> pl.DataFrame:
    """Return the problems of certain rows, by file and line."""
    wanted = pl.DataFrame(rows, schema={"file": pl.String, "line": pl.Int64}, orient="row")
    return problems.join(wanted, on=["file", "line"], how="semi", maintain_order="left")
