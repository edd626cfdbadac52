"""What one person is in the middle of: forms being filled in, old notes being looked through.

A second click may arrive while the first is still being written, in a thread of its own. So every
form carries the number of its turn, the turn ends with the writing, and both happen under one lock:
a click that belongs to a turn that is over writes nothing.
"""

from dataclasses import dataclass, field
from threading import Lock
from typing import Any

import streamlit as st

from pipeline.logbook.importing import Answers, Brought

_NAME = "desk"


@dataclass
class Told:
    """What became of the last thing written: a sentence, and what there is to add.

    Attributes
    ----------
    is_written : bool
        Whether it was written.
    kind : str
        Of which form, such as ``reading``.
    text : str
        The sentence.
    lines : list of str
        Reasons why not, or what the row made doubtful.
    """

    is_written: bool
    kind: str
    text: str
    lines: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Looked:
    """Old notes as they were looked through last.

    Attributes
    ----------
    state : str
        What they were and what was answered; it changes with either.
    brought : list of Brought
        The sheets.
    refusals : list of str
        Why a file could not be read.
    """

    state: str = ""
    brought: list[Brought] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)


@dataclass
class Notes:
    """Old notes on their way in.

    Attributes
    ----------
    said : dict
        The maker's answers, by the sheet's name and heading.
    codecs : dict
        By the file's name, the encoding that the maker has confirmed.
    asked : dict
        By sheet, what was ever open: an answer can be changed again.
    looked : Looked
        What came of it the last time.
    told : Told, optional
        What became of the last attempt to write.
    turn : int
        How often notes have been written.
    written : list of dict
        The sheets as they were written.
    """

    said: dict[tuple[str, str], Answers] = field(default_factory=dict)
    codecs: dict[str, str] = field(default_factory=dict)
    asked: dict[tuple[str, str], dict[str, dict[Any, Any]]] = field(default_factory=dict)
    looked: Looked = field(default_factory=Looked)
    told: Told | None = None
    turn: int = 0
    written: list[dict] = field(default_factory=list)


@dataclass
class Desk:
    """One person's unfinished business.

    Attributes
    ----------
    lock : threading.Lock
        Held while something is written.
    turn : int
        How many entries have been written; a form belongs to one turn.
    batch_id : str
        The batch of the last entry.
    batches : dict
        By form, the batches to choose from in the order and words they were first shown in. A
        choice goes by its words: were they to change while somebody fills in a form, another batch
        would stand chosen.
    recipe : str
        The recipe that the last line was written for: the next line is usually of the same.
    first_tab : str
        The form that was open at first; kept, so that a written row does not turn the page over.
    told : Told, optional
        What became of the last entry.
    notes : Notes
        Old notes on their way in.
    """

    lock: Lock = field(default_factory=Lock)
    turn: int = 0
    batch_id: str = ""
    batches: dict[str, dict[str, str]] = field(default_factory=dict)
    recipe: str = ""
    first_tab: str = ""
    told: Told | None = None
    notes: Notes = field(default_factory=Notes)


def desk() -> Desk:
    """Return this person's desk, empty at first."""
    return st.session_state.setdefault(_NAME, Desk())
