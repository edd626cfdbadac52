"""Loading pandera without what it does not need here.

pandera looks for pandas and for hypothesis, and where it finds them loads them to support their
frames and tests too; that takes longer than reading a logbook. Only polars frames are checked here,
and pandera works without either, so while it loads it is told that there is none. Only this thread
is told, and only of what nobody has loaded yet. A program that also wants pandera's own support for
pandas must load that first.
"""

import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from types import ModuleType

_UNNEEDED = ("pandas", "hypothesis")


class _NotThere:
    """An import finder that knows certain packages not to be there, for one thread."""

    def __init__(self, hidden: Sequence[str]) -> None:
        self._hidden = hidden
        self._thread = threading.get_ident()

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> None:
        """Say that a package is not installed, in the words pandera expects; pass on all else."""
        del path, target
        if name in self._hidden and threading.get_ident() == self._thread:
            raise ModuleNotFoundError(f"No module named '{name}'", name=name)


@contextmanager
def without_unneeded() -> Iterator[None]:
    """Hide what pandera can do without from imports in this thread while the block runs."""
    finder = _NotThere([name for name in _UNNEEDED if name not in sys.modules])
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)


def load_pandera() -> ModuleType:
    """Return `pandera.polars`, loaded without what it does not need."""
    with without_unneeded():
        import pandera.polars

    return pandera.polars
