"""The files a logbook needs before anything is imported into it."""

import shutil
import tempfile
from pathlib import Path

from pipeline.logbook.appending import heading_line
from pipeline.logbook.contract import REQUIRED_FILES
from pipeline.logbook.new import PACKAGE_FILE, write_new_logbook
from pipeline.logbook.settings import SETTINGS_FILE


def prepare_folder(folder: Path, score_out_of: str) -> None:
    """Make the files that a logbook needs: empty ones, its settings, its description."""
    with tempfile.TemporaryDirectory() as pattern:
        write_new_logbook(Path(pattern) / "new")
        if not (folder / SETTINGS_FILE).exists():
            text = (Path(pattern) / "new" / SETTINGS_FILE).read_text(encoding="utf-8")
            (folder / SETTINGS_FILE).write_text(_with_scale(text, score_out_of), encoding="utf-8")
        if not (folder / PACKAGE_FILE).exists():
            shutil.copy(Path(pattern) / "new" / PACKAGE_FILE, folder / PACKAGE_FILE)
    for name in REQUIRED_FILES:
        if not _has(folder, name):
            (folder / f"{name}.csv").write_bytes(heading_line(name))


def _has(folder: Path, name: str) -> bool:
    return any(path.name.lower() == f"{name}.csv" for path in folder.iterdir()) or any(
        folder.glob("*.xlsx")
    )


def _with_scale(settings: str, top: str) -> str:
    """Set the score scale of a new logbook to the one the maker has said."""
    if not top.replace(".", "", 1).isdigit():
        return settings
    return settings.replace("# score_out_of = 20", f"score_out_of = {top}")
