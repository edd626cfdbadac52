"""Reading a logbook folder into checked frames.

Cells are understood first, then rows, then what must hold between files, then what is odd about a
batch. A row with an error is set aside; always rows read = rows loaded + rows set aside.
"""

from datetime import date
from pathlib import Path

import polars as pl

from pipeline.errors import LogbookError
from pipeline.logbook.cells_shown import with_cells
from pipeline.logbook.checked import CheckedLogbook
from pipeline.logbook.checks.batches import batch_warnings
from pipeline.logbook.checks.dates import before_the_start, in_the_future
from pipeline.logbook.checks.names import recipe_said_twice
from pipeline.logbook.checks.powders import powder_in_doubt
from pipeline.logbook.checks.references import (
    batch_id_twice,
    batch_set_aside,
    fruit_unknown,
    no_such_batch,
)
from pipeline.logbook.checks.rows import row_problems
from pipeline.logbook.checks.sources import source_problems
from pipeline.logbook.contract import GALLONS
from pipeline.logbook.file_writing import is_being_written, repair
from pipeline.logbook.folder import read_folder, stock
from pipeline.logbook.gallons import gallon_by_key, with_gallon
from pipeline.logbook.loaded import Loaded
from pipeline.logbook.outcome import sources, split_rows
from pipeline.logbook.places import known_batches, places
from pipeline.logbook.problems import Problem, all_problems, problem_frame
from pipeline.logbook.rows import TypedRows, read_rows
from pipeline.logbook.schemas import bound_problems
from pipeline.logbook.settings import Settings, read_settings
from pipeline.logbook.table import SourceTable
from pipeline.logbook.typed_contract import in_contract_form

_ATTEMPTS = 5
_DAY_COLUMN = {
    "batches": "started_on",
    "additions": "added_on",
    "readings": "taken_on",
    "transfers": "moved_on",
    "tastings": "tasted_on",
}


def read_logbook(folder: Path, *, today: date | None = None) -> CheckedLogbook:
    """Read and check a logbook.

    Parameters
    ----------
    folder : pathlib.Path
        The folder with batches.csv and additions.csv.
    today : datetime.date, optional
        The day after which an entry is in the future; by default the real one.

    Returns
    -------
    CheckedLogbook
        What loaded, what was set aside, and every problem.

    Raises
    ------
    LogbookError
        If the logbook as a whole cannot be used: no such folder, a required file or column missing,
        a file that is no text, a setting that cannot be meant.
    """
    folder = Path(folder)
    (settings, problems), tables = _read_at_one_moment(folder)
    return _checked(folder, tables, settings, problem_frame(problems), today or date.today())


def _read_at_one_moment(
    folder: Path,
) -> tuple[tuple[Settings, list[Problem]], dict[str, SourceTable]]:
    """Read settings and files as they were at one moment: none old beside a new one."""
    for _ in range(_ATTEMPTS):
        repair(folder)
        before = stock(folder) if folder.is_dir() else ()
        found = read_settings(folder), read_folder(folder)
        if stock(folder) == before and not is_being_written(folder):
            return found
    raise LogbookError(
        f"the files in {folder} keep changing while they are read. Close them elsewhere, and try "
        "again."
    )


def check_tables(
    folder: Path,
    tables: dict[str, SourceTable],
    settings: Settings,
    problems: pl.DataFrame,
    today: date,
) -> CheckedLogbook:
    """Check the files of a logbook that were already read as text."""
    return _checked(folder, dict(tables), settings, problems, today)


def _checked(
    folder: Path,
    tables: dict[str, SourceTable],
    settings: Settings,
    problems: pl.DataFrame,
    today: date,
) -> CheckedLogbook:
    """Check files; each is taken out once its rows are split, as it may be large."""
    read_as, files = sources(tables), {name: table.file for name, table in tables.items()}
    typed = {}
    found = [problems]
    known = pl.DataFrame()
    for name, table in tables.items():
        rows, batch_at = _typed_rows(table, settings, known)
        typed[name] = in_contract_form(name, rows.frame)
        found.extend((source_problems(table), rows.problems))
        found.append(_own_problems(table, rows, typed[name], settings, today))
        if name == "batches":
            known = known_batches(rows.frame, _lost_batches(rows.frame, found, table), settings)
        if batch_at is not None:
            found.extend(_batch_problems(table, typed[name].with_columns(batch_at), known))
    del table, rows
    split = split_rows(settings, tables, typed, all_problems(found))
    found.extend(batch_warnings(Loaded(split.typed, files, split.set_aside, settings)))
    return CheckedLogbook(
        folder=folder,
        settings=settings,
        raw=split.raw,
        typed=split.typed,
        set_aside=split.set_aside,
        problems=all_problems([with_cells(pl.concat(found), split.raw, files)]),
        files=split.files,
        sources=read_as,
    )


def _typed_rows(
    table: SourceTable, settings: Settings, known: pl.DataFrame
) -> tuple[TypedRows, pl.Series | None]:
    """Return the rows of a file, and where the batch of each stands in `known` if they have one."""
    if table.name == "batches":
        return read_rows(table, settings, None), None
    if table.name == "recipes":
        return read_rows(table, settings, _gallon_of_recipes(table, settings)), None
    batch_at = places(table.stripped("batch_id"), known["batch_id"]).alias("batch_at")
    return read_rows(table, settings, with_gallon(batch_at, known["gallon"], settings)), batch_at


def _gallon_of_recipes(table: SourceTable, settings: Settings) -> pl.Series:
    written = table.stripped("gallon").str.to_lowercase()
    own = pl.DataFrame(
        {"recipe": table.stripped("recipe"), "gallon": written.set(~written.is_in(GALLONS), None)}
    )
    by_recipe = gallon_by_key(own, "recipe", settings)
    at = places(own["recipe"], by_recipe["recipe"])
    return with_gallon(at, by_recipe["gallon"], settings)


def _own_problems(
    table: SourceTable, rows: TypedRows, form: pl.DataFrame, settings: Settings, today: date
) -> pl.DataFrame:
    """Return what is wrong with the rows of one file, looked at alone."""
    # A cell that could not be read is empty after reading; it is not missing as well.
    unread = rows.problems.filter(pl.col("level") == "error").select("line", "column")
    parts = [
        bound_problems(table.name, table.file, form, table.cells, unread),
        row_problems(table.name, table.file, _with_given(table, rows.frame), settings),
    ]
    if table.name in _DAY_COLUMN:
        parts.append(in_the_future(table.file, form, _DAY_COLUMN[table.name], today))
    if table.name == "batches":
        parts.append(batch_id_twice(table.file, form))
    if table.name == "recipes":
        parts.append(recipe_said_twice(table.file, form))
    if "ingredient_key" in form.columns:
        parts.append(fruit_unknown(table.file, form))
        parts.append(powder_in_doubt(table.file, form))
    if "removed_on" in form.columns:
        parts.append(in_the_future(table.file, form, "removed_on", today))
    return pl.concat(parts)


def _with_given(table: SourceTable, frame: pl.DataFrame) -> pl.DataFrame:
    """Add what was written in cells whose presence is a rule of its own."""
    if table.name != "transfers":
        return frame
    return frame.with_columns(
        table.stripped("volume_after").alias("volume_after_given"),
        table.stripped("bottles").alias("bottles_given"),
    )


def _lost_batches(
    batches: pl.DataFrame, found: list[pl.DataFrame], table: SourceTable
) -> pl.DataFrame:
    """Return the batches that are nowhere loaded: `batch_id` and the line of their row."""
    errors = pl.concat(found).filter((pl.col("level") == "error") & (pl.col("file") == table.file))
    is_lost = pl.col("line").is_in(errors["line"].implode())
    loaded = batches.filter(~is_lost).select("batch_id")
    return (
        batches.filter(is_lost)
        .select("batch_id", batch_line="line")
        .drop_nulls()
        .join(loaded, on="batch_id", how="anti")
        .unique("batch_id", keep="first")
    )


def _batch_problems(
    table: SourceTable, rows: pl.DataFrame, known: pl.DataFrame
) -> list[pl.DataFrame]:
    return [
        no_such_batch(table.file, rows, known),
        batch_set_aside(table.file, rows, known),
        before_the_start(table.file, rows, _DAY_COLUMN[table.name], known),
    ]
