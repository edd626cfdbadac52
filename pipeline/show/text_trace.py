"""What `--explain` prints below an answer."""

from typing import TYPE_CHECKING

from pipeline.counts import counted
from pipeline.show.console import escape, out
from pipeline.show.words_trace import trace_lines

if TYPE_CHECKING:
    from pipeline.show.answer import Answer

LINES_SHOWN = 400


def explained(answer: "Answer") -> None:
    """Print where every number of an answer comes from."""
    lines = trace_lines(answer.data["explain"], answer.units)
    out()
    out("[b]Where the numbers come from[/b]")
    for line in lines[:LINES_SHOWN]:
        text = escape(line.text)
        out(f"{'  ' * line.depth}{f'[b]{text}[/b]' if line.depth == 0 else text}")
    if len(lines) > LINES_SHOWN:
        out(f"… and {counted(len(lines) - LINES_SHOWN, 'more line')}; --json has them all.")
