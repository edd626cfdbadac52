"""What stands between the cells of a file, told from its lines and its heading together."""

import re
from collections import Counter

from pipeline.logbook.importing.finding_headings import known_cells
from pipeline.logbook.records import split_line

DELIMITERS = (",", ";", "\t", "|")
_SAID = re.compile(r'"?sep=(.)"?', re.IGNORECASE)
_LOOKED_AT = 40


def said_delimiter(lines: list[str]) -> tuple[int, str | None]:
    """Return where the data begin and the delimiter that a `sep=;` line names."""
    if lines and (match := _SAID.fullmatch(lines[0].strip(" \t\ufeff"))):
        return 1, match[1]
    return 0, None


def most_cells(lines: list[str]) -> int:
    """Return the most cells that a line near the top has, whatever stands between them."""
    return max(
        (line.count(mark) + 1 for line in lines[:_LOOKED_AT] for mark in DELIMITERS), default=0
    )


def find_delimiter(lines: list[str]) -> str:
    """Return the delimiter under which most headings are known and most lines agree.

    Never told from the rows alone: in a file with decimal commas those agree on commas as well.
    """
    looked_at = [line for line in lines[:_LOOKED_AT] if line.strip()]
    return max(DELIMITERS, key=lambda mark: _fit(looked_at, mark))


def _fit(lines: list[str], delimiter: str) -> tuple[int, int]:
    split = [split_line(line, delimiter) for line in lines]
    known = max((known_cells(cells) for cells in split if len(cells) > 1), default=0)
    widths = Counter(len(cells) for cells in split if len(cells) > 1)
    width, agreeing = widths.most_common(1)[0] if widths else (1, 0)
    return known, agreeing * (width - 1)
