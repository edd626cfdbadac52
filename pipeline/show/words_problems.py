"""What the logs got wrong, in sentences and as a table."""

from collections.abc import Sequence

import polars as pl

from pipeline.counts import counted
from pipeline.show.faults import LEVELS, FaultyRow, waiting
from pipeline.show.listing import Listing
from pipeline.show.measures import capital, joined
from pipeline.show.words_doubts import sentence
from pipeline.show.words_rules import rule_words

LEVEL_WORDS = {
    "error": "set aside",
    "warning": "loaded, but look",
    "notice": "for your information",
}
BASIS = (
    "What cannot be read is set aside and counted as unknown, never guessed; everything else is in "
    "the answers. Nothing is written until you press the button. Then one cell changes and every "
    "other byte of the file stays; its last version is kept beside it, ending in .bak."
)


def problems_answer(problems: pl.DataFrame, files: pl.DataFrame) -> str:
    """Answer 'What did the logs get wrong?' in one sentence."""
    read, aside = (int(files[name].sum()) for name in ("rows_read", "rows_set_aside"))
    look = problems.filter(pl.col("level") == "warning").height
    if not read:
        return "The logbook has no rows yet, so nothing in it can be wrong."
    if not aside and not look:
        return f"All {counted(read, 'row')} could be read, and nothing in them looks odd."
    parts = [f"{counted(aside, 'row')} of {read} could not be used"] if aside else []
    parts += [f"{counted(look, 'cell')} {'wants' if look == 1 else 'want'} a look"] if look else []
    return f"{capital(joined(parts))}."


def waiting_line(problems: pl.DataFrame) -> str:
    """Say how many rows only wait for their batch; empty if none."""
    rows = waiting(problems)
    if not rows:
        return ""
    wait = "waits" if rows == 1 else "wait"
    return f"{counted(rows, 'row')} only {wait} for the row of the batch to be put right."


def fault_counts(problems: pl.DataFrame) -> pl.DataFrame:
    """Count the problems by what is wrong: ``fault``, ``level`` in words, ``times``.

    Parameters
    ----------
    problems : polars.DataFrame
        The cellar's.
    """
    return (
        problems.group_by("rule", "level")
        .agg(times=pl.len())
        .sort(pl.col("level").cast(pl.Enum(LEVELS)), -pl.col("times").cast(pl.Int64), "rule")
        .select(
            fault=pl.col("rule").map_elements(rule_words, return_dtype=pl.String),
            level=pl.col("level").replace_strict(LEVEL_WORDS, return_dtype=pl.String),
            times="times",
        )
    )


def counts_title(counts: pl.DataFrame) -> str:
    """Name the fault met most often."""
    row = counts.sort("times", descending=True, maintain_order=True).row(0, named=True)
    return f"Most often: {row['fault']}, {_times(row['times'])}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def choices(problems: pl.DataFrame, column: str) -> list[str]:
    """Return what the problems can be narrowed to, as they stand in the column."""
    found = problems[column].unique().to_list()
    if column == "level":
        return [level for level in LEVELS if level in found]
    return sorted(found, key=rule_words if column == "rule" else str)


def place(row: FaultyRow) -> str:
    """Head a row: its file and line."""
    return f"{row.file}, line {row.line}" if row.line else row.file


def fault_lines(row: FaultyRow) -> list[str]:
    """Say what is wrong with a row, each with what to type instead."""
    return [_fault(problem) for problem in row.problems]


def _fault(problem: dict) -> str:
    where = f"{problem['column']}: " if problem["column"] else ""
    instead = f" Instead: {problem['hint']}" if problem["hint"] else ""
    said = f"{where}{sentence(problem['message'])}{instead}"
    return f"{said.rstrip('.')} ({LEVEL_WORDS[problem['level']]})."


def place_lines(problems: pl.DataFrame) -> list[str]:
    """Say where each problem is and what is wrong, one line each."""
    return [_left(problem) for problem in problems.iter_rows(named=True)]


def shown_cells(row: FaultyRow) -> list[tuple[str, str, bool]]:
    """Return a row's columns, cells and whether each is at fault; empty ones only if they are."""
    marked = set(row.marked)
    return [
        (column, cell or "(empty)", column in marked)
        for column, cell in row.cells.items()
        if cell or column in marked
    ]


def mend_elsewhere(row: FaultyRow) -> str:
    """Say where a row is mended that cannot be written to from here; empty if it can."""
    if row.is_mendable():
        return ""
    if "/" in row.file:
        return "Mend it in the spreadsheet program and save the workbook; it is read again."
    if row.line is None or row.is_csv:
        return f"Mend it in {row.file} itself and save it; it is read again."
    return f"Mend {row.file} in a text editor and save it; it is read again."


def mended_answer(row_place: str, column: str, now: str, left: Sequence[dict]) -> str:
    """Say that a cell was written, and what is still to say about it.

    Parameters
    ----------
    row_place : str
        As `place` says it.
    column : str
        The mended column; empty for a whole row.
    now : str
        What it says now.
    left : sequence of dict
        Problems of the row, or that the change brought.
    """
    said = f"{column} is now {now or 'empty'}" if column else "the row was typed anew"
    written = f"Written: {row_place}, {said}."
    if not left:
        return f"{written} Nothing is wrong with that row any more."
    return f"{written} Still to look at: {' '.join(_left(problem) for problem in left)}"


def refused_answer(reasons: Sequence[dict]) -> str:
    """Say why a cell was not written."""
    return f"Not written. {' '.join(_left(reason) for reason in reasons[:_REASONS])}"


_REASONS = 4  # problems named; with one batch many rows may fall


def _left(problem: dict) -> str:
    line = f" line {problem['line']}" if problem["line"] else ""
    column = f", {problem['column']}" if problem["column"] else ""
    instead = f" Instead: {sentence(problem['hint'])}" if problem["hint"] else ""
    return f"{problem['file']}{line}{column}: {sentence(problem['message'])}{instead}"


def problems_listing(problems: pl.DataFrame) -> Listing:
    """One row per problem: where, what stands there, what is wrong, what to type."""
    headings = ("where", "line", "column", "as written", "what is wrong", "instead", "which is")
    rows = [
        (
            row["file"],
            str(row["line"] or ""),
            row["column"] or "",
            row["value"] or "",
            sentence(row["message"]),
            row["hint"] or "",
            LEVEL_WORDS[row["level"]],
        )
        for row in problems.iter_rows(named=True)
    ]
    return Listing(headings, rows, left=headings)
