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


def print_listing(listing: Listing) -> None:
    """Print a listing on the terminal; nothing if it has no rows."""
    if listing.rows:
        table(listing.headings, listing.rows, left=listing.left)
