"""What the page keeps between clicks: the cellar, the models and their answers.

Everything is kept under the identity of the cellar's file. When the logbook changes on disk the
file is built anew, its identity changes, and everything is asked again.
"""

import sys
from collections.abc import Callable
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
_PIECES = 512  # plots and the like, a few kB each
_SEEN = "logbook as seen"


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


def look() -> str:
    """Look at the files once for the whole run of a page, and return what would change with them.

    A run that looked anew for every answer could show half of it from before a change and half
    from after; and each look costs hundreds of file stats.
    """
    seen = mark()
    st.session_state[_SEEN] = seen
    return seen


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
    path, identity = _current()
    # Learnt first, so that the words that are shown meanwhile say what takes so long.
    _models(path, identity)
    return _answered(path, identity, question, about)


def kept(
    work: Callable[[], Any], about: object, finish: Callable[[Any], Any] = lambda done: done
) -> Any:
    """Return what a piece of work gives, done once for a state of the logbook and what is chosen.

    Parameters
    ----------
    work : callable
        Does it; known by where in the app it stands.
    about : object
        What it depends on beside the logbook; two with the same `repr` give the same.
    finish : callable
        What is done with it before it is kept: of a plot only its specification is.
    """
    place = f"{work.__code__.co_filename}:{work.__code__.co_firstlineno}"
    return _kept(*_current(), place, repr(about), lambda: finish(work()))


def _current() -> tuple[Path, Identity]:
    """Return the cellar's file and its identity, built first if the logbook has changed."""
    seen = st.session_state.get(_SEEN) or mark()
    path = _built(folder(), seen)
    if not path.exists():
        # It can be thrown away at any time, also while the page is open.
        _built.clear()
        path = _built(folder(), seen)
    stat = path.stat()
    return path, (stat.st_mtime_ns, stat.st_size, stat.st_ino)


@st.cache_resource(max_entries=_KEPT, show_spinner="Reading the logbook …", show_time=True)
def _built(where: Path, seen: str) -> Path:  # noqa: ARG001 (the cache's key)
    return load_cellar(where).path


@st.cache_resource(max_entries=_KEPT, show_spinner=False)
def _opened(path: Path, identity: Identity) -> Cellar:  # noqa: ARG001 (the cache's key)
    return Cellar(path)


@st.cache_resource(max_entries=_KEPT, show_spinner="Learning from your batches …", show_time=True)
def _models(path: Path, identity: Identity) -> Any:
    return import_module("pipeline.learning").fit_models(_opened(path, identity))


@st.cache_data(max_entries=_ANSWERS, show_spinner="Working it out …")
def _answered(path: Path, identity: Identity, question: str, about: dict[str, Any]) -> dict:
    answer = import_module(f"pipeline.advice.{question}").answer
    return answer(_opened(path, identity), _models(path, identity), **about)


@st.cache_data(max_entries=_PIECES, show_spinner=False)
def _kept(
    path: Path,  # noqa: ARG001 (these four are the cache's key)
    identity: Identity,  # noqa: ARG001
    place: str,  # noqa: ARG001
    about: str,  # noqa: ARG001
    _work: Callable[[], Any],
) -> Any:
    return _work()
