"""Runs one call: asks the function that answers it, prints what came back."""

import json
import math
import sys
import time
from collections.abc import Callable, Sequence
from importlib import import_module

from pipeline.calls import Command
from pipeline.calls.parser import build_parser

DONE, CANNOT_SAY = 0, 1


def say(sentence: str) -> None:
    """Tell the person at the keyboard that something longer is going on."""
    sys.stderr.write(f"… {sentence}\n")


def run(words: Sequence[str]) -> int:
    """Read a call, answer it, and return 0 for done or 1 for cannot say.

    Raises
    ------
    HedgerowError
        If it cannot be answered, worded for the maker.
    """
    request = build_parser().parse_args(words)
    command: Command = request.call
    started = time.perf_counter()
    answer = _find(command.answer)(request, say)
    if not command.text:
        return DONE
    if "seconds" in answer.data:
        answer.data["seconds"] = round(time.perf_counter() - started, 3)
    if request.json:
        data = _finite(answer.data)
        sys.stdout.write(json.dumps(data, ensure_ascii=False, allow_nan=False) + "\n")
    else:
        _find(command.text)(answer)
    sys.stdout.flush()
    return CANNOT_SAY if answer.cannot_say or (request.strict and answer.set_aside) else DONE


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
