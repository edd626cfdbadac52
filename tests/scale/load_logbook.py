"""Measure a whole `load` of a long logbook beside a bare typed CSV read and a plain validation.

    python tests/scale/load_logbook.py [BATCHES] [--without-pandas]

Writes an invented logbook (see `long_logbook`) to a temporary folder, and measures in one run, each
in a process of its own: DuckDB reading the same files into typed tables of a database file, and of
one in memory; the checks that set rows aside, written plainly with pandas and pandera (from
`pip install 'pandera[pandas]'`); hedgerow's checks; and hedgerow's whole `load`. Prints wall and
processor seconds (user and system, of all threads), the peak of memory, and the ratios.
"""

import argparse
import json
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

BATCHES = 100_000
TIMES = {"bare": 3, "memory": 3, "read": 2, "load": 2, "pandas": 1}
LABELS = {
    "bare": "bare typed read into a database file",
    "memory": "bare typed read into memory",
    "pandas": "checks with pandas and pandera",
    "read": "hedgerow's checks",
    "load": "hedgerow's whole load",
}
# What is typed in the bare read: cells that a maker writes as bare numbers. Dates come in several
# forms and quantities with their units, so to a bare read they are text.
NUMBERS = {
    "additions": ("cost",),
    "readings": ("ph", "ta", "free_so2"),
    "transfers": ("bottles",),
    "tastings": (
        *("sweetness", "sourness", "astringency", "bitterness"),
        *("warmth", "body", "fruit"),
    ),
}


def bare(folder: Path, database: str) -> None:
    """Read every file into a typed table; a row that does not fit is dropped without a word."""
    import duckdb

    with duckdb.connect(database) as connection:
        for path in sorted(folder.glob("*.csv")):
            heading = path.open(encoding="utf-8").readline().strip().split(",")
            types = dict.fromkeys(heading, "VARCHAR")
            types |= dict.fromkeys(NUMBERS.get(path.stem, ()), "DOUBLE")
            connection.execute(
                f"create table {path.stem} as select * from read_csv(?, columns = {types}, "
                "header = true, delim = ',', quote = '\"', ignore_errors = true)",
                [str(path)],
            )


def bare_into_a_file(folder: Path) -> None:
    """Read into a new database file, as a load writes one."""
    database = folder / "bare.duckdb"
    database.unlink(missing_ok=True)
    bare(folder, str(database))


def read(folder: Path) -> dict[str, int]:
    """Return how many rows of each file hedgerow sets aside."""
    from pipeline.logbook import read_logbook

    files = read_logbook(folder).files
    return {
        file.removesuffix(".csv"): aside
        for file, aside in files.select("file", "rows_set_aside").iter_rows()
    }


def load(folder: Path) -> None:
    """Load the logbook as if for the first time."""
    from pipeline.cellar import load_cellar

    shutil.rmtree(folder / ".hedgerow", ignore_errors=True)
    load_cellar(folder)


def plain(folder: Path) -> dict[str, int]:
    """Check the logbook with pandas and pandera."""
    from plain_validation import validate

    return validate(folder)


def write(folder: Path, batches: int) -> int:
    """Write the logbook and return the bytes of its tables."""
    from long_logbook import write_long_logbook

    return write_long_logbook(folder, batches)


RUNS: dict[str, Callable[[Path], object]] = {
    "bare": bare_into_a_file,
    "memory": lambda folder: bare(folder, ":memory:"),
    "read": read,
    "load": load,
    "pandas": plain,
}
IMPORTS = {
    "bare": ("duckdb",),
    "memory": ("duckdb",),
    "read": ("pipeline.logbook",),
    "load": ("pipeline.cellar",),
    "pandas": ("plain_validation",),
}


def measure_here(what: str, folder: Path) -> None:
    """Run once in this process and print what it took as JSON."""
    for name in IMPORTS[what]:
        __import__(name)
    before, began = resource.getrusage(resource.RUSAGE_SELF), time.perf_counter()
    result = RUNS[what](folder)
    wall, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_SELF)
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(
        json.dumps(
            {"wall": wall, "processor": processor, "peak": after.ru_maxrss * 1024, "said": result}
        )
    )


def measure(what: str, folder: Path) -> dict[str, Any]:
    """Run in child processes and return the one that took least of the processor.

    This process must stay small: a child begins with its parent's peak of memory.
    """
    command = [sys.executable, "-W", "ignore", __file__, "--measure", what, str(folder)]
    runs = [
        json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        for _ in range(TIMES[what])
    ]
    return min(runs, key=lambda run: run["processor"])


def compare(batches: int, *, with_pandas: bool) -> None:
    """Write a logbook, measure every run on it, and print the ratios."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        command = [sys.executable, __file__, "--write", str(batches), str(folder)]
        size = int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        print(f"{batches} batches, {size / 1e6:.0f} MB of CSV")
        print(f"{'':38}  wall s  processor s  peak MB")
        took = {}
        for what, label in LABELS.items():
            if what == "pandas" and not with_pandas:
                continue
            took[what] = run = measure(what, folder)
            numbers = f"{run['wall']:8.2f}  {run['processor']:11.2f}  {run['peak'] / 1e6:7.0f}"
            print(f"{label:38}{numbers}", flush=True)
    _print_ratios(took, size)


def _print_ratios(took: dict[str, dict[str, Any]], size: int) -> None:
    if "pandas" in took:
        same = took["pandas"]["said"] == took["read"]["said"]
        print(f"the two ways to check set {'the same' if same else 'DIFFERENT'} rows aside")
    pairs = [("load", "bare", 3), ("load", "memory", None), ("read", "bare", None)]
    for one, other, most in pairs:
        ratio = (took[one][unit] / took[other][unit] for unit in ("wall", "processor"))
        wanted = f" (at most {most})" if most else ""
        print(f"{one} / {other}: {next(ratio):.1f} wall, {next(ratio):.1f} processor{wanted}")
    for one in ("read", "load") if "pandas" in took else ():
        ratio = (took["pandas"][unit] / took[one][unit] for unit in ("wall", "processor"))
        print(f"pandas / {one}: {next(ratio):.1f} wall, {next(ratio):.1f} processor (at least 5)")
    print(f"peak of load / CSV bytes: {took['load']['peak'] / size:.1f} (at most 3)")


def main() -> None:
    """Take the call apart; the hidden ones run in child processes."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("batches", nargs="?", type=int, default=BATCHES)
    parser.add_argument("--without-pandas", action="store_true")
    parser.add_argument("--measure", nargs=2, help=argparse.SUPPRESS)
    parser.add_argument("--write", nargs=2, help=argparse.SUPPRESS)
    call = parser.parse_args()
    if call.measure:
        measure_here(call.measure[0], Path(call.measure[1]))
    elif call.write:
        print(write(Path(call.write[1]), int(call.write[0])))
    else:
        compare(call.batches, with_pandas=not call.without_pandas)


if __name__ == "__main__":
    main()
