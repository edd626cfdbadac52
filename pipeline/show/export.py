"""Tables for other programs: CSV, Parquet and workbooks, with nothing in them that runs."""

from pathlib import Path

import polars as pl

from pipeline.errors import LogbookError
from pipeline.files import written_whole

ENDINGS = (".csv", ".parquet", ".xlsx")
# What begins with one of these is run as a formula by spreadsheet programs.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_SEPARATOR = "; "  # between the parts of a list in one cell


def harmless(text: str) -> str:
    """Return a text that no spreadsheet program runs as a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_SIGNS) else text


def write_table(frame: pl.DataFrame, path: Path, *, mark: bool = False) -> None:
    """Write a table to a .csv, .parquet or .xlsx file, whole or not at all.

    Parameters
    ----------
    frame : polars.DataFrame
        In SI units.
    path : pathlib.Path
        An older file is written over.
    mark : bool
        Begin a CSV file with the byte order mark by which spreadsheet programs know UTF-8.

    Raises
    ------
    LogbookError
        If the ending is another, or the file cannot be written.
    """
    if path.suffix.lower() not in ENDINGS:
        raise LogbookError(
            f"A table is written as {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}; "
            f"'{path.name}' ends otherwise."
        )
    try:
        with written_whole(path) as fresh:
            _write(frame, fresh, path.suffix.lower(), mark=mark)
    except OSError as fault:
        raise LogbookError(
            f"{path} cannot be written: {_reason(fault)}. Name another file."
        ) from fault


def _reason(fault: OSError) -> str:
    # Errors from Rust have no strerror, and name the file again behind the reason.
    return fault.strerror or str(fault).split(" (os error")[0]


def _write(frame: pl.DataFrame, path: Path, ending: str, *, mark: bool) -> None:
    if ending == ".parquet":
        frame.write_parquet(path)
    elif ending == ".csv":
        _harmless_frame(_flat(frame)).write_csv(path, include_bom=mark)
    else:
        _write_workbook(_flat(frame), path)


def _write_workbook(frame: pl.DataFrame, path: Path) -> None:
    from xlsxwriter import Workbook
    from xlsxwriter.exceptions import FileCreateError

    # A text stays a text: neither a formula nor a link that opens something.
    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    try:
        with Workbook(path, options) as workbook:
            frame.write_excel(workbook, autofit=True)
    except FileCreateError as fault:
        raise OSError(str(fault)) from fault


def _flat(frame: pl.DataFrame) -> pl.DataFrame:
    """Return the table with lists as one text and no number that is none: a cell is one thing."""
    lists = [name for name, kind in frame.schema.items() if isinstance(kind, pl.List)]
    numbers = pl.col(pl.Float64)
    return frame.with_columns(
        *(pl.col(name).list.join(_SEPARATOR) for name in lists),
        pl.when(numbers.is_finite()).then(numbers),
    )


def _harmless_frame(frame: pl.DataFrame) -> pl.DataFrame:
    return frame.with_columns(
        pl.col(pl.String).map_elements(harmless, return_dtype=pl.String, skip_nulls=True)
    )
