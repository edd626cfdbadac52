"""Replacing a file in one step, with its last version kept beside it."""

import os
import shutil
from pathlib import Path


def replace_file(path: Path, data: bytes) -> None:
    """Replace a file in one step, keeping its last version beside it if it changes."""
    if path.exists() and path.read_bytes() == data:
        return
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
    finally:
        temporary.unlink(missing_ok=True)
