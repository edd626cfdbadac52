"""Rows on their way into the logbook's files, and what became of every cell they come from."""

from dataclasses import dataclass, field
from typing import NamedTuple

from pipeline.logbook.contract import FILES
from pipeline.logbook.importing.outcome import Fate, Outcome
from pipeline.logbook.importing.plan import DATED


@dataclass
class Draft:
    """One row of one of the logbook's files.

    Attributes
    ----------
    file : str
        The contract's name of the file.
    line : int
        The line of the old sheet it comes from.
    cells : dict
        By the contract's column, in the contract's form.
    notes : list of str
        Joined into the notes column.
    when : str
        The moment the sheet gives it, in words.
    held : dict
        By column, the text of cells that are held or rejected.
    source : str
        The old row it comes from, as one line.
    """

    file: str
    line: int
    cells: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    when: str = ""
    held: dict[str, str] = field(default_factory=dict)
    source: str = ""

    @property
    def batch_id(self) -> str:
        """Return the batch it belongs to."""
        return self.cells.get("batch_id", "")

    def missing(self) -> list[str]:
        """Return the columns without which `hedgerow check` sets the row aside."""
        missing = [
            column.name
            for column in FILES[self.file]
            if column.is_required and not self.cells.get(column.name)
        ]
        if self.file == "transfers" and not self.cells.get("volume_after"):
            is_bottled = self.cells.get("step") == "bottle" and self.cells.get("bottles")
            if not is_bottled and self.cells.get("step") != "chill":
                missing.append("volume_after")
        return missing

    def written(self) -> dict[str, str]:
        """Return the row's cells with its notes."""
        notes = "; ".join(dict.fromkeys(note for note in self.notes if note))
        return {**self.cells, "notes": notes} if notes else dict(self.cells)

    @property
    def day(self) -> str:
        """Return its date as the contract writes it, or nothing."""
        return self.cells.get(DATED[self.file], "")


class CellFate(NamedTuple):
    """What became of one filled cell of the old sheet.

    Attributes
    ----------
    line, heading, written, row
        Where it stands, its text, and its whole row as one line.
    fate : {"loaded", "held", "rejected"}
        What became of it.
    to : str
        The file and column it went to.
    text : str
        What was written there.
    rule : str
        The conversion applied, or the rule it breaks.
    reason : str
        Why it is held or rejected.
    readings : tuple of str
        What it may mean.
    """

    line: int
    heading: str
    written: str
    row: str
    fate: Fate
    to: str
    text: str
    rule: str
    reason: str
    readings: tuple[str, ...]

    @property
    def is_converted(self) -> bool:
        """Whether something was done to a loaded cell that is to be listed."""
        return self.fate == "loaded" and bool(self.rule)


def fate_of(line: int, heading: str, written: str, row: str, to: str, outcome: Outcome) -> CellFate:
    """Return the entry of one cell in the report."""
    return CellFate(
        line,
        heading,
        written,
        row,
        outcome.fate,
        to,
        outcome.text,
        outcome.rule,
        outcome.reason,
        outcome.readings,
    )
