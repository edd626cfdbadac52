"""Several processes at one logbook at the same time, each in a process of its own."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

# Adds rows to a logbook, one after the other, as `hedgerow add` does.
ADDER = """
import sys
from pathlib import Path
from pipeline.logbook.add import add_entry
folder, name, rows = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
for row in range(rows):
    cells = {"batch_id": "A", "taken_on": "2025-02-01", "gravity": "1.010"}
    entry = add_entry(folder, "reading", cells | {"notes": f"{name} {row}"})
    assert entry.is_written, entry.problems
"""

# Loads a logbook and says of each load how many rows two tables have: they must agree.
READER = """
import sys
from pathlib import Path
from pipeline.calls.run import run
from pipeline.cellar import load_cellar
from pipeline.errors import ChangedMeanwhileError
folder, times = Path(sys.argv[1]), int(sys.argv[2])
done = 0
while done < times:
    try:
        cellar = load_cellar(folder)
        batches = cellar.table("batches").height
        files = cellar.table("files")
    except ChangedMeanwhileError:
        continue
    done += 1
    rows = dict(files.select("file", "rows_loaded").iter_rows())
    print(batches, rows["batches.csv"], rows["additions.csv"], flush=True)
"""


def started(code: str, *words: object) -> subprocess.Popen[str]:
    """Start a process that runs some code with some words."""
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )


def outcome(running: subprocess.Popen[str]) -> str:
    """Wait for a process that must end well, and return what it said."""
    said, complaint = running.communicate(timeout=600)
    assert running.returncode == 0, complaint
    assert "Traceback" not in complaint, complaint
    return said


def small_logbook(folder: Path, batches: int = 1) -> Path:
    """Write a logbook of some batches with one addition each."""
    folder.mkdir(exist_ok=True)
    names = ["A", *(f"B{at}" for at in range(1, batches))]
    rows = "".join(f"{name},2025-01-01\n" for name in names)
    added = "".join(f"{name},2025-01-01,fruit,plum,2 kg\n" for name in names)
    contents = {
        "batches": f"batch_id,started_on\n{rows}",
        "additions": f"batch_id,added_on,kind,ingredient,amount\n{added}",
        "readings": "batch_id,taken_on,gravity,notes\nA,2025-01-02,1.080,first\n",
    }
    for name, text in contents.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def added_rows(folder: Path) -> list[str]:
    """Return the notes of the readings that adders have written."""
    lines = (folder / "readings.csv").read_text(encoding="utf-8").splitlines()[2:]
    assert all(line.startswith("A,2025-02-01,1.010,") for line in lines), lines
    return [line.rsplit(",", 1)[1] for line in lines]
