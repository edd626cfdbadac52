"""Where the project's own data files lie, and writing a file whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_PACKAGE = Path(__file__).parent


def project_file(*parts: str) -> Path:
    """Return the path of a file or folder under `sql/` or `data/`.

    Parameters
    ----------
    *parts : str
        Path inside the project, e.g. ``"data", "reference", "fruit.csv"``.

    Returns
    -------
    pathlib.Path
        In the wheel these folders ride inside the package; in a checkout they stand beside it.
    """
    packed = _PACKAGE / "_files"
    return (packed if packed.is_dir() else _PACKAGE.parent).joinpath(*parts)


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """Give a place beside a file to write to, and put it in the file's place if all went well.

    A reader sees the old file or the new one; whatever fails, nothing half-written stays behind.

    Parameters
    ----------
    path : pathlib.Path
        The file; an older one is written over.

    Raises
    ------
    OSError
        If it cannot be written there.
    """
    # Of a length that is allowed wherever the name itself is.
    fresh = path.parent / f".hedgerow-{os.getpid()}.new"
    try:
        yield fresh
        fresh.replace(path)
    finally:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
