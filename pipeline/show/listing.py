"""A table for people, as text: the terminal and the page print the same one."""

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.show.console import table

__all__ = ["Listing", "print_listing"]


@dataclass(frozen=True)
class Listing:
    """Headings and rows of finished text.

    Parameters
    ----------
    headings : sequence of str
        One per column; the first column names the row.
    rows : sequence of sequence of str
        As people read them: rounded, with units.
    left : sequence of str
        Headings of columns that hold words rather than numbers.
    """

    headings: Sequence[str]
    rows: Sequence[Sequence[str]] = ()
    left: Sequence[str] = ()

    def without_empty_columns(self) -> "Listing":
        """Return the listing without columns that say nothing in any row."""
        said = [at for at in range(len(self.headings)) if any(row[at].strip() for row in self.rows)]
        if len(said) == len(self.headings):
            return self
        return Listing(
            [self.headings[at] for at in said],
            [[row[at] for at in said] for row in self.rows],
            self.left,
        )


def print_listing(listing: Listing) -> None:
    """Print a listing on the terminal; nothing if it has no rows."""
    if listing.rows:
        shown = listing.without_empty_columns()
        table(shown.headings, shown.rows, left=shown.left)
