"""Measure what commands take on the demo, beside a bare start of what they rest on.

Run from the project's folder: `python tests/scale/demo_commands.py`. Each is run `--times` times in
turn and the least of its processor seconds counts, so that other work on the machine weighs little.
Not a test: it prints ratios.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

BARE = "import polars, duckdb"
COMMAND = "import sys; from pipeline.cli import main; sys.exit(main())"
ROOT = Path(__file__).parents[2]


def seconds(call: list[str], folder: str) -> float:
    """Return the processor seconds of one run, its children's too."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    subprocess.run(
        [sys.executable, *call],
        cwd=folder,
        env=environment,
        check=False,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5)
    times = parser.parse_args().times
    with tempfile.TemporaryDirectory() as folder:
        seconds(["-c", COMMAND, "demo", "club"], folder)
        calls = {
            "python -c pass": ["-c", "pass"],
            "hedgerow --help": ["-c", COMMAND, "--help"],
            BARE: ["-c", BARE],
            "hedgerow check": ["-c", COMMAND, "check", "club"],
            "first report": ["-c", COMMAND, "report", "club", "-o", "r.html"],
            "hedgerow report": ["-c", COMMAND, "report", "club", "-o", "r.html"],
        }
        runs: dict[str, list[float]] = {name: [] for name in calls}
        for _ in range(times):
            for name, call in calls.items():
                if name == "first report":
                    # Nothing worked out before: neither the cellar nor the trial on batches unseen.
                    shutil.rmtree(Path(folder, "club", ".hedgerow"))
                runs[name].append(seconds(call, folder))
    least = {name: min(found) for name, found in runs.items()}
    for name, beside in (
        ("hedgerow --help", "python -c pass"),
        ("hedgerow check", BARE),
        ("first report", BARE),
        ("hedgerow report", BARE),
    ):
        ratio = least[name] / least[beside]
        print(f"{name}: {least[name]:.2f} s, {ratio:.1f} times '{beside}' ({least[beside]:.3f} s)")


if __name__ == "__main__":
    main()
