"""Loading pandera without pandas.

pandera looks for pandas, and where it finds it loads it to support its frames too; that takes
longer than reading a logbook. Only polars frames are checked here, and pandera works without
pandas, so while it loads it is told that there is none. Only this thread is told, and only if
nobody has loaded pandas yet.
"""

import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from types import ModuleType

_HIDDEN = "pandas"


class _NotThere:
    """An import finder that has never heard of pandas, for one thread."""

    def __init__(self) -> None:
        self._thread = threading.get_ident()

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> None:
        """Say that pandas is not installed, in the words pandera expects; pass on all else."""
        del path, target
        if name == _HIDDEN and threading.get_ident() == self._thread:
            raise ModuleNotFoundError(f"No module named '{_HIDDEN}'", name=_HIDDEN)


@contextmanager
def without_pandas() -> Iterator[None]:
    """Hide pandas from imports in this thread for as long as the block runs."""
    if _HIDDEN in sys.modules:
        yield
        return
    finder = _NotThere()
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)


def load_pandera() -> ModuleType:
    """Return `pandera.polars`, loaded without pandas."""
    with without_pandas():
        import pandera.polars

    return pandera.polars
