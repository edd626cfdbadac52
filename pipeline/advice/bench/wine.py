"""One wine as its readings know it, and what must be said when a reading is missing."""

from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from pipeline.learning.estimate import Doubt, Estimate

_T = TypeVar("_T")


def known(value: _T | None) -> _T:
    """Return a reading that `Wine.lacks` has said to be there."""
    if value is None:
        raise ValueError("a reading must be asked after with Wine.lacks before it is used")
    return value


@dataclass(frozen=True)
class Reading:
    """The newest reading of one kind, and where it stands in the logbook."""

    value: float
    taken_on: date
    file: str
    line: int
    error: float = 0.0

    def as_dict(self) -> dict[str, Any]:
        """Return the reading as commands print it; file and line tell where it comes from."""
        return {
            "value": self.value,
            "taken_on": self.taken_on.isoformat(),
            "file": self.file,
            "line": self.line,
        }


@dataclass(frozen=True)
class Refusal:
    """A question that cannot be answered, why, and what would let it be."""

    question: str
    why: str
    next_step: str

    def as_dict(self) -> dict[str, str]:
        """Return the refusal as commands print it."""
        return {"question": self.question, "why": self.why, "next_step": self.next_step}


@dataclass(frozen=True)
class Wine:
    """What is known of one batch now.

    Parameters
    ----------
    batch_id, name, state : str
        As in the cellar.
    volume, gravity, ph, acidity, free_so2 : Reading or None
        Newest of each [L], SG, pH, [g/L as tartaric], [mg/L]; None if it was never read, or if
        something added since has changed it.
    alcohol, sugar : Estimate or None
        [% vol] and [g/L]; None if the start is unknown.
    so2_added_mg_l, sorbic_added_mg_l : float or None
        Logged so far; None if a row was set aside.
    faults : frozenset of str
        What tasters found.
    doubts : tuple of Doubt
    """

    batch_id: str
    name: str
    state: str
    volume: Reading | None
    gravity: Reading | None
    alcohol: Estimate | None
    sugar: Estimate | None
    ph: Reading | None
    acidity: Reading | None
    free_so2: Reading | None
    so2_added_mg_l: float | None = 0.0
    sorbic_added_mg_l: float | None = 0.0
    faults: frozenset[str] = frozenset()
    doubts: tuple[Doubt, ...] = ()

    def lacks(self, question: str, *readings: str) -> Refusal | None:
        """Return why a question cannot be answered, or None if every reading it needs is there."""
        for name in readings:
            if getattr(self, name) is None:
                why, next_step = _MISSING[name]
                return Refusal(question, f"{self.batch_id} {why}", next_step)
        return None


_LOG_IT = "Log it in readings.csv and ask again."
_MISSING = {
    "volume": (
        "has no volume logged",
        "Measure how much wine there is and say it with --volume, or log the next racking.",
    ),
    "gravity": ("has no usable gravity", f"Read the hydrometer at a known warmth. {_LOG_IT}"),
    "alcohol": (
        "has no known strength, because its gravity at the start, or something that changed it, "
        "is missing",
        "Nothing at home can make up for that now; a laboratory can. Next time read the gravity "
        "before the yeast goes in.",
    ),
    "sugar": (
        "has no known sugar: it takes gravity and strength together, and one of them is missing",
        "Go by the bench trial's taste alone, and treat the wine as sweet when you bottle it.",
    ),
    "ph": (
        "has no pH that still holds, and how much sulphite or sorbate protects hangs on the pH",
        f"Measure the pH with a meter or with strips for wine. {_LOG_IT}",
    ),
    "acidity": (
        "has no acidity that still holds",
        f"Titrate a sample. {_LOG_IT}",
    ),
}
