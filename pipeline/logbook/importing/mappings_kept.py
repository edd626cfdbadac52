"""The mapping files that a logbook keeps: which one is for a sheet, and where a new one goes."""

from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.importing.mapping_file import fingerprint_of
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.writing import FOLDER, safe_name

_ENDING = ".mapping.toml"


def find_mapping(sheet: Sheet, folder: Path) -> Path | None:
    """Return the mapping file for a sheet's heading, if the logbook has one.

    The file of the sheet's own name comes first; else any whose fingerprint is the heading's.
    """
    paths = sorted((folder / FOLDER).glob(f"*{_ENDING}")) if (folder / FOLDER).is_dir() else []
    own = f"{safe_name(sheet.name)}{_ENDING}"
    for path in sorted(paths, key=lambda one: one.name != own):
        if fingerprint_of(mapping_text(path), path.name) == sheet.fingerprint:
            return path
    return None


def mapping_by_name(sheet: Sheet, folder: Path) -> Path | None:
    """Return the mapping file of a sheet's name, whatever heading it is for."""
    path = folder / FOLDER / f"{safe_name(sheet.name)}{_ENDING}"
    return path if path.exists() else None


def new_mapping(sheet: Sheet, folder: Path) -> Path:
    """Return where to write a sheet's mapping, beside that of another sheet of the same name."""
    name = safe_name(sheet.name)
    path = folder / FOLDER / f"{name}{_ENDING}"
    if path.exists() and not sheet.codec_is_said:
        return folder / FOLDER / f"{name}.{sheet.fingerprint}{_ENDING}"
    return path


def mapping_text(path: Path) -> str:
    """Return the text of a mapping file.

    Raises
    ------
    LogbookError
        If it cannot be read, or is not kept as UTF-8.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise LogbookError(f"{path.name} cannot be read: {error}. Save it as UTF-8.") from error
