"""Killing a call at each of its steps, and at random moments.

A killed process runs nothing more: no `finally`, no exit handler. So the call runs in a process of
its own, forked from one that has imported everything, and that process kills itself.
"""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from itertools import count
from pathlib import Path

TESTS = Path(__file__).parents[1]
ROOT = TESTS.parent
# What a process does to files, as Python tells its auditors; one step each.
_STEPS = {"open", "os.rename", "os.remove", "os.mkdir", "shutil.copyfile", "os.truncate"}
_MOST_STEPS = 200


def _die_at(step: int, folder: Path) -> None:
    """Kill this process just before the n-th change that it makes to a file of the folder."""
    seen = count()

    def look(event: str, about: tuple) -> None:
        is_reading = event == "open" and not about[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        is_step = event in _STEPS and not is_reading and str(about[0]).startswith(str(folder))
        if is_step and next(seen) == step:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(look)


def _rehearse(place: str, every: int, words: list[str]) -> None:
    """Run a call on copies of a folder, killed a step later in each; print how often it was."""
    from pipeline.cli import main

    folder = Path(place)
    for step in range(0, _MOST_STEPS, every):
        copy = folder.with_name(f"{folder.name}-{step}")
        shutil.copytree(folder, copy)
        child = os.fork()
        if child == 0:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            _die_at(step, copy)
            os._exit(main([word.replace("LOGBOOK", str(copy)) for word in words]))
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            sys.stdout.write(f"{step} {os.waitstatus_to_exitcode(status)}\n")
            return


def killed_at_each_step(folder: Path, words: list[str], every: int = 1) -> list[Path]:
    """Return a copy of a logbook for each step of a call, or every n-th, killed before that step.

    The last copy is of the call that ran to its end. In `words`, LOGBOOK stands for the folder.
    """
    first = "import sys, pipeline.logbook.importing, pipeline.calls.run"
    code = f"from whole.killing import _rehearse; _rehearse(sys.argv[1], {every}, sys.argv[2:])"
    done = subprocess.run(
        [sys.executable, "-c", f"{first}; {code}", str(folder), *words],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join([str(ROOT), str(TESTS)])},
    )
    steps, status = map(int, done.stdout.split())
    assert status == 0, done.stderr
    return [folder.with_name(f"{folder.name}-{step}") for step in range(0, steps + 1, every)]


def kill_at_random(words: list[str], chance: random.Random, longest: float) -> bool:
    """Kill a call at a random moment after it began, and return whether it was still at work."""
    with _begun(words) as running:
        time.sleep(chance.uniform(0, longest))
        was_at_work = running.poll() is None
        running.kill()
    return was_at_work


def seconds_of(words: list[str]) -> float:
    """Return how long a call works, from when everything is imported."""
    with _begun(words) as running:
        began = time.perf_counter()
        assert running.wait() in (0, 1)  # 1: too little to say
        return time.perf_counter() - began


def _begun(words: list[str]) -> subprocess.Popen:
    """Return a process in which a call has just begun: importing changes no file."""
    first = "import sys, pipeline.cellar, pipeline.logbook.importing, pipeline.calls.run"
    then = "from pipeline.cli import main; print(flush=True); sys.exit(main())"
    running = subprocess.Popen(
        [sys.executable, "-c", f"{first}; {then}", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert running.stdout is not None
    running.stdout.readline()
    return running


def files_of(folder: Path) -> dict[str, bytes]:
    """Return the files of a logbook, hidden ones, locks and last versions left out."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
        and path.suffix != ".bak"
    }


def leavings_of(folder: Path) -> list[str]:
    """Return what is left over from writing: nothing, once a later call has repaired it."""
    return [
        path.name
        for path in folder.rglob(".*")
        if path.suffix in (".tmp", ".journal", ".bak", ".new")
    ] + [path.name for path in folder.rglob("*.new-*")]
