"""What a call is made of: a command, its arguments, who answers it and who prints."""

from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True)
class Argument:
    """One argument of a command, as argparse takes it."""

    names: tuple[str, ...]
    options: dict = field(default_factory=dict)


@dataclass(frozen=True)
class Command:
    """One command. `answer` and `text` are 'module:function', imported only when it is called.

    A command without `text` prints nothing of its own.
    """

    name: str
    help: str
    example: str
    arguments: tuple[Argument, ...]
    answer: str
    text: str = ""


def argument(*names: str, **options: object) -> Argument:
    """Describe one argument in argparse's own words."""
    return Argument(names, options)


def path(text: str) -> Path:
    """Read a path from the command line, `~` included."""
    return Path(text).expanduser()


LOGBOOK = argument("logbook", metavar="LOGBOOK", type=path, help="the logbook's folder")
