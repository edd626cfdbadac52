"""What the page takes in at once, where somebody waits for the answer."""

from collections.abc import Sequence
from pathlib import PurePath

from pipeline.errors import LogbookError
from pipeline.logbook.importing.sheet import Sheet

MOST_MB = 20  # of one file; pictures in a workbook weigh more than any notes
MOST_ROWS = 5000  # of one sheet; every answer reads them again


def refuse_long(sheet: Sheet) -> None:
    """Refuse a sheet that is too long to be looked through on the page.

    Raises
    ------
    LogbookError
        If it has more rows than `MOST_ROWS`.
    """
    if len(sheet.rows) > MOST_ROWS:
        raise LogbookError(
            f"{sheet.name} has {len(sheet.rows)} rows, and the page looks through {MOST_ROWS} at "
            "most. Bring it in from the command line: hedgerow import FILE --into LOGBOOK"
        )


def told_apart(names: Sequence[str]) -> list[str]:
    """Return the names of files, numbered where two are called the same.

    Examples
    --------
    >>> told_apart(["old.csv", "new.csv", "old.csv"])
    ['old.csv', 'new.csv', 'old (2).csv']
    """
    apart: list[str] = []
    for name in names:
        path, number, new = PurePath(name), 2, name
        while new in apart:
            new, number = f"{path.stem} ({number}){path.suffix}", number + 1
        apart.append(new)
    return apart
