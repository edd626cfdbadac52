"""The files a logbook needs before its first row: empty ones, its settings, its description."""

import re
import tempfile
from collections.abc import Mapping
from pathlib import Path

from pipeline.logbook.appending import heading_line
from pipeline.logbook.contract import REQUIRED_FILES
from pipeline.logbook.file_writing import replace_file, sole_writer
from pipeline.logbook.folder import files_there
from pipeline.logbook.new import PACKAGE_FILE, write_new_logbook
from pipeline.logbook.settings import SETTINGS_FILE, settings_from

_NUMBERS = ("score_out_of",)


def start_logbook(folder: Path, said: Mapping[str, str]) -> None:
    """Start a logbook in a folder that is there, without example rows; nothing is overwritten.

    Parameters
    ----------
    folder : pathlib.Path
        The folder.
    said : mapping of str to str
        Settings that the maker has chosen, by name, such as ``gallon``; blank ones are left out.

    Raises
    ------
    LogbookError
        If a setting cannot be meant, or the folder cannot be written to.
    """
    chosen = {name: value.strip() for name, value in said.items() if value.strip()}
    settings_from({name: _value(name, text) for name, text in chosen.items()})
    with sole_writer(folder):
        prepare_folder(folder, chosen)


def prepare_folder(folder: Path, said: Mapping[str, str]) -> None:
    """Make the files that a logbook needs, where they are not there yet.

    Settings in `said` that are no sensible value are left at their default.
    """
    with tempfile.TemporaryDirectory() as pattern:
        write_new_logbook(Path(pattern) / "new")
        if not (folder / SETTINGS_FILE).exists():
            text = (Path(pattern) / "new" / SETTINGS_FILE).read_text(encoding="utf-8")
            replace_file(folder / SETTINGS_FILE, _with_settings(text, said).encode())
        if not (folder / PACKAGE_FILE).exists():
            package = (Path(pattern) / "new" / PACKAGE_FILE).read_bytes()
            replace_file(folder / PACKAGE_FILE, package)
    there = files_there(folder)
    for name in REQUIRED_FILES:
        if name not in there:
            replace_file(folder / f"{name}.csv", heading_line(name))


def _value(name: str, text: str) -> str | float:
    is_number = name in _NUMBERS and text.replace(".", "", 1).isdigit()
    return float(text) if is_number else text


def _with_settings(settings: str, said: Mapping[str, str]) -> str:
    """Set what the maker has said in the settings of a new logbook."""
    for name, text in said.items():
        value = _value(name, text)
        if isinstance(value, str) and name in _NUMBERS:
            continue
        line = f"{name} = {text}" if name in _NUMBERS else f'{name} = "{text}"'
        settings = re.sub(rf"^# {re.escape(name)} = .*$", line, settings, flags=re.MULTILINE)
    return settings
