"""Kill load, fit, add and import two hundred times while they work, and look what is left.

    python tests/scale/kill_at_random.py [TIMES]

A moment is drawn from the time that a call was measured to take; a kill that came too late is not
counted, and another takes its place. After each the logbook must be as it was or have the whole
entry, the cellar the old or the new one, and the next command must repair what is left and say so.
Prints how often which was found.
"""

import contextlib
import io
import random
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

from whole.killing import files_of, kill_at_random, leavings_of, seconds_of  # noqa: E402

from pipeline.cli import main  # noqa: E402

_TIMES = 200
_TOO_LATE = "done before it was killed"
_ROW = ["batch_id=W1", "taken_on=2026-01-02", "gravity=0.994"]
_NOTES = (
    "Batch,Started,Plum kg,Sugar kg,Water L,OG,FG,Bottled,Bottles\n"
    "A1,2024-08-01,2.0,1.1,3.5,1.085,0.996,2025-03-01,6\n"
)


_READINGS = "Batch,Date,SG\nA1,2024-08-10,1.020\n"


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
    more = folder.parent / "more.csv"
    more.write_text(_READINGS, encoding="utf-8")
    called(["import", str(notes), str(more), "--into", str(folder)])
    called(["load", str(folder)])
    return {
        "load": ["load", "LOGBOOK"],
        "fit": ["fit", "LOGBOOK"],
        "add": ["add", "reading", "LOGBOOK", *_ROW],
        "import": ["import", str(notes), str(more), "--into", "LOGBOOK"],
    }


def rows_of(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return the files that hold rows: an import writes them all together."""
    return {name: data for name, data in files.items() if name.endswith(".csv")}


def fresh(words: list[str], start: Path) -> tuple[Path, list[str]]:
    """Return a copy of the logbook whose cellar is to be built anew, and the call on it."""
    copy = start.with_name("copy")
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(start, copy)
    (copy / "batches.csv").touch()
    return copy, [word.replace("LOGBOOK", str(copy)) for word in words]


def once(words: list[str], start: Path, chance: random.Random, longest: float) -> str:
    """Kill one call, check what it left, and return what that was."""
    copy, call = fresh(words, start)
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
        return _TOO_LATE
    repaired = "repaired" if left else "nothing to repair"
    return f"{'as it was' if is_old else 'whole entry'}, {repaired}"


def many(words: list[str], start: Path, chance: random.Random, times: int) -> Counter[str]:
    """Kill one call until it was at work so many times, and count what was found."""
    longest = min(seconds_of(fresh(words, start)[1]) for _ in range(3))
    found: Counter[str] = Counter()
    while found.total() - found[_TOO_LATE] < times:
        found[once(words, start, chance, longest)] += 1
    sys.stdout.write(f"within {longest:.2f} s\n")
    return found


def main_() -> None:
    """Kill each command a quarter of the times."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else _TIMES
    chance = random.Random(20261125)
    with tempfile.TemporaryDirectory() as place:
        start = Path(place) / "logbook"
        for name, words in prepared(start).items():
            sys.stdout.write(f"{name}: killed at work {times // 4} times, ")
            for what, often in many(words, start, chance, times // 4).most_common():
                sys.stdout.write(f"  {often:4d}  {what}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main_()
