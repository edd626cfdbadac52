"""Reads a call: the argparse parser of every command in `pipeline.calls`."""

import argparse
import sys
from typing import NoReturn

import pipeline
from pipeline.calls import COMMANDS
from pipeline.calls.overview import overview
from pipeline.show.terminal import in_one_line

UNUSABLE = 2


class _Parser(argparse.ArgumentParser):
    """Refuses a wrong call in one sentence instead of a page of usage."""

    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"hedgerow: {in_one_line(message)}. See '{self.prog} --help'.\n")
        raise SystemExit(UNUSABLE)


class _Program(_Parser):
    """The program as a whole: its help is our own overview of the commands."""

    def format_help(self) -> str:
        return overview()


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands in `pipeline.calls.COMMANDS`."""
    parser = _Program(prog="hedgerow")
    parser.add_argument("--version", action="version", version=f"hedgerow {pipeline.__version__}")
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", required=True, parser_class=_Parser
    )
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
