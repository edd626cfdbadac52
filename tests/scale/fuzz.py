"""Try every reader on inputs that nobody writes on purpose, for as long as asked.

    python tests/scale/fuzz.py [MINUTES] [READER ...]      drawn by chance, an hour by default
    python tests/scale/fuzz.py MINUTES [READER] --covered  led by what each input reaches

The second needs `pip install atheris`. Stops with a reader at the first input that is neither read
nor refused in a sentence, within two seconds and half a gigabyte.
"""

import importlib
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

_AT_ONCE = 500
_SAID_EVERY = 500
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


def one_input(name: str) -> Callable[[bytes], None]:
    """Return what tries one string of bytes on a reader, and says now and then how many it has.

    The search ends its process by itself, so that nothing could be said after it.
    """
    fuzzing = importlib.import_module("whole.fuzzing")
    made, read, times = fuzzing.PLAIN[name][0], fuzzing.READERS[name][0], count(1)

    def check(data: bytes) -> None:
        fuzzing.tried(read, made(data))
        if (tried := next(times)) % _SAID_EVERY == 0:
            sys.stdout.write(f"{name}: {tried} tried in {time.process_time():.0f} s\n")
            sys.stdout.flush()

    return check


def beginnings(name: str, place: Path) -> list[str]:
    """Write what a search begins with, and return the words that tell it so."""
    fuzzing = importlib.import_module("whole.fuzzing")
    (place / "seeds").mkdir()
    for number, sound in enumerate(fuzzing.PLAIN[name][1]()):
        (place / "seeds" / str(number)).write_bytes(sound)
    escaped = ["".join(f"\\x{byte:02x}" for byte in word) for word in fuzzing.words()]
    listed = "\n".join(f'"{word}"' for word in escaped)
    (place / "words").write_text(listed, encoding="utf-8")
    return [f"-dict={place / 'words'}", str(place / "seeds")]


def by_coverage(name: str, seconds: float) -> None:
    """Try one reader, led by which of our own lines each input reaches."""
    atheris = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["pipeline"]):
        importlib.import_module("whole.fuzzing")
    place = Path(tempfile.mkdtemp())
    atheris.Setup(
        [
            sys.argv[0],
            *(f"-max_total_time={seconds:.0f}", "-timeout=120", "-rss_limit_mb=3000"),
            *("-max_len=8000", f"-artifact_prefix={place}/", "-print_final_stats=1"),
            *beginnings(name, place),
        ],
        one_input(name),
    )
    atheris.Fuzz()


def each_by_coverage(seconds: float) -> None:
    """Try every reader for its share of the time, each in a process of its own."""
    names = list(importlib.import_module("whole.fuzzing").READERS)
    for name in names:
        minutes = str(seconds / 60 / len(names))
        subprocess.run([sys.executable, __file__, minutes, name, _COVERED], check=False)


def main() -> None:
    """Read the call and share its time among the readers."""
    words = [word for word in sys.argv[1:] if word != _COVERED]
    seconds = 60 * float(words[0] if words else 60)
    if _COVERED in sys.argv and len(words) < 2:
        each_by_coverage(seconds)
    elif _COVERED in sys.argv:
        by_coverage(words[1], seconds)
    else:
        by_chance(words[1:], seconds)


if __name__ == "__main__":
    main()
