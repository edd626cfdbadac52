"""Sheets with their names down the first column, one column a batch: turned, then read."""

from collections.abc import Sequence
from typing import NamedTuple

from pipeline.logbook.importing.finding_headings import (
    HeadingPlace,
    Line,
    is_known,
    known_cells,
    shown,
)
from pipeline.logbook.importing.vocabulary import read_name
from pipeline.logbook.records import Record

_FEWEST = 4  # [names] fewer down a column may be chance: words for days or steps occur in notes


_OF_A_BATCH = ("batch_id", "started_on", "gravity_start", "gravity_end", "bottled_on")


class Turned(NamedTuple):
    """A sheet on its side: the heading, a record per column, and the lines that are titles.

    `line` of a record is the number of its column.
    """

    place: HeadingPlace
    found: list[Record]
    titles: list[Line]


def turn(lines: Sequence[Line]) -> Turned | None:
    """Turn a sheet whose first column names what stands beside it; None if it is none.

    Parameters
    ----------
    lines : sequence of (line, cells)
        Every filled record of the sheet, equally wide.
    """
    named = [(line, cells) for line, cells in lines if any(cell.strip() for cell in cells[1:])]
    down = [cells[0] for _, cells in named if cells]
    if not named or not _is_turned(down, named[0][1]):
        return None
    width = max(len(cells) for _, cells in named)
    heading = tuple(shown(" ".join(text.split())) for text in down)
    columns = [
        tuple(cells[at] if at < len(cells) else "" for _, cells in named) for at in range(1, width)
    ]
    found = [Record(at, cells, " | ".join(cells)) for at, cells in enumerate(columns, start=2)]
    place = HeadingPlace(heading, (1,), 1)
    alone = [(line, cells) for line, cells in lines if (line, cells) not in named]
    return Turned(place, found, [one for one in alone if not is_known(one[1][0])])


def _is_turned(down: Sequence[str], top: Sequence[str]) -> bool:
    """Whether the first column names what only a batch has, and the top line only its first cell.

    A first column of ingredients is no heading on its side.
    """
    known = known_cells(down)
    concepts = {read_name(text).concept for text in down}
    return (
        known >= _FEWEST
        and 2 * known >= len(down)
        and any(concept in _OF_A_BATCH for concept in concepts)
        and not any(read_name(cell).concept for cell in top[1:] if cell.strip())
    )
