"""What can be called: each command's name, words, arguments, and who answers and who prints."""

from pipeline.calls import logbook, planning, questions
from pipeline.calls.shape import Command

_WORDS = (
    *("new", "demo", "check", "load", "fit"),
    *("volume", "yeasts", "harsh"),
    *("compare", "predict", "suggest", "trial", "bench", "sheet", "tasting"),
    *("import", "add", "report", "export", "app"),
)
_BY_NAME = {
    command.name: command
    for command in (*logbook.COMMANDS, *questions.COMMANDS, *planning.COMMANDS)
}

# In the order of `hedgerow --help`: from an empty folder to the answers.
COMMANDS: tuple[Command, ...] = tuple(_BY_NAME[word] for word in _WORDS)

__all__ = ["COMMANDS", "Command"]
