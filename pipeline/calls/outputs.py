"""Files that a call writes: never one of the logbook's own."""

import os
from argparse import Namespace
from pathlib import Path

_WRITTEN = ("output", "list", "pdf", "page", "calendar")  # what a call names them by


def spare_the_logbook(request: Namespace) -> None:
    """Refuse a call that would write over a file of the logbook, or add one to it.

    Raises
    ------
    LogbookError
        If it would.
    """
    named = [getattr(request, name, None) for name in _WRITTEN]
    paths = [path for path in named if isinstance(path, Path)]
    if not paths or not hasattr(request, "logbook"):
        return
    from pipeline.errors import LogbookError
    from pipeline.logbook.folder import is_read_from

    home = os.path.realpath(request.logbook)
    for path in paths:
        target = Path(os.path.realpath(path))
        if str(target.parent) == home and is_read_from(target):
            raise LogbookError(
                f"{path} would be a file of the logbook itself, which is not written over. Name "
                "another file, or another folder."
            )
