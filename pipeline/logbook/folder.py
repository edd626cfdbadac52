"""The files of a logbook folder: which there are, and their rows as text."""

from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES, REQUIRED_FILES
from pipeline.logbook.file_writing import FileState, file_state
from pipeline.logbook.limits import read_bounded
from pipeline.logbook.settings import SETTINGS_FILE
from pipeline.logbook.table import SourceTable, read_csv_table


def read_folder(folder: Path) -> dict[str, SourceTable]:
    """Read every file of the contract that is in a folder.

    Parameters
    ----------
    folder : pathlib.Path
        With CSV files, or one workbook, or some of each.

    Returns
    -------
    dict
        By contract name, in the contract's order.

    Raises
    ------
    LogbookError
        If there is no such folder, a required file is missing, two files could be the same one, or
        a file cannot be read at all.
    """
    if not folder.is_dir():
        raise LogbookError(
            f"there is no folder {folder}. Give the folder that holds batches.csv, or make one "
            f"with `hedgerow new {folder}`."
        )
    paths = _csv_paths(folder)
    tables = {
        name: read_csv_table(read_bounded(path), name, path.name) for name, path in paths.items()
    }
    for name, table in _workbook_tables(folder).items():
        if name in tables:
            raise LogbookError(
                f"{tables[name].file} and the sheet {table.file} are both there, and only one can "
                "be the logbook's. Move one of them away."
            )
        tables[name] = table
    missing = [f"{name}.csv" for name in REQUIRED_FILES if name not in tables]
    if missing:
        raise LogbookError(
            f"{folder} must hold batches.csv and additions.csv (or a workbook with those sheets); "
            f"{' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing."
        )
    return {name: tables[name] for name in FILES if name in tables}


def files_there(folder: Path) -> set[str]:
    """Return which of the contract's files a folder holds, as CSV or as sheets of a workbook.

    Raises
    ------
    LogbookError
        If two files could be the same one, or a workbook cannot be read.
    """
    found = set(_csv_paths(folder))
    if workbooks := _workbooks(folder):
        from pipeline.logbook.workbook import sheets_there

        found |= {name for path in workbooks for name in sheets_there(path)}
    return found


def is_logbook(folder: Path) -> bool:
    """Return whether a folder holds a logbook or a part of one."""
    return bool(_csv_paths(folder)) or bool(files_there(folder))


def logbook_paths(folder: Path) -> list[Path]:
    """Return what a logbook is read from, to see whether any of it has changed."""
    return sorted(path for path in folder.iterdir() if is_read_from(path))


def stock(folder: Path) -> tuple[tuple[str, FileState | None], ...]:
    """Return what changes whenever a file that a logbook is read from does."""
    return tuple((path.name, file_state(path)) for path in logbook_paths(folder))


def is_read_from(path: Path) -> bool:
    """Return whether a logbook would be read from a file of this name in its folder."""
    return _csv_name(path) is not None or path.name == SETTINGS_FILE or _is_workbook(path)


def _csv_name(path: Path) -> str | None:
    """Return which of the contract's files a path is, by its name alone."""
    name = path.stem.lower()
    return name if path.suffix.lower() == ".csv" and name in FILES else None


def _csv_paths(folder: Path) -> dict[str, Path]:
    found: dict[str, Path] = {}
    for path in sorted(folder.iterdir()):
        name = _csv_name(path)
        if name is None:
            continue
        if name in found:
            raise LogbookError(
                f"{found[name].name} and {path.name} are both there, and only one can be the "
                "logbook's. Rename or move one of them."
            )
        found[name] = path
    return found


def _workbooks(folder: Path) -> list[Path]:
    return [path for path in sorted(folder.iterdir()) if _is_workbook(path)]


def _is_workbook(path: Path) -> bool:
    # A workbook that is open in a spreadsheet program has a lock file `~$…` beside it.
    return path.suffix == ".xlsx" and not path.name.startswith(("~$", "."))


def _workbook_tables(folder: Path) -> dict[str, SourceTable]:
    workbooks = _workbooks(folder)
    if not workbooks:
        return {}
    from pipeline.logbook.workbook import read_workbook

    tables: dict[str, SourceTable] = {}
    for path in workbooks:
        for name, table in read_workbook(path).items():
            if name in tables:
                raise LogbookError(
                    f"{tables[name].file} and {table.file} are both there, and only one can be the "
                    "logbook's. Move one workbook away."
                )
            tables[name] = table
    return tables
