"""The first line of a file: where it is, what stands between its cells, what its columns mean."""

import re
from typing import NamedTuple

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.decoding import readable
from pipeline.logbook.limits import refuse_many_columns
from pipeline.logbook.records import split_line, split_lines
from pipeline.logbook.units import Unit, find_unit

DELIMITERS = (",", ";", "\t")
_SEPARATOR_LINE = re.compile(r'"?sep=(.)"?', re.IGNORECASE)
_STANDS_FOR_OTHERS = re.compile(r"\*|\^.*\$", re.DOTALL)  # to polars, as a column's name
_MOST_NAMED, _MOST_LETTERS = 20, 60  # in a sentence
_HEADING_UNIT = re.compile(r"^(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^)\]]+?)\s*[)\]]$")


class Heading(NamedTuple):
    """One column as its heading names it; `unit` if the heading says one."""

    name: str
    written: str
    unit: Unit | None = None
    is_known: bool = True


def find_heading(text: str, name: str, file: str) -> tuple[int, str]:
    """Return the index of the heading line and the delimiter it uses.

    Raises
    ------
    LogbookError
        If the file holds no line, or more columns than any logbook.
    """
    at = 0
    for line in _first_lines(text):
        if (separator := _SEPARATOR_LINE.fullmatch(line.strip())) is not None and at == 0:
            # Some spreadsheets say on a line of its own which delimiter follows.
            at += 1
            if separator[1] not in DELIMITERS:
                break
            continue
        if line.strip():
            refuse_many_columns(max(map(line.count, DELIMITERS)) + 1, file)
            return at, max(DELIMITERS, key=lambda mark: _known_columns(line, mark, name))
        at += 1
    raise LogbookError(
        f"{file} is empty. Its first line must name the columns: "
        f"{', '.join(required_columns(name))}."
    )


def _first_lines(text: str) -> list[str]:
    return split_lines(text[:100_000])


def _known_columns(line: str, delimiter: str, name: str) -> tuple[int, int]:
    cells = split_line(line, delimiter)
    known = sum(contract_name(cell)[0] in column_names(name) for cell in cells)
    return known, len(cells)


def required_columns(name: str) -> list[str]:
    """Return the columns a file cannot do without."""
    return [column.name for column in FILES[name] if column.is_required]


def contract_name(written: str) -> tuple[str, Unit | None]:
    """Return a heading's contract name and the unit it says, as in `volume (L)`."""
    text = written.strip()
    unit = None
    if (match := _HEADING_UNIT.match(text)) is not None and (unit := find_unit(match["unit"])):
        text = match["name"]
    return "_".join(text.lower().replace("-", " ").replace("_", " ").split()), unit


def read_headings(written: list[str], name: str, file: str) -> tuple[Heading, ...]:
    """Match the heading of a file to the contract.

    Raises
    ------
    LogbookError
        If a required column is missing or a column of the contract stands there twice.
    """
    headings = tuple(_heading(readable(text), name) for text in _without_empty_end(written))
    known = [heading.name for heading in headings if heading.is_known]
    missing = [column for column in required_columns(name) if column not in known]
    if missing:
        raise LogbookError(
            f"{file} must have the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}; "
            f"its first line names {_listed(headings)}. "
            f"All of these are needed: {', '.join(required_columns(name))}."
        )
    twice = sorted({column for column in known if known.count(column) > 1})
    if twice:
        raise LogbookError(
            f"{file} names the column {', '.join(twice)} twice, and only one can be meant. "
            "Rename or remove one of them."
        )
    return headings


def _listed(headings: tuple[Heading, ...]) -> str:
    """Return the headings of a file for a sentence, the first of them if they are many."""
    shown = [heading.written[:_MOST_LETTERS] for heading in headings[:_MOST_NAMED]]
    more = len(headings) - len(shown)
    return (", ".join(shown) or "none") + (f" and {more} more" if more else "")


def _without_empty_end(written: list[str]) -> list[str]:
    kept = list(written)
    while kept and not kept[-1].strip():
        kept.pop()
    return kept


def _heading(written: str, name: str) -> Heading:
    column, unit = contract_name(written)
    if column in column_names(name):
        return Heading(column, written, unit)
    return Heading(written.strip(), written, None, is_known=False)


def unique_names(headings: tuple[Heading, ...]) -> list[str]:
    """Return the raw layer's column names: unknown ones as written, numbered where they collide.

    So is a heading such as ``*``, which the frame library would take for all columns.
    """
    names: list[str] = []
    for position, heading in enumerate(headings, start=1):
        name = heading.name or f"column {position}"
        taken = {"line", "is_set_aside", *names, *(h.name for h in headings if h.is_known)}
        is_free = name not in taken and not _STANDS_FOR_OTHERS.fullmatch(name)
        names.append(name if heading.is_known or is_free else f"{name} ({position})")
    return names
