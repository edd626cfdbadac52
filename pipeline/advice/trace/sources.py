"""What a working is called by, and where it is from: the function or the SQL file, and its source.

A function's sources are those that its own docstring cites, else those of its module: they stand
there once and are only quoted here.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable
from functools import cache

from pipeline.advice.trace.rules import Formula
from pipeline.cellar.build import sql_files
from pipeline.cellar.comments import column_comments

ARITHMETIC = "arithmetic on the logbook's own entries"
# Tables of the mart, the earliest first: a number is made where it first stands.
TABLES = (
    *("must_amounts", "must_liquids", "must_targets", "fermentations", "musts", "batches"),
    *("must_fruits", "liquid_changes"),
)
_MARKS = re.compile(r" ?\[\d+\]_|[`*]")  # footnotes and marks that mean nothing outside a docstring
_ENTRY = re.compile(r"^\.\. \[(\d+)\] (.*?)(?=^\.\. \[|^\S|\Z)", re.M | re.S)


def name_of(function: Formula) -> str:
    """Return a function's name as it is imported, without the package's."""
    return f"{function.__module__.removeprefix('pipeline.')}.{function.__name__}"


@cache
def source_of(function: Formula) -> str:
    """Return the sources of a function: those it cites, else all of its module's."""
    module = inspect.getdoc(inspect.getmodule(function)) or ""
    entries = {number: " ".join(text.split()) for number, text in _ENTRY.findall(module)}
    cited = re.findall(r"\[(\d+)\]_", inspect.getdoc(function) or "")
    chosen = [entries[number] for number in dict.fromkeys(cited) if number in entries]
    texts = chosen or list(entries.values()) or [ARITHMETIC]
    return " ".join(_MARKS.sub("", text) for text in texts)


@cache
def file_of_table(table: str) -> str:
    """Return the SQL file that makes a table."""
    return f"sql/{sql_files([table])[0].name}"


def unit_of(measure: str) -> str:
    """Return the unit of a measure as the cellar's dictionary has it; empty for a plain number."""
    name = measure.partition(" of ")[0]
    return _units().get(name) or _UNITS.get(name, "")


@cache
def _units() -> dict[str, str | None]:
    anywhere = column_comments().sort("table", nulls_last=True)
    return dict(anywhere.select("column", "unit").iter_rows())


# Workings on the way that no table keeps.
_UNITS = {
    "sugar_at_start_g_l": "g/L",
    "sugar_in_all_g_l": "g/L",
    "undiluted_extract_g_l": "g/L",
    "undiluted_sugar_g_l": "g/L",
    "weighed_kg": "kg",
    "net_l": "L",
}


def joined_sources(texts: Iterable[str]) -> str:
    """Return sources once each, in order."""
    return "; ".join(dict.fromkeys(text for text in texts if text))
