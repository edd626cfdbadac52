"""The problems of a logbook for a printed page: a row a kind of problem, with one as example."""

import polars as pl

from pipeline.show.listing import Listing
from pipeline.show.words_doubts import sentence

_LEVELS = ("error", "warning", "notice")


def kinds_listing(problems: pl.DataFrame) -> Listing:
    """Return the problems, those alike in one row: what was set aside first, then the rare ones.

    Parameters
    ----------
    problems : polars.DataFrame
        The cellar's.
    """
    kinds = (
        problems.sort("file", "line")
        .group_by("level", "file", "rule", maintain_order=True)
        .agg(pl.len().alias("alike"), pl.col("line", "value", "message", "hint").first())
        .sort(pl.col("level").cast(pl.Enum(_LEVELS)), "alike", maintain_order=True)
    )
    rows = [
        (
            row["file"],
            "" if row["line"] is None else str(row["line"]),
            row["value"] or "",
            sentence(row["message"]) + _more(row["alike"]),
            sentence(row["hint"]) if row["hint"] else "",
        )
        for row in kinds.iter_rows(named=True)
    ]
    headings = ("file", "line", "cell", "what is wrong", "what to do")
    return Listing(headings, rows, left=headings)


def _more(alike: int) -> str:
    return f" And {alike - 1} more like it." if alike > 1 else ""
