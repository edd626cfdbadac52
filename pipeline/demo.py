"""The invented demo logbook, written where the maker can look at it and change it."""

import filecmp
import shutil
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.files import project_file, written_whole


def write_demo(folder: Path) -> None:
    """Copy the demo logbook to a folder, if it is not there already.

    Parameters
    ----------
    folder : pathlib.Path
        A new or empty folder, or one that an earlier demo wrote: that one is left as it is, with
        whatever was changed in it.

    Raises
    ------
    LogbookError
        If something else is there, or nothing can be written.
    """
    source = project_file("data", "demo")
    files = [path for path in sorted(source.iterdir()) if path.suffix in (".csv", ".toml")]
    if folder.is_dir() and all((folder / path.name).is_file() for path in files):
        return
    if folder.exists() and not _is_begun(folder, files):
        raise LogbookError(
            f"{folder} is there already and is not the demo logbook. "
            "Name another folder:  hedgerow demo DIR"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in files:
            with written_whole(folder / path.name) as fresh:
                shutil.copyfile(path, fresh)
    except OSError as error:
        raise LogbookError(
            f"The demo logbook cannot be written to {folder}: {error.strerror or error}. "
            "Name a folder you may write to:  hedgerow demo DIR"
        ) from error


def _is_begun(folder: Path, files: list[Path]) -> bool:
    """Return whether a folder is empty, or holds what a demo that was cut off has written."""
    sources = {path.name: path for path in files}
    return folder.is_dir() and all(
        path.name.startswith(".")
        or (path.name in sources and filecmp.cmp(path, sources[path.name], shallow=False))
        for path in folder.iterdir()
    )
