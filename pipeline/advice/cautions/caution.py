"""One thing that can hurt somebody: when it is said, where on a plan, and whom it defers to."""

from collections.abc import Callable
from dataclasses import dataclass

from pipeline.advice.cautions.circumstances import Circumstances

Trigger = Callable[[Circumstances], bool]


@dataclass(frozen=True)
class Caution:
    """One thing that can hurt somebody.

    Parameters
    ----------
    trigger : str
        Name of what sets it off.
    is_due : callable
        Tells from the circumstances whether it is set off.
    text : str
        What can happen and what to do, in a maker's words.
    defers_to : str
        Who knows better and has the last word.
    at : tuple of str
        The steps of a plan (`pipeline.advice.sheet.texts`) at which it is to be read, the first of
        them that a plan has; none if it concerns the whole.
    """

    trigger: str
    is_due: Trigger
    text: str
    defers_to: str
    at: tuple[str, ...] = ()

    def as_text(self) -> str:
        """Return the caution as it is shown."""
        return f"{self.text} {self.defers_to}"

    def as_dict(self) -> dict[str, str]:
        """Return the caution as commands print it; `text` is complete by itself."""
        return {"code": self.trigger, "text": self.as_text(), "defers_to": self.defers_to}
