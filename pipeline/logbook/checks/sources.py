"""What is odd about a file as a whole: its form, its encoding, columns nobody knows."""

import difflib

import polars as pl

from pipeline.logbook.checks.rows import ragged_problem
from pipeline.logbook.contract import column_names
from pipeline.logbook.decoding import DAMAGED
from pipeline.logbook.problems import Problem, found, problem_frame
from pipeline.logbook.table import SourceTable

_SAMPLES = 3


def source_problems(table: SourceTable) -> pl.DataFrame:
    """Return the problems of a file's form."""
    width = len(table.headings)
    problems = [
        ragged_problem(table.file, row.line, row.raw, row.fault, width, len(row.cells))
        for row in table.ragged
    ]
    return pl.concat(
        [
            problem_frame(problems + unknown_columns(table) + guessed_encoding(table)),
            damaged_letters(table),
        ]
    )


def unknown_columns(table: SourceTable) -> list[Problem]:
    """Find columns that the contract does not have; they are kept as written."""
    problems = []
    for heading in table.headings:
        if heading.is_known or not heading.name:
            continue
        close = difflib.get_close_matches(
            heading.name.lower().replace(" ", "_"), column_names(table.name), n=1, cutoff=0.7
        )
        problems.append(
            Problem(
                "notice",
                table.file,
                1,
                heading.name,
                heading.written,
                "unknown-column",
                "this column is kept as written and not used",
                close[0] if close else None,
            )
        )
    return problems


def guessed_encoding(table: SourceTable) -> list[Problem]:
    """Show some letters to be confirmed: Windows-1252 is a guess among Latin encodings."""
    if not table.is_encoding_guessed:
        return []
    samples = [cell for cell in _accented(table.cells)][:_SAMPLES]
    return [
        Problem(
            "notice",
            table.file,
            None,
            None,
            ", ".join(samples) or None,
            "encoding-guessed",
            f"the file is not UTF-8 and was read as {table.encoding}; check that these cells look "
            "right",
            "save it as UTF-8 if they do not",
        )
    ]


def _accented(cells: pl.DataFrame) -> list[str]:
    found_cells: list[str] = []
    for column in cells.columns[1:]:
        odd = cells[column].drop_nulls()
        found_cells.extend(odd.filter(odd.str.contains(r"[^\x00-\x7f]")).head(_SAMPLES).to_list())
    return found_cells


def damaged_letters(table: SourceTable) -> pl.DataFrame:
    """Find replacement signs: letters that some program lost before the file came here."""
    if not table.has_damage:
        return problem_frame()
    parts = [problem_frame()]
    for column in table.cells.columns[1:]:
        odd = table.cells.filter(pl.col(column).str.contains(DAMAGED, literal=True))
        if odd.is_empty():
            continue
        parts.append(
            found(
                odd,
                level="warning",
                file=table.file,
                column=column,
                rule="damaged-letter",
                message=f"the sign {DAMAGED} stands where another program lost a letter",
                hint="retype the cell",
            )
        )
    return pl.concat(parts)
