"""Two loads, one load with twenty readers, ten adders of fifty rows: all at one logbook at once.

    python tests/scale/many_at_once.py

Nobody may see an error, no row may be lost, and no reader may see old and new together.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

from whole.at_once import ADDER, READER, added_rows, outcome, small_logbook, started  # noqa: E402

from pipeline.cellar import load_cellar  # noqa: E402
from pipeline.logbook import read_logbook  # noqa: E402
from pipeline.logbook.file_writing import replace_files, sole_writer  # noqa: E402

_READERS, _READS = 20, 5
_ADDERS, _ROWS = 10, 50
_LOAD = "import sys; from pipeline.cli import main; sys.exit(main())"


def two_loads(folder: Path) -> str:
    """Start two loads together."""
    for running in [started(_LOAD, "load", folder) for _ in range(2)]:
        outcome(running)
    return "2 loads: both answered"


def one_load_with_readers(folder: Path) -> str:
    """Load a growing logbook over and over while others read it."""
    readers = [started(READER, folder, _READS) for _ in range(_READERS)]
    batches = loads = 0
    while any(reader.poll() is None for reader in readers):
        batches = batches % 60 + 1
        new = small_logbook(folder.parent / "new", batches)
        with sole_writer(folder):
            names = ("additions.csv", "batches.csv")
            replace_files(folder, {name: (new / name).read_bytes() for name in names})
        load_cellar(folder)
        loads += 1
    seen = [line.split() for reader in readers for line in outcome(reader).splitlines()]
    mixed = [counts for counts in seen if len(set(counts)) > 1]
    assert not mixed, mixed
    assert len(seen) == _READERS * _READS
    states = len({counts[0] for counts in seen})
    return f"{_READERS} readers, {len(seen)} reads over {loads} loads, {states} states: none mixed"


def many_adders(folder: Path) -> str:
    """Add rows from several processes."""
    for running in [started(ADDER, folder, f"adder{at}", _ROWS) for at in range(_ADDERS)]:
        outcome(running)
    wanted = sorted(f"adder{at} {row}" for at in range(_ADDERS) for row in range(_ROWS))
    assert sorted(added_rows(folder)) == wanted
    assert read_logbook(folder).problems.is_empty()
    return f"{_ADDERS} adders of {_ROWS} rows: {len(wanted)} rows there"


def main() -> None:
    """Do all three, and say how long each took."""
    with tempfile.TemporaryDirectory() as place:
        for task in (two_loads, one_load_with_readers, many_adders):
            began = time.perf_counter()
            said = task(small_logbook(Path(place) / task.__name__))
            sys.stdout.write(f"{said} ({time.perf_counter() - began:.0f} s)\n")
            sys.stdout.flush()
    sys.stdout.write(f"on {os.cpu_count()} cores\n")


if __name__ == "__main__":
    main()
