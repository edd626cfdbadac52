"""What became of one cell: loaded, held until somebody answers, or rejected as no value.

Nothing else can happen to a cell with something in it, so the three add up to all of them.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

Fate = Literal["loaded", "held", "rejected"]


class Outcome(NamedTuple):
    """What a cell says.

    Attributes
    ----------
    fate : {"loaded", "held", "rejected"}
        What became of it.
    text : str
        As the contract writes it; empty where nothing can be written.
    rule : str
        Of a loaded cell the conversion applied, in words; else the rule it breaks.
    reason : str
        Why it is held or rejected, as a sentence.
    readings : tuple of str
        What it may mean, the likeliest first.
    note : str
        What else the cell says, for the notes.
    more : tuple of (column, text)
        Further cells of the same row that it settles, such as the acid of an acidity.
    """

    fate: Fate
    text: str = ""
    rule: str = ""
    reason: str = ""
    readings: tuple[str, ...] = ()
    note: str = ""
    more: tuple[tuple[str, str], ...] = ()


def loaded(text: str, rule: str = "", note: str = "") -> Outcome:
    """Return a cell that can be written; `rule` says what was done to it, if anything."""
    return Outcome("loaded", text, rule, note=note)


def held(rule: str, reason: str, readings: Sequence[str] = (), text: str = "") -> Outcome:
    """Return a cell that waits for an answer."""
    return Outcome("held", text, rule, reason, tuple(readings))


def rejected(rule: str, reason: str, readings: Sequence[str] = ()) -> Outcome:
    """Return a cell that is no value; it counts as missing, and its text is kept."""
    return Outcome("rejected", "", rule, reason, tuple(readings))
