"""Writing to a logbook's files: one writer at a time, each file replaced in one step.

A reader sees the old file or the new one; its last version stays beside it as `.bak`. Files that
belong together are all new or all old: they are written beside the old ones first, then a journal
names them, and only then are they put in their places. A writer that is cut off before the journal
has changed nothing; whoever comes after the journal finishes what it names.
"""

import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from pipeline.errors import LogbookError

FileState = tuple[int, int, int]
IMPORTS = "imports"  # the folder in a logbook where imports keep what they know
_JOURNAL = ".logbook.journal"
_LOCK = ".logbook.lock"
_GATE = ".logbook.gate.lock"
_LOCK_SECONDS = 120
_BETWEEN_TRIES = 0.01  # [s]
_BESIDE = re.compile(r"\.hedgerow-[0-9]+-[0-9]+\.tmp")


@contextmanager
def sole_writer(folder: Path) -> Iterator[None]:
    """Keep other writers of hedgerow out of a logbook; what one left unfinished is finished first.

    Raises
    ------
    LogbookError
        If another one keeps writing, or the folder cannot be written to.
    """
    try:
        with _in_turn(folder):
            _finish(folder)
            yield
    except Timeout as error:
        raise LogbookError(
            f"another program has been writing to {folder} for {_LOCK_SECONDS} seconds. Close it "
            "and try again."
        ) from error
    except OSError as error:
        raise LogbookError(
            f"{folder} cannot be written to: {error.strerror or error}. Make room or give yourself "
            "write access, and try again."
        ) from error


@contextmanager
def _in_turn(folder: Path) -> Iterator[None]:
    """Wait for the lock behind a gate that lets one waiter through.

    A lock alone goes to whoever asks at the right moment, and that is most often the one that has
    just let go of it: among several who write again and again, somebody would wait for ever.
    """
    lock = FileLock(folder / _LOCK, timeout=_LOCK_SECONDS)
    with FileLock(folder / _GATE, timeout=_LOCK_SECONDS):
        lock.acquire(poll_interval=_BETWEEN_TRIES)
    try:
        yield
    finally:
        lock.release()


def is_being_written(folder: Path) -> bool:
    """Return whether files that belong together are being put in their places, or were."""
    return (folder / _JOURNAL).exists()


def repair(folder: Path) -> str | None:
    """Finish or clear away what a writer that was cut off has left.

    Returns
    -------
    str or None
        What was done, for the maker; None if nothing had to be.

    Raises
    ------
    LogbookError
        If something has to be finished, and the folder cannot be written to.
    """
    if is_being_written(folder):
        with sole_writer(folder):
            return "what an earlier run had begun to write is finished"
    if not _leavings(folder):
        return None
    try:
        # Whoever holds the lock is at work on them.
        with FileLock(folder / _LOCK, timeout=0):
            _finish(folder)
    except (Timeout, OSError):
        return None
    return "what an earlier run left unfinished is cleared away; it had changed nothing"


def file_state(path: Path) -> FileState | None:
    """Return what changes whenever a file does; None if there is none."""
    try:
        stat = path.stat()
    except OSError:
        return None
    return stat.st_mtime_ns, stat.st_size, stat.st_ino


def replace_file(path: Path, data: bytes) -> None:
    """Replace a file in one step, keeping its last version beside it if it changes."""
    if not _is(path, data):
        beside = _written_beside(path, data, 0)
        try:
            _keep_last(path, beside)
            beside.replace(path)
            _sync_folder(path.parent)
        finally:
            beside.unlink(missing_ok=True)


def replace_files(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Replace files of a logbook together, keeping the last version of each that changes.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook; the caller is its sole writer.
    contents : mapping of str to bytes
        By the path inside the folder, such as ``imports/old.csv.report.csv``.
    """
    places = {name: (folder / name).resolve() for name in contents}
    changed = [name for name in contents if not _is(places[name], contents[name])]
    beside: dict[str, Path] = {}
    try:
        for at, name in enumerate(changed):
            beside[name] = _written_beside(places[name], contents[name], at)
            _keep_last(places[name], beside[name])
        journal = json.dumps([[name, path.name] for name, path in beside.items()])
        committed = _written_beside(folder / _JOURNAL, journal.encode(), len(changed))
        beside[_JOURNAL] = committed
        committed.replace(folder / _JOURNAL)
        _sync_folder(folder)
    except BaseException:
        for path in beside.values():
            path.unlink(missing_ok=True)
        raise
    _finish(folder)


def _is(path: Path, data: bytes) -> bool:
    return path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data


def _written_beside(path: Path, data: bytes, at: int) -> Path:
    # Of a length that is allowed wherever the name itself is.
    beside = path.with_name(f".hedgerow-{os.getpid()}-{at}.tmp")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return beside


def _keep_last(path: Path, beside: Path) -> None:
    """Keep the file as it is now beside it, and its permissions for the new one."""
    if path.exists():
        shutil.copymode(path, beside)
        copy = beside.with_suffix(".bak")
        try:
            shutil.copy2(path, copy)
            copy.replace(path.with_name(f"{path.name}.bak"))
        finally:
            copy.unlink(missing_ok=True)


def _finish(folder: Path) -> None:
    """Put in place what the journal names, and remove what no journal names."""
    for name, beside in _named(folder):
        place = (folder / name).resolve()
        fresh = place.with_name(beside)
        if fresh.exists():
            fresh.replace(place)
            _sync_folder(place.parent)
    (folder / _JOURNAL).unlink(missing_ok=True)
    for path in _leavings(folder):
        path.unlink(missing_ok=True)


def _named(folder: Path) -> list[tuple[str, str]]:
    """Return the names in the journal and what is to take their places.

    A logbook may come from anybody: nothing outside it is ever touched because a journal says so.
    """
    try:
        found = json.loads((folder / _JOURNAL).read_bytes())
        return [(name, beside) for name, beside in found if _is_ours(name, beside)]
    except (OSError, ValueError, TypeError, RecursionError):
        return []


def _is_ours(name: object, beside: object) -> bool:
    if not isinstance(name, str) or not isinstance(beside, str):
        return False
    parts = name.split("/")
    is_inside = len(parts) == 1 or (len(parts) == 2 and parts[0] == IMPORTS)
    is_plain = parts[-1] not in ("", ".", "..") and not set(parts[-1]) & set("\\\0")
    return is_inside and is_plain and _BESIDE.fullmatch(beside) is not None


def _leavings(folder: Path) -> list[Path]:
    """Return what writers that were cut off have left: files that never took their places."""
    places = [place for place in (folder, folder / IMPORTS) if place.is_dir()]
    return [
        path
        for place in places
        for path in place.glob(".hedgerow-*")
        if _BESIDE.fullmatch(path.with_suffix(".tmp").name) and path.suffix in (".tmp", ".bak")
    ]


def _sync_folder(folder: Path) -> None:
    """Make the rename itself survive a power cut, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
