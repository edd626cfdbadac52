"""One thin function per command: open what it needs, ask one question, hand back the answer."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.cellar import Cellar, load_cellar
from pipeline.show.units import Units

if TYPE_CHECKING:
    import polars as pl

Say = Callable[[str], None]


@dataclass
class Answer:
    """What a command found out.

    Parameters
    ----------
    data : dict
        The machine form, SI units, exactly as `--json` prints it.
    units : Units
        How this logbook wants quantities written in the readable form.
    raw : dict of str to polars.DataFrame
        The files as written, where the readable form quotes from them.
    cannot_say : bool
        The question was sound, but the logbook holds too little to answer it.
    set_aside : bool
        Rows of the logbook were set aside.
    """

    data: dict
    units: Units = field(default_factory=Units)
    raw: "dict[str, pl.DataFrame]" = field(default_factory=dict)
    cannot_say: bool = False
    set_aside: bool = False


def units_of(cellar: Cellar) -> Units:
    """Return how the logbook wants quantities written."""
    settings = cellar.settings()
    return Units(show=settings["show"], currency=settings["currency"] or "")


def new(request: argparse.Namespace, say: Say) -> Answer:
    """Write an empty logbook."""
    from pipeline.logbook.new import write_new_logbook

    files = write_new_logbook(request.folder)
    return Answer({"folder": str(request.folder), "files": [path.name for path in files]})


def check(request: argparse.Namespace, say: Say) -> Answer:
    """Read and check a logbook without building anything."""
    from pipeline.logbook import read_logbook

    checked = read_logbook(request.logbook)
    data = _problem_data(checked.files.to_dicts(), checked.problems.to_dicts())
    return Answer(data, raw=checked.raw, set_aside=bool(checked.files["rows_set_aside"].sum()))


def load(request: argparse.Namespace, say: Say) -> Answer:
    """Build the cellar if anything it rests on has changed."""
    cellar = load_cellar(request.logbook, say=say)
    data = _problem_data(cellar.table("files").to_dicts(), cellar.table("problems").to_dicts())
    return Answer(
        data, units_of(cellar), set_aside=any(file["rows_set_aside"] for file in data["files"])
    )


def _problem_data(files: list[dict], problems: list[dict]) -> dict:
    return {"files": files, "problems": problems, "seconds": 0.0}


def app(request: argparse.Namespace, say: Say) -> None:
    """Open the page on this machine only, until it is stopped."""
    from pipeline.errors import LogbookError

    load_cellar(request.logbook, say=say)
    main = Path(__file__).parent.parent / "app" / "main.py"
    if not main.exists():
        raise LogbookError(f"The page's files are missing beside {main.parent}. Install again.")
    _serve(main, request)


def _serve(main: Path, request: argparse.Namespace) -> None:
    from streamlit.web import cli as streamlit

    options = {
        "server.address": "127.0.0.1",
        "server.port": request.port,
        "server.headless": "true" if request.no_browser else "false",
        "server.fileWatcherType": "none",
        "browser.gatherUsageStats": "false",
        "client.toolbarMode": "minimal",
    }
    flags = [f"--{name}={value}" for name, value in options.items()]
    sys.argv = ["streamlit", "run", str(main), *flags, "--", str(request.logbook.resolve())]
    sys.exit(streamlit.main())
