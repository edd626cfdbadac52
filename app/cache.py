"""What the page keeps between clicks: the cellar, the models and their answers.

Everything is kept under the identity of the cellar's file. When the logbook changes on disk the
file is built anew, its identity changes, and everything is asked again.
"""

import sys
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any

import streamlit as st

from pipeline.cellar import Cellar, load_cellar
from pipeline.cellar.build import fingerprint
from pipeline.commands import units_of
from pipeline.errors import LogbookError
from pipeline.logbook.folder import is_logbook
from pipeline.show.units import Units

Identity = tuple[int, int, int]
_KEPT = 4  # states of logbooks, for several people or a logbook that is being written
_ANSWERS = 64


def folder() -> Path:
    """Return the logbook's folder, as the page was started with.

    Raises
    ------
    LogbookError
        If the page was started without one.
    """
    if len(sys.argv) < 2:
        raise LogbookError(
            "The page was opened without a logbook. Start it with: hedgerow app LOGBOOK"
        )
    return Path(sys.argv[1])


def is_begun() -> bool:
    """Return whether the folder holds a logbook or part of one; a missing folder is refused."""
    return not folder().is_dir() or is_logbook(folder())


def mark() -> str:
    """Return what changes whenever a file of the logbook does."""
    return fingerprint(folder(), date.today()) if folder().is_dir() else ""


def cellar() -> Cellar:
    """Return the logbook's cellar, rebuilt if the logbook has changed."""
    return _opened(*_current())


def units() -> Units:
    """Return how the logbook wants quantities written."""
    return units_of(cellar())


def ask(question: str, **about: Any) -> dict:
    """Return an answer of `pipeline.advice`, in the JSON shape of the command line.

    Parameters
    ----------
    question : str
        Name of the module of `pipeline.advice` that answers it.
    **about
        What its `answer` takes beside the cellar and the models.
    """
    return _answered(*_current(), question, about)


def _current() -> tuple[Path, Identity]:
    """Return the cellar's file and its identity, built first if the logbook has changed."""
    path = _built(folder(), mark())
    if not path.exists():
        # It can be thrown away at any time, also while the page is open.
        _built.clear()
        path = _built(folder(), mark())
    stat = path.stat()
    return path, (stat.st_mtime_ns, stat.st_size, stat.st_ino)


@st.cache_resource(max_entries=_KEPT, show_spinner="Reading the logbook …")
def _built(where: Path, seen: str) -> Path:  # noqa: ARG001 (the cache's key)
    return load_cellar(where).path


@st.cache_resource(max_entries=_KEPT, show_spinner=False)
def _opened(path: Path, identity: Identity) -> Cellar:  # noqa: ARG001 (the cache's key)
    return Cellar(path)


@st.cache_resource(max_entries=_KEPT, show_spinner="Learning from your batches …")
def _models(path: Path, identity: Identity) -> Any:
    return import_module("pipeline.learning").fit_models(_opened(path, identity))


@st.cache_data(max_entries=_ANSWERS, show_spinner="Working it out …")
def _answered(path: Path, identity: Identity, question: str, about: dict[str, Any]) -> dict:
    answer = import_module(f"pipeline.advice.{question}").answer
    return answer(_opened(path, identity), _models(path, identity), **about)
