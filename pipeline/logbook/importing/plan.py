"""What a maker decides about a sheet: which column is which, and the answers to the questions.

A plan is proposed (`pipeline.logbook.importing.proposing`), kept in a mapping file that is easy to
edit, and followed to the letter when the rows are read.
"""

from dataclasses import dataclass, field, replace
from typing import Any, Literal, NamedTuple

from pipeline.logbook.contract import FILES

LEAVE = "leave"
BY_BATCH = "by batch"  # the fruit of a column is the one that each batch is named after
Layout = Literal["batches", "entries"]
Group = Literal["general", "starts", "ingredients", "cells"]

SPECIAL_TARGETS = {
    "batch_id": "the batch a row belongs to",
    "date": "the day a row speaks of",
    "day": "the number of days since the batch's start",
    "additions.unit": "the unit of the amount beside it",
    "alcohol": "alcohol as somebody wrote it; kept in the notes, never used for a sum",
    "notes": "kept in the notes, with its heading",
}
DATED = {
    "batches": "started_on",
    "additions": "added_on",
    "readings": "taken_on",
    "transfers": "moved_on",
    "tastings": "tasted_on",
}


def targets() -> list[str]:
    """Return everything a column can be."""
    columns = [
        f"{file}.{column.name}"
        for file, columns in FILES.items()
        if file != "recipes"
        for column in columns
        if column.name not in ("batch_id", "notes")
    ]
    return [*SPECIAL_TARGETS, *columns]


class ColumnPlan(NamedTuple):
    """One column of the sheet and what it becomes.

    Attributes
    ----------
    heading : str
        As written; `column 5` where there is none.
    to : str
        One of `targets()`.
    unit : str
        Unit of bare numbers in the column.
    kind, ingredient : str
        For `additions.amount`: what every cell of the column is an amount of.
    step : str
        For columns of transfers.
    when : str
        For readings: `start`, `end`, `day 3`, a date, or nothing for the row's own day.
    basis : str
        For `readings.ta`: the acid it is expressed as.
    """

    heading: str
    to: str
    unit: str = ""
    kind: str = ""
    ingredient: str = ""
    step: str = ""
    when: str = ""
    basis: str = ""

    @property
    def file(self) -> str:
        """Return the file of the contract it goes to, or nothing."""
        return self.to.partition(".")[0] if "." in self.to else ""

    @property
    def column(self) -> str:
        """Return the contract's column it goes to."""
        return self.to.rpartition(".")[2]


@dataclass(frozen=True)
class Question:
    """What nobody but the maker can know, or a proposal that the maker may want to change.

    Attributes
    ----------
    key : str
        Name of the answer in the mapping file.
    text : str
        The question in words.
    choices : tuple of str
        What can be answered; empty for free text.
    evidence : tuple of str
        What in the sheet speaks for an answer.
    answer : str
        The proposal, or nothing where there is none.
    """

    key: str
    text: str
    choices: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    answer: str = ""

    @property
    def is_open(self) -> bool:
        """Whether it has no answer yet."""
        return not self.answer


@dataclass(frozen=True)
class Answers:
    """Everything the maker has said about a sheet.

    Attributes
    ----------
    columns : tuple of ColumnPlan
        One per column, in the sheet's order.
    layout : {"batches", "entries"}
        One row a batch, or one row an entry.
    general : dict
        By key of the question: `dates`, `decimal`, `gallon`, `ta_as`, `score_out_of`, `batch`, ...
    starts : dict
        The day each batch was put together, for batches whose row does not say.
    ingredients : dict
        By the name as written: the name to use, or nothing.
    cells : dict
        By heading, text as written and row: what to read in its place, or nothing. Without a row
        it holds for every such text in the column.
    """

    columns: tuple[ColumnPlan, ...]
    layout: Layout
    general: dict[str, str] = field(default_factory=dict)
    starts: dict[str, str] = field(default_factory=dict)
    ingredients: dict[str, str] = field(default_factory=dict)
    cells: dict[tuple[str, str, str], str] = field(default_factory=dict)

    def answered(self, group: Group, name: Any, text: str) -> "Answers":
        """Return these answers with one more, or one changed.

        Parameters
        ----------
        group : {"general", "starts", "ingredients", "cells"}
            What it is about.
        name : str or tuple of str
            The question's key, the batch, the name, or heading, text and row of the cell.
        text : str
            The answer; nothing leaves it open.
        """
        given: dict[str, Any] = {group: {**getattr(self, group), name: text}}
        return replace(self, **given)

    def with_column(self, at: int, name: str, text: str) -> "Answers":
        """Return these answers with one column taken for something else.

        Parameters
        ----------
        at : int
            The column's place, from 0.
        name : str
            What of its plan changes; with `to`, the rest of the plan begins anew, and with `kind`
            the name of what it is, since a sugar is no honey.
        text : str
            What it changes to.
        """
        plan = self.columns[at]
        match name:
            case "to":
                new = ColumnPlan(plan.heading, text, plan.unit)
            case "kind":
                new = plan._replace(kind=text, ingredient="")
            case _:
                new = plan._replace(**{name: text})
        return replace(self, columns=(*self.columns[:at], new, *self.columns[at + 1 :]))

    def of(self, key: str) -> str:
        """Return an answer; nothing if it is open or is to be left so."""
        answer = self.general.get(key, "").strip()
        return "" if answer == LEAVE else answer

    def of_cell(self, heading: str, written: str, row: str) -> str:
        """Return what to read in place of a cell, or nothing."""
        own = self.cells.get((heading, written, row), "").strip()
        answer = own or self.cells.get((heading, written, ""), "").strip()
        return "" if answer == LEAVE else answer
