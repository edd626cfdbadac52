"""What `hedgerow --help` says: every command in a line or two, without starting argparse."""

from pipeline.calls import COMMANDS

DESCRIPTION = (
    "Learn across batches of country wine: how much it gives, how dry it finishes, why some of it "
    "is harsh, and what to change next time."
)
_WIDTH, _INDENT = 80, 12


def overview() -> str:
    """Return the help on the program as a whole."""
    usage = "usage: hedgerow COMMAND …       hedgerow COMMAND --help       hedgerow --version"
    lines = [usage, "", *_wrapped(DESCRIPTION, 0), ""]
    for command in COMMANDS:
        first, *more = _wrapped(command.help, _INDENT)
        lines += [f"  {command.name:<{_INDENT - 2}}{first.strip()}", *more]
    lines += ["", "Begin with:  hedgerow demo", ""]
    return "\n".join(lines)


def _wrapped(text: str, indent: int) -> list[str]:
    """Break a text into lines; `textwrap` would take longer to import than all else here."""
    lines, line = [], " " * indent
    for word in text.split():
        if len(line) + 1 + len(word) > _WIDTH and line.strip():
            lines.append(line)
            line = " " * indent
        line += f" {word}" if line.strip() else word
    return [*lines, line]
