"""Printing for people: one console, one table look."""

from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.markup import escape

from pipeline.show.terminal import printable

__all__ = ["escape", "out", "table"]


def out(text: str = "") -> None:
    """Print a line; `[b]…[/b]` is bold where the terminal can. Escape what people typed."""
    Console(highlight=False, soft_wrap=False, emoji=False).print(printable(text))


def table(
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    left: Sequence[str] = (),
    title: str = "",
) -> None:
    """Print a table, numbers to the right, the columns named in `left` to the left."""
    # What `check`, which shall answer at once, does without.
    from rich import box
    from rich.table import Table

    grid = Table(box=box.SIMPLE_HEAD, title=title or None, title_justify="left", pad_edge=False)
    for heading in headings:
        is_text = heading in left or heading == headings[0]
        grid.add_column(printable(heading), justify="left" if is_text else "right", overflow="fold")
    for row in rows:
        grid.add_row(*(escape(printable(cell)) for cell in row))
    Console(highlight=False, emoji=False).print(grid)
