"""Writing to a logbook's files: one writer at a time, each file replaced in one step.

A reader sees the old file or the new one, and a crash leaves one of the two; the last version stays
beside it as `.bak`.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from pipeline.errors import LogbookError

_LOCK = ".logbook.lock"
_LOCK_SECONDS = 30


@contextmanager
def sole_writer(folder: Path) -> Iterator[None]:
    """Keep other writers of hedgerow out of a logbook.

    Raises
    ------
    LogbookError
        If another one keeps writing, or the folder cannot be written to.
    """
    try:
        with FileLock(folder / _LOCK, timeout=_LOCK_SECONDS):
            yield
    except Timeout as error:
        raise LogbookError(
            f"another program has been writing to {folder} for {_LOCK_SECONDS} seconds. Close it "
            "and try again."
        ) from error
    except OSError as error:
        raise LogbookError(f"{folder} cannot be written to: {error.strerror}.") from error


def file_state(path: Path) -> tuple[int, int] | None:
    """Return what changes whenever a file does; None if there is none."""
    if not path.exists():
        return None
    stat = path.stat()
    return stat.st_mtime_ns, stat.st_size


def replace_file(path: Path, data: bytes) -> None:
    """Replace a file in one step, keeping its last version beside it."""
    temporary = path.with_name(f".{path.name}.{os.getpid()}.tmp")
    try:
        with temporary.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            shutil.copymode(path, temporary)
            shutil.copy2(path, path.with_name(f"{path.name}.bak"))
        temporary.replace(path)
        _sync_folder(path.parent)
    finally:
        temporary.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    """Make the rename itself survive a power cut, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
