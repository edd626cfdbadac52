"""Try every reader on inputs that nobody writes on purpose, for as long as asked.

    python tests/scale/fuzz.py [MINUTES] [READER ...]      drawn by chance, an hour by default
    python tests/scale/fuzz.py MINUTES READER --covered    led by what each input reaches

The second needs `pip install atheris`, and takes one reader at a time. Stops at the first input
that is neither read nor refused in a sentence within two seconds.
"""

import importlib
import sys
import time
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

_AT_ONCE = 500
_COVERED = "--covered"


def trying(name: str, tries: list[float]) -> Callable[[], None]:
    """Return a test of one reader that notes when each try began."""
    fuzzing = importlib.import_module("whole.fuzzing")
    read, strategy, _ = fuzzing.READERS[name]

    @seed(time.time_ns())
    @settings(
        max_examples=_AT_ONCE,
        deadline=None,
        database=None,
        phases=[Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def check(thing: object) -> None:
        tries.append(time.perf_counter())
        fuzzing.tried(read, thing)

    return check


def by_chance(names: list[str], seconds: float) -> None:
    """Try readers for some seconds each, every round with another seed."""
    for name in names or importlib.import_module("whole.fuzzing").READERS:
        tries: list[float] = []
        began = time.perf_counter()
        while time.perf_counter() - began < seconds / (len(names) or 6):
            trying(name, tries)()
        spent = time.perf_counter() - began
        sys.stdout.write(f"{name}: {len(tries)} tried in {spent:.0f} s\n")
        sys.stdout.flush()


def by_coverage(name: str, seconds: float) -> None:
    """Try one reader, led by which of our own lines each input reaches."""
    atheris = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["pipeline"]):
        importlib.import_module("whole.fuzzing")
    check = trying(name, [])
    atheris.Setup(
        [sys.argv[0], f"-max_total_time={seconds:.0f}", "-timeout=10", "-print_final_stats=1"],
        check.hypothesis.fuzz_one_input,  # type: ignore[attr-defined]
    )
    atheris.Fuzz()


def main() -> None:
    """Read the call and share its time among the readers."""
    words = [word for word in sys.argv[1:] if word != _COVERED]
    seconds = 60 * float(words[0] if words else 60)
    if _COVERED in sys.argv:
        by_coverage(words[1], seconds)
    else:
        by_chance(words[1:], seconds)


if __name__ == "__main__":
    main()
