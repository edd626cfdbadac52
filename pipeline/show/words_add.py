"""What the forms for the logbook say once they are filled in: written, or refused and why."""

from collections.abc import Mapping, Sequence

from pipeline.counts import counted
from pipeline.logbook.add import ENTRIES
from pipeline.show.measures import capital, joined
from pipeline.show.words_add_forms import EntryForm

NOT_SAID = "not said"
NOT_WRITTEN = "Not written. What you typed is still in the form."
NO_BATCH_YET = "An entry belongs to a batch, and there is none yet. Write one down under Batch."


def written_down(files: Sequence[Mapping]) -> str:
    """Answer what there is to write down by what is written down already."""
    names = {f"{file}.csv": (kind, file) for kind, file in ENTRIES.items() if kind != "recipe"}
    known = {_file(one["file"]): one["rows_read"] for one in files}
    parts = [counted(known[file], *names[file]) for file in names if known.get(file)]
    return f"{capital(joined(parts))} so far." if parts else "Nothing is written down yet."


def _file(name: str) -> str:
    """Return a file's name as CSV, also of a workbook's sheet."""
    return f"{name.rpartition('/')[2].lower().removesuffix('.csv')}.csv"


def written_line(form: EntryForm, cells: Mapping[str, str], file: str, rows: int) -> str:
    """Say what was written in one sentence, and how many rows the file has now.

    Parameters
    ----------
    form : EntryForm
        The form it was typed into.
    cells : mapping of str to str
        By the contract's column, as written.
    file, rows : str, int
        Where, and how many rows that has now.
    """
    about = form.usual[0].column
    asked = [ask for ask in (*form.usual, *form.more) if ask.column != about]
    said = [
        f"{ask.label.split(',')[0]} {cells[ask.column]}" for ask in asked if cells.get(ask.column)
    ]
    words = "; ".join(said)
    return f"Written for {cells[about]}: {words}. {file} has {counted(rows, 'row')} now."


def refused_lines(form: EntryForm, problems: Sequence[Mapping]) -> list[str]:
    """Say why a row was not written, cell by cell, and what to type instead."""
    labels = {ask.column: ask.label for ask in (*form.usual, *form.more)}
    lines = []
    for problem in problems:
        label = labels.get(problem["column"] or "", problem["column"] or "The row")
        value = f" '{problem['value']}'" if problem["value"] else ""
        hint = f" Instead: {problem['hint']}." if problem["hint"] else ""
        lines.append(f"{label}{value}: {problem['message']}.{hint}")
    return lines


def warning_lines(problems: Sequence[Mapping]) -> list[str]:
    """Say what the row made doubtful, though it is written."""
    lines = []
    for problem in problems:
        hint = f" {capital(problem['hint'])}." if problem["hint"] else ""
        lines.append(f"{capital(problem['message'])}.{hint}")
    return lines


_NEXT = {
    "reading": "It counts in the batch's curve now.",
    "addition": "Next: whatever else went in, or a first gravity under Reading.",
    "transfer": "Next: what you measured then, under Reading.",
    "tasting": "It counts in what goes with harsh glasses now.",
    "batch": "Next: what went into it, under Addition.",
    "recipe": (
        "Next: whatever else goes in, a line at a time. The wine it aims at and its yeast stand on "
        "one line only."
    ),
}

_SEEN = {"tasting": ("harsh", "Why is it harsh?"), "recipe": ("recipes", "Which recipe next?")}


def next_line(kind: str) -> str:
    """Say what a maker usually does next."""
    return _NEXT[kind]


def seen_on(kind: str) -> tuple[str, str]:
    """Return the page on which an entry is seen to count, and its title."""
    return _SEEN.get(kind, ("shelf", "What is on the shelf?"))
