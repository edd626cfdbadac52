"""What a call is made of: a command, its arguments, who answers it and who prints.

Plain classes and no import, since `hedgerow --help` shall answer at once: `typing` alone takes
longer to import than all of `pipeline.calls`.
"""


class Argument:
    """One argument of a command, as argparse takes it."""

    def __init__(self, names: tuple[str, ...], options: dict) -> None:
        self.names = names
        self.options = options


class Command:
    """One command. `answer` and `text` are 'module:function', imported only when it is called.

    A command without `text` prints nothing of its own.
    """

    def __init__(
        self,
        name: str,
        help: str,
        example: str,
        arguments: tuple[Argument, ...],
        answer: str,
        text: str = "",
    ) -> None:
        self.name = name
        self.help = help
        self.example = example
        self.arguments = arguments
        self.answer = answer
        self.text = text


def argument(*names: str, **options: object) -> Argument:
    """Describe one argument in argparse's own words."""
    return Argument(names, options)


def path(text: str) -> object:
    """Read a path from the command line, `~` included."""
    from pathlib import Path

    return Path(text).expanduser()


LOGBOOK = argument("logbook", metavar="LOGBOOK", type=path, help="the logbook's folder")
EXPLAIN = argument(
    "--explain", action="store_true", help="say of every number which entries it comes from and how"
)
