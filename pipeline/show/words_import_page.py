"""What the page says of old notes beside what the command says too."""

from collections.abc import Sequence
from typing import NamedTuple

from pipeline.counts import counted
from pipeline.logbook.importing.proposing import OpenCell
from pipeline.show.words_import import open_questions, open_starts

BRING_IN = "Bring in old notes"
UPLOAD = "Your sheets, as CSV or as a workbook"
ASKED = "What only you can say"
STARTS = "The day each batch was put together"
NAMES = "Names that may mean several things"
CELLS = "Single cells that wait for you"
CHOOSE = "Choose or type; left empty, it is held back"
BLOCKED = (
    "Nothing can be written yet: a dose is so high that it must be confirmed or corrected first, "
    "under 'What only you can say'."
)
CHANGED = (
    "Not written: an answer or the logbook has changed since this was shown. Look through it once "
    "more, then press again."
)
NOT_WRITTEN = "Not written."
_MOST_LINES = 40  # of one kind that are shown; the report lists every one
_LINES_NAMED = 5


class Open(NamedTuple):
    """Something about a sheet that waits for one answer.

    Attributes
    ----------
    label, reason : str
        What it is, and why it is asked.
    readings : tuple of str
        What it may mean, the likeliest first.
    answer : str
        What has been answered or is proposed; nothing while it is open.
    """

    label: str
    reason: str = ""
    readings: tuple[str, ...] = ()
    answer: str = ""


def invitation(most_mb: int) -> str:
    """Say what can be brought in, and that nothing happens to the originals."""
    return (
        f"Any sheet you have kept, up to {most_mb} MB a file. It is looked through first, and you "
        "are asked what it cannot tell; nothing is written before you say so, and your own files "
        "stay as they are."
    )


def sheet_title(sheet: dict) -> str:
    """Name a sheet with how much of it waits."""
    waiting = sum(1 for _ in open_questions(sheet)) + len(open_starts(sheet))
    asked = f", {counted(waiting, 'question')} open" if waiting else ""
    return f"{sheet['file']}: {counted(sheet['counts']['rows'], 'row')}{asked}"


def counted_title(title: str, number: int) -> str:
    """Head a list with how long it is."""
    return f"{title} ({number})"


def rows_title(name: str, number: int) -> str:
    """Head the rows that one of the logbook's files would get."""
    return f"What {name}.csv would get: {counted(number, 'row')}"


def first_of(lines: Sequence[str]) -> list[str]:
    """Return the first lines of a long list, and how many more there are."""
    shown = list(lines[:_MOST_LINES])
    more = len(lines) - len(shown)
    return [*shown, f"… and {more} more; the report lists every one"] if more else shown


def options(choices: Sequence[str]) -> list[str]:
    """Return what a question can be answered with; a single choice can be taken back."""
    return ["", *choices] if len(choices) == 1 else list(choices)


def seen_line(evidence: Sequence[str]) -> str:
    """Say what in the sheet speaks for an answer."""
    return f"Seen: {'; '.join(evidence)}"


def open_start(start: dict) -> Open:
    """Ask for the day a batch was put together."""
    return Open(f"Batch {start['batch']}", start["says"], (), start["answer"])


def open_name(cell: OpenCell) -> Open:
    """Ask what a name stands for."""
    return Open(f"'{cell.written}' in {_lines(cell)}", cell.reason, cell.readings)


def open_cell(cell: OpenCell) -> Open:
    """Ask what a cell means."""
    return Open(f"{cell.heading}: '{cell.written}' in {_lines(cell)}", cell.reason, cell.readings)


def _lines(cell: OpenCell) -> str:
    shown = ", ".join(str(line) for line in cell.lines[:_LINES_NAMED])
    more = " …" if len(cell.lines) > _LINES_NAMED else ""
    return f"line{'s' if len(cell.lines) > 1 else ''} {shown}{more}"


def next_line(sheets: Sequence[dict]) -> str:
    """Say what to do once notes are written."""
    is_open = any(sheet["counts"]["cells_held"] for sheet in sheets) or any(
        True for sheet in sheets for _ in (*open_questions(sheet), *open_starts(sheet))
    )
    if is_open:
        return (
            "Next: answer what is still open above and press again; what was written is brought "
            "up to date then."
        )
    return "Next: look at the batches on the shelf."
