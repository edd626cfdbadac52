"""The command line: reads the call, asks one function, prints its answer.

Results go to standard output, progress and refusals to standard error. Everything heavier than the
parser is imported when a command needs it, so that `--help` answers at once.
"""

import argparse
import json
import math
import sys
import time
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import NoReturn

import pipeline
from pipeline.calls import COMMANDS, Command
from pipeline.errors import CannotSayError, HedgerowError

DONE, CANNOT_SAY, UNUSABLE = 0, 1, 2


class _Parser(argparse.ArgumentParser):
    """Refuses a wrong call in one sentence instead of a page of usage."""

    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"hedgerow: {message}. See '{self.prog} --help'.\n")
        raise SystemExit(UNUSABLE)


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands in `pipeline.calls.COMMANDS`."""
    parser = _Parser(
        prog="hedgerow",
        description="Learn across batches of country wine: how much it gives, how dry it "
        "finishes, why some of it is harsh, and what to change next time.",
    )
    parser.add_argument("--version", action="version", version=f"hedgerow {pipeline.__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for command in COMMANDS:
        sub = commands.add_parser(
            command.name,
            help=command.help,
            description=command.help[0].upper() + command.help[1:] + ".",
            epilog=f"Example: hedgerow {command.example}",
        )
        for argument in command.arguments:
            sub.add_argument(*argument.names, **argument.options)
        if command.text:
            sub.add_argument("--json", action="store_true", help="print the answer as JSON (SI)")
            sub.add_argument(
                "--strict", action="store_true", help="exit with 1 if rows were set aside"
            )
        sub.set_defaults(call=command)
    return parser


def say(sentence: str) -> None:
    """Tell the person at the keyboard that something longer is going on."""
    sys.stderr.write(f"… {sentence}\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        The call without the program's name; by default that of this process.

    Returns
    -------
    int
        Exit status: 0 done; 1 cannot say, or rows set aside under --strict; 2 unusable.
    """
    request = build_parser().parse_args(arguments)
    command: Command = request.call
    try:
        return _run(command, request)
    except CannotSayError as refusal:
        sys.stderr.write(f"Cannot say: {refusal}\n")
        return CANNOT_SAY
    except HedgerowError as refusal:
        sys.stderr.write(f"{refusal}\n")
        return UNUSABLE
    except BrokenPipeError:
        # Somebody closed the pager; there is nobody left to tell.
        sys.stderr.close()
        return DONE
    except KeyboardInterrupt:
        sys.stderr.write("Stopped. Nothing in the logbook was changed.\n")
        return UNUSABLE


def _run(command: Command, request: argparse.Namespace) -> int:
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
