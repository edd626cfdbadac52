"""What an answer was worked out from, kept while somebody asks for the way it came about.

Nothing is kept unless it is asked for: an answer that nobody wants explained costs nothing more.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

_T = TypeVar("_T")
_KEPT: ContextVar[list[object] | None] = ContextVar("kept", default=None)


@contextmanager
def keeping() -> Iterator[list[object]]:
    """Collect what is kept inside the block, in the order in which it was worked out."""
    found: list[object] = []
    token = _KEPT.set(found)
    try:
        yield found
    finally:
        _KEPT.reset(token)


def keep(thing: _T) -> _T:
    """Note what something rests on, if anybody asked for it, and return it as it is."""
    kept = _KEPT.get()
    if kept is not None:
        kept.append(thing)
    return thing
