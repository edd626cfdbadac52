"""Logbooks that teach little or nothing: every command says so, with no number that is none.

One batch, no variation, nothing measured, two things that always go together, slips beyond measure.
"""

import io
import json
import math
import re
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import polars as pl
import pytest
from whole.books import USUAL, Batch, together, written

from pipeline.calls import run
from pipeline.calls.parser import build_parser
from pipeline.cellar import load_cellar
from pipeline.errors import CannotSayError
from pipeline.learning.models import read_frames
from pipeline.logbook import read_logbook

COMMANDS = [
    *("load L", "fit L", "volume L", "yeasts L", "harsh L", "harsh L B0", "predict L plan"),
    *("suggest L plan", "compare L plan B0", "trial L plan", "sheet L plan"),
    *("bench L B0 --sweeten 20", "report L -o O"),
]
ASKED_FIRST = ["load L", "fit L", "volume L", "harsh L B0", "predict L plan"]
ASKED_ALL = ("one batch", "no variation", "slips")
NO_NUMBER = re.compile(r"(?<![A-Za-z])(nan|inf|NaN|Infinity|None|undefined)(?![A-Za-z])")


def slipped(at: int) -> Batch:
    """Most batches differ a little; some hold a slip beyond measure."""
    slips: dict[int, Batch] = {
        3: {"fg": 1.19},
        4: {"og": 0.98},
        5: {"og": 1.2, "fg": 0.98},
        7: {"bottled": 9999},
        8: {"bottled": 0.001},
        9: {"kg": 9999},
        10: {"kg": 0.001},
        11: {"sugar": 9999},
        12: {"kg": "999999999999", "bottled": "999999999999"},
        13: {"taste": (0, 10, 0, 10, 0, 10, 0, 20)},
    }
    return together(at) | slips.get(at, {})


def alike(at: int) -> Batch:
    """Every batch was made otherwise, and all of them came out the same."""
    came_out = {name: USUAL[name] for name in ("og", "fg", "bottled", "taste")}
    return together(at) | {"kg": 1 + at / 16} | came_out


BOOKS: dict[str, Callable[[Path], Path]] = {
    "no batch": lambda folder: written(folder, []),
    "one batch": lambda folder: written(folder, [{}]),
    "no variation": lambda folder: written(folder, [{}] * 16),
    "nothing measured": lambda folder: written(
        folder, [together(at) for at in range(16)], ("readings", "transfers", "tastings")
    ),
    "always together": lambda folder: written(folder, [together(at) for at in range(16)]),
    "all came out alike": lambda folder: written(folder, [alike(at) for at in range(16)]),
    "slips": lambda folder: written(folder, [slipped(at) for at in range(20)]),
}


def answered(call: str, folder: Path) -> tuple[dict, str]:
    """Answer a call as data and as text, working it out once; both empty if it cannot say."""
    words = [
        {"L": str(folder), "O": str(folder / "o.html")}.get(word, word) for word in call.split()
    ]
    request = build_parser().parse_args(words)
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(io.StringIO()):
        try:
            answer = run._answer(request.call, request)
        except CannotSayError as refusal:
            return {}, str(refusal)
        run._find(request.call.text)(answer)
    return answer.data, out.getvalue()


def estimates(found: object) -> Iterator[dict]:
    """Yield every estimate of an answer."""
    if isinstance(found, dict):
        if {"value", "low", "high", "level"} <= found.keys():
            yield found
        for part in found.values():
            yield from estimates(part)
    elif isinstance(found, list):
        for part in found:
            yield from estimates(part)


@pytest.mark.slow
@pytest.mark.parametrize("book", BOOKS)
def test_every_command_answers_honestly(book: str, tmp_path: Path) -> None:
    folder = BOOKS[book](tmp_path / "wine")
    asked = COMMANDS if book in ASKED_ALL else ASKED_FIRST
    for call in [call for call in asked if book != "no batch" or "B0" not in call]:
        data, text = answered(call, folder)
        assert not NO_NUMBER.search(text), (call, text)
        assert "Infinity" not in json.dumps(data, default=str).replace("NaN", "null")
        for one in estimates(data):
            numbers = [one[name] for name in ("low", "value", "high")]
            assert all(isinstance(number, int | float) for number in numbers), (call, one)
            assert all(math.isfinite(number) for number in numbers), (call, one)
            assert numbers == sorted(numbers), (call, one)
    if "report L -o O" not in asked:
        return
    page = (folder / "o.html").read_text(encoding="utf-8")
    shown = re.sub(r"<(style|script).*?</\1>|<[^>]+>", " ", page, flags=re.S)
    assert not NO_NUMBER.search(shown)


@pytest.mark.parametrize(
    "book", ["one batch", "no variation", "nothing measured", "all came out alike"]
)
def test_what_never_varied_is_not_told_for_sure(book: str, tmp_path: Path) -> None:
    folder = BOOKS[book](tmp_path / "wine")
    (recipe,) = answered("predict L plan", folder)[0]["recipes"]
    assert recipe["doubts"]
    for name, least in (("finished_fraction", 0.03), ("final_gravity", 0.002), ("score", 1.0)):
        found = recipe[name]
        assert found is None or found["high"] - found["low"] > least, (name, found)
    drivers = answered("harsh L", folder)[0]["drivers"]
    sure = [one for one in drivers if one["effect"] and one["effect"]["low"] > 0]
    # What only the trade's experience says is marked as such.
    unlearnt = {"no_variation", "default_value", "few_batches"}
    assert all(unlearnt & {doubt["code"] for doubt in one["doubts"]} for one in sure)


def test_a_slip_is_told_and_bends_no_other_batch(tmp_path: Path) -> None:
    sound = [together(at) for at in range(18)]
    clean = written(tmp_path / "clean", sound)
    slip = {16: {"kg": 9999}, 17: {"bottled": 999}}
    slips = written(tmp_path / "slips", [sound[at] | slip.get(at, {}) for at in range(18)])
    told = read_logbook(slips).problems.filter(pl.col("rule") == "out-of-range")
    assert sorted(told["column"]) == ["amount", "volume_after"]
    assert set(told["level"]) == {"warning"}
    frames = read_frames(load_cellar(slips)).batches.filter(pl.col("batch_id") == "B16")
    assert frames["fruit_kg"].to_list() == [None]
    (expected,), (found,) = (
        answered("predict L plan", folder)[0]["recipes"] for folder in (clean, slips)
    )
    for name, near in (("finished_fraction", 0.05), ("final_gravity", 0.004)):
        assert found[name]["value"] == pytest.approx(expected[name]["value"], abs=near)


def test_more_than_ten_thousand_kilograms_is_set_aside(tmp_path: Path) -> None:
    folder = written(tmp_path / "wine", [{"kg": "999999999999"}])
    problem = read_logbook(folder).problems.filter(pl.col("level") == "error").row(0, named=True)
    assert problem["message"] == "an amount must be more than 0 and at most 10000 kg"
