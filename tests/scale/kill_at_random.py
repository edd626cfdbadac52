"""Kill load, fit, add and import two hundred times at random moments, and look what is left.

    python tests/scale/kill_at_random.py [TIMES]

After each the logbook must be as it was or have the whole entry, the cellar the old or the new one,
and the next command must repair what is left and say so. Prints how often which was found.
"""

import contextlib
import io
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

from whole.killing import files_of, kill_at_random, leavings_of  # noqa: E402

from pipeline.cli import main  # noqa: E402

_TIMES = 200
_LONGEST = {"load": 2.0, "fit": 2.0, "add": 1.0, "import": 1.0}  # [s] before a call is killed
_ROW = ["batch_id=W1", "taken_on=2026-01-02", "gravity=0.994"]
_NOTES = (
    "Batch,Started,Plum kg,Sugar kg,Water L,OG,FG,Bottled,Bottles\n"
    "A1,2024-08-01,2.0,1.1,3.5,1.085,0.996,2025-03-01,6\n"
)


def called(words: list[str]) -> tuple[int, str]:
    """Call a command in this process, and return its status and what it said beside the answer."""
    said = io.StringIO()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(said):
        return main(words), said.getvalue()


def prepared(folder: Path) -> dict[str, list[str]]:
    """Write the logbook to start from, and return the calls."""
    shutil.copytree(TESTS / "whole" / "worked", folder)
    notes = folder.parent / "old.csv"
    notes.write_text(_NOTES, encoding="utf-8")
    called(["import", str(notes), "--into", str(folder)])
    called(["load", str(folder)])
    return {
        "load": ["load", "LOGBOOK"],
        "fit": ["fit", "LOGBOOK"],
        "add": ["add", "reading", "LOGBOOK", *_ROW],
        "import": ["import", str(notes), "--into", "LOGBOOK"],
    }


def rows_of(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return the files that hold rows: an import writes them all together."""
    return {name: data for name, data in files.items() if name.endswith(".csv")}


def once(words: list[str], start: Path, chance: random.Random, longest: float) -> str:
    """Kill one call, check what it left, and return what that was."""
    copy = start.with_name("copy")
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(start, copy)
    (copy / "batches.csv").touch()
    call = [word.replace("LOGBOOK", str(copy)) for word in words]
    before = rows_of(files_of(copy))
    was_at_work = kill_at_random(call, chance, longest)
    left = leavings_of(copy)
    status, said = called(["load", str(copy)])
    assert status == 0, said
    assert not left or "earlier" in said, (left, said)
    assert leavings_of(copy) == [], leavings_of(copy)
    found = rows_of(files_of(copy))
    called(call)
    after = rows_of(files_of(copy))
    is_old = found == before
    whole = {name: data for name, data in after.items() if name in found}
    # A second `add` adds a second row: the first must be the beginning of what it leaves.
    is_new = all(whole[name].startswith(found[name]) for name in found)
    assert is_old or is_new, sorted(name for name in found if found[name] != before.get(name))
    if not was_at_work:
        return "done before it was killed"
    repaired = "repaired" if left else "nothing to repair"
    return f"{'as it was' if is_old else 'whole entry'}, {repaired}"


def main_() -> None:
    """Kill each command a quarter of the times."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else _TIMES
    chance = random.Random(20261125)
    with tempfile.TemporaryDirectory() as place:
        start = Path(place) / "logbook"
        for name, words in prepared(start).items():
            began = time.perf_counter()
            found = Counter(once(words, start, chance, _LONGEST[name]) for _ in range(times // 4))
            seconds = time.perf_counter() - began
            sys.stdout.write(f"{name}: killed {times // 4} times in {seconds:.0f} s\n")
            for what, often in found.most_common():
                sys.stdout.write(f"  {often:4d}  {what}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main_()
