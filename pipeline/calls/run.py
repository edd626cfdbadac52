"""Runs one call: asks the function that answers it, prints what came back."""

import json
import math
import sys
import time
from argparse import Namespace
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from pipeline.calls import Command
from pipeline.calls.outputs import spare_the_logbook
from pipeline.calls.parser import build_parser
from pipeline.errors import ChangedMeanwhileError
from pipeline.show.terminal import in_one_line

if TYPE_CHECKING:
    from pipeline.show.answer import Answer

DONE, CANNOT_SAY = 0, 1
_ATTEMPTS = 5


def say(sentence: str) -> None:
    """Tell the person at the keyboard that something longer is going on."""
    sys.stderr.write(f"… {in_one_line(sentence)}\n")


def run(words: Sequence[str]) -> int:
    """Read a call, answer it, and return 0 for done or 1 for cannot say.

    Raises
    ------
    HedgerowError
        If it cannot be answered, worded for the maker.
    """
    request = build_parser().parse_args(words)
    command: Command = request.call
    spare_the_logbook(request)
    _repair(request)
    started = time.perf_counter()
    answer = _answer(command, request)
    if not command.text:
        return DONE
    if "seconds" in answer.data:
        answer.data["seconds"] = round(time.perf_counter() - started, 3)
    if request.json:
        data = _finite(answer.data)
        # Where the output has not every letter, JSON has a way to write each by its number.
        is_plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
        sys.stdout.write(json.dumps(data, ensure_ascii=is_plain, allow_nan=False) + "\n")
    else:
        _find(command.text)(answer)
        if "explain" in answer.data:
            _find("pipeline.show.text_trace:explained")(answer)
    sys.stdout.flush()
    return CANNOT_SAY if answer.cannot_say or (request.strict and answer.set_aside) else DONE


def _repair(request: Namespace) -> None:
    """Finish or clear away what a call that was cut off has left, and say so."""
    folder = getattr(request, "logbook", getattr(request, "into", None))
    if folder is None or not folder.is_dir():
        return
    from pipeline.logbook.file_writing import repair

    done = repair(folder)
    if done is not None:
        say(done)


def _answer(command: Command, request: Namespace) -> "Answer":
    """Answer a call; if asked, with the way from the logbook to every number of the answer."""
    for _ in range(_ATTEMPTS - 1):
        try:
            return _answer_once(command, request)
        except ChangedMeanwhileError as change:
            say(f"{change.what}; beginning again")
    return _answer_once(command, request)


def _answer_once(command: Command, request: Namespace) -> "Answer":
    answered = _find(command.answer)
    if not getattr(request, "explain", False):
        return answered(request, say)
    from pipeline.advice.explain import explain_call
    from pipeline.cellar.notes import keeping

    with keeping() as kept:
        answer: Answer = answered(request, say)
    say("tracing every number")
    answer.data["explain"] = explain_call(command.name, answer.data, kept, vars(request))
    return answer


def _finite(data: object) -> object:
    """Return the answer with null for what is no number: JSON has no word for it."""
    if isinstance(data, dict):
        return {key: _finite(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_finite(value) for value in data]
    return None if isinstance(data, float) and not math.isfinite(data) else data


def _find(where: str) -> Callable:
    module, _, name = where.partition(":")
    return getattr(import_module(module), name)
