"""Where a sheet's heading is: not always on the first line, sometimes on two.

The heading is the line whose cells are best known as names of columns. Two lines are read as one
heading if together they name more than either alone and the second holds no data.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from pipeline.errors import LogbookError
from pipeline.logbook.decoding import readable
from pipeline.logbook.importing.ingredients import identify
from pipeline.logbook.importing.moments import is_date_like, when_of
from pipeline.logbook.importing.vocabulary import heading_unit, read_name

Line = tuple[int, Sequence[str]]
_LONGEST_HEADING = 60  # [letters] longer cells are sentences


# Signs that nobody types and that no text file holds on purpose.
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def shown(text: str) -> str:
    """Return a text with the signs that cannot be shown written out by their numbers."""
    return CONTROL.sub(lambda found: f"\\x{ord(found[0]):02x}", readable(text))


class HeadingPlace(NamedTuple):
    """The heading's text per column and the lines it stands on."""

    heading: tuple[str, ...]
    lines: tuple[int, ...]
    last_line: int

    @property
    def first_line(self) -> int:
        """Return the first of its lines."""
        return self.lines[0]


def is_known(cell: str) -> bool:
    """Return whether a cell reads as the name of a column."""
    text = cell.strip()
    if not text or len(text) > _LONGEST_HEADING or _is_number(text):
        return False
    if read_name(text).concept is not None:
        return True
    when = when_of(text)
    if when is not None:
        return not when.rest or read_name(when.rest).concept is not None
    return bool(identify(read_name(text).words).kind)


def _is_number(text: str) -> bool:
    return not any(letter.isalpha() for letter in text) and not is_date_like(text)


def known_cells(cells: Sequence[str]) -> int:
    """Return how many cells of a line read as names of columns."""
    return len({cell.strip().lower() for cell in cells if is_known(cell)})


def find_heading(lines: Sequence[Line], name: str) -> HeadingPlace:
    """Find the heading among the first records of a sheet.

    Raises
    ------
    LogbookError
        If there is no line with two texts that could name columns.
    """
    best, best_score = None, 0.0
    for at, (line, cells) in enumerate(lines):
        score = _score(cells)
        if score > best_score:
            best, best_score = _place(lines, at, [cells], [line]), score
        both = _joined(cells, lines[at + 1][1]) if at + 1 < len(lines) else []
        if both and _may_be_second(lines[at + 1][1], both):
            joint = _score(both) + (0.5 if _only_units(lines[at + 1][1]) else -0.5)
            if joint > best_score and joint > _score(lines[at + 1][1]):
                best = _place(lines, at + 1, [both], [line, lines[at + 1][0]])
                best_score = joint
    best = best or _first_texts(lines)
    if best is None:
        raise LogbookError(
            f"{name} has no line that names its columns. Put the names of the columns, such as "
            "batch, date, gravity, above the first row."
        )
    return best


def _score(cells: Sequence[str]) -> float:
    """Return how well a line names columns: known names, less what looks like data."""
    known = known_cells(cells)
    data = sum(_is_number(cell.strip()) for cell in cells if cell.strip())
    return known - data if known >= 2 or (known == 1 and len(cells) <= 2) else 0.0


def _may_be_second(lower: Sequence[str], both: Sequence[str]) -> bool:
    """Whether a line may be the lower half of a heading: units or names, no data."""
    pairs = [
        (cell.strip(), joined) for cell, joined in zip(lower, both, strict=False) if cell.strip()
    ]
    return bool(pairs) and all(
        is_known(cell) or is_known(joined) or bool(heading_unit(cell.strip("()[] ")))
        for cell, joined in pairs
    )


def _only_units(cells: Sequence[str]) -> bool:
    return all(heading_unit(cell.strip("()[] ")) for cell in cells if cell.strip())


def _joined(upper: Sequence[str], lower: Sequence[str]) -> list[str]:
    """Join two lines; a merged cell of the upper one stands over the blanks to its right."""
    joined, over = [], ""
    for at in range(max(len(upper), len(lower))):
        top = upper[at].strip() if at < len(upper) else ""
        bottom = lower[at].strip() if at < len(lower) else ""
        over = top or (over if bottom else "")
        both = f"{over} {bottom}".strip()
        # A name of its own below a merged cell's end: the merged cell does not reach it.
        joined.append(bottom if not top and is_known(bottom) and not is_known(both) else both)
    return joined


def _place(lines: Sequence[Line], at: int, heading: list, numbers: list[int]) -> HeadingPlace:
    texts = [shown(" ".join(cell.split())) for cell in heading[0]]
    while texts and not texts[-1]:
        texts.pop()
    last = lines[at + 1][0] - 1 if at + 1 < len(lines) else lines[at][0]
    return HeadingPlace(tuple(texts), tuple(numbers), max(last, lines[at][0]))


def _first_texts(lines: Sequence[Line]) -> HeadingPlace | None:
    """Return the first line of several words and no numbers, where no name is known."""
    for at, (line, cells) in enumerate(lines):
        filled = [cell.strip() for cell in cells if cell.strip()]
        if len(filled) > 1 and not any(_is_number(cell) for cell in filled):
            return _place(lines, at, [cells], [line])
    return None
