"""The mapping file: a plan and its answers as TOML that is easy to read and to edit by hand."""

import json
import tomllib
from collections.abc import Iterator
from typing import Any

from pipeline.errors import LogbookError
from pipeline.logbook.contract import KINDS, STEPS
from pipeline.logbook.importing.evidence import column_evidence
from pipeline.logbook.importing.plan import Answers, ColumnPlan, Question, targets
from pipeline.logbook.importing.proposing import OpenCell, Proposal
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.limits import refuse_long_lines

_HEAD = """\
# How hedgerow reads the sheet "{name}".
#
# Change what is wrong, answer what is empty (""), save, and give the same command again.
# What stays empty is held back: it is listed in the report and never guessed.
# The next sheet with the same heading is read by this file without a question.
"""
_COLUMN_KEYS = ("unit", "kind", "ingredient", "step", "when", "basis")
_WIDTH = 98
_MOST = 1000  # parts of a name, between dots


def quoted(text: str) -> str:
    """Return a text as a TOML string."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def write_mapping(proposal: Proposal, answers: Answers) -> str:
    """Return the text of a mapping file."""
    sheet = proposal.sheet
    parts = [
        _HEAD.format(name=sheet.name),
        f"fingerprint = {quoted(sheet.fingerprint)}",
        f"sheet = {quoted(sheet.name)}",
        '# "batches": one row is one batch; "entries": one row is one addition, reading or glass.',
        f"layout = {quoted(answers.layout)}",
        *_questions(proposal, answers),
        *_starts(proposal, answers),
        *_ingredients(proposal, answers),
        *_columns(proposal, answers),
        *_cells(proposal, answers),
    ]
    return "\n".join(parts) + "\n"


def _comment(text: str) -> Iterator[str]:
    """Yield a comment, broken into lines that fit."""
    line = "#"
    for word in text.split():
        if len(line) + len(word) + 1 > _WIDTH:
            yield line
            line = "#"
        line += f" {word}"
    yield line


def _questions(proposal: Proposal, answers: Answers) -> Iterator[str]:
    yield "\n[answers]"
    asked = {question.key for question in proposal.questions}
    for question in proposal.questions:
        yield from _question(question)
        yield f"{_key(question.key)} = {quoted(answers.general.get(question.key, ''))}"
    for key, answer in answers.general.items():
        if key not in asked:
            yield f"{_key(key)} = {quoted(answer)}"


def _question(question: Question) -> Iterator[str]:
    yield ""
    yield from _comment(("OPEN: " if question.is_open else "") + question.text)
    if question.choices:
        yield from _comment("One of: " + ", ".join(f'"{choice}"' for choice in question.choices))
    for evidence in question.evidence:
        yield from _comment(f"Seen: {evidence}")


def _key(text: str) -> str:
    return (
        text
        if text.replace("_", "").isascii() and text.replace("_", "").isalnum()
        else quoted(text)
    )


def _starts(proposal: Proposal, answers: Answers) -> Iterator[str]:
    says = {start.batch_id: start.says for start in proposal.starts}
    batches = {**dict.fromkeys(says, ""), **answers.starts}
    if not batches:
        return
    yield "\n# The day each batch was put together, such as 2024-09-13. Without it the batch cannot"
    yield "# be used: batches.csv needs that day, and days are counted from it."
    yield "[starts]"
    for batch, day in batches.items():
        said = f"  # {' '.join(says[batch].split())}" if says.get(batch) else ""
        yield f"{quoted(batch)} = {quoted(day)}{said}"


def _ingredients(proposal: Proposal, answers: Answers) -> Iterator[str]:
    open_names = {cell.written: cell for cell in proposal.ingredients}
    names = {**dict.fromkeys(open_names, ""), **answers.ingredients}
    if not names:
        return
    yield "\n# What these names stand for."
    yield "[ingredients]"
    for name, answer in names.items():
        if name in open_names:
            yield from _comment(open_names[name].reason + _likely(open_names[name]))
        yield f"{quoted(name)} = {quoted(answer)}"


def _likely(cell: OpenCell) -> str:
    return f"; likely: {', '.join(cell.readings)}" if cell.readings else ""


def _columns(proposal: Proposal, answers: Answers) -> Iterator[str]:
    yield "\n# What each column becomes. `to` is one of:"
    yield from _comment(", ".join(targets()))
    reasons = column_evidence(proposal.sheet, answers.columns)
    for plan, why in zip(answers.columns, reasons, strict=True):
        yield ""
        yield from _comment(f"Seen: {why}")
        yield "[[columns]]"
        yield f"heading = {quoted(plan.heading)}"
        yield f"to = {quoted(plan.to)}"
        for key in _COLUMN_KEYS:
            if value := getattr(plan, key):
                yield f"{key} = {quoted(value)}"


def _cells(proposal: Proposal, answers: Answers) -> Iterator[str]:
    open_cells = {(cell.heading, cell.written, cell.row): cell for cell in proposal.cells}
    cells = {**dict.fromkeys(open_cells, ""), **answers.cells}
    if cells:
        yield "\n# Cells that may mean several things or nothing. Write into `use` what is meant."
        yield "# Without its `row`, an entry holds for every such text in the column."
    for (heading, written, row), use in cells.items():
        yield "\n[[cells]]"
        if (cell := open_cells.get((heading, written, row))) is not None:
            lines = ", ".join(str(line) for line in cell.lines[:5])
            yield from _comment(f"line {lines}: {cell.reason}{_likely(cell)}")
        yield f"heading = {quoted(heading)}"
        yield f"written = {quoted(written)}"
        if row:
            yield f"row = {quoted(row)}"
        yield f"use = {quoted(use)}"


def fingerprint_of(text: str, name: str) -> str:
    """Return which heading a mapping file is for.

    Raises
    ------
    LogbookError
        If it is no TOML.
    """
    return str(_parsed(text, name).get("fingerprint", ""))


def read_mapping(text: str, file: str, sheet: Sheet | None = None) -> Answers:
    """Read a mapping file, for a sheet if one is given.

    Raises
    ------
    LogbookError
        If it is no TOML, lacks a column of the sheet, or sends one to where nothing is.
    """
    given = _parsed(text, file)
    plans = [_column(entry, file) for entry in _tables(given, "columns")]
    heading = sheet.heading if sheet else ()
    headings = [name or f"column {at}" for at, name in enumerate(heading, start=1)]
    if sheet and [plan.heading for plan in plans] != headings:
        raise LogbookError(
            f"{file} must have one [[columns]] for each column of {sheet.name}, in the same order: "
            f"{', '.join(headings)}. Delete the file to have it proposed anew."
        )
    layout = given.get("layout")
    if layout not in ("batches", "entries"):
        raise LogbookError(f'{file}: layout must be "batches" or "entries", got {layout!r}.')
    return Answers(
        tuple(plans),
        "batches" if layout == "batches" else "entries",
        _texts(given.get("answers", {})),
        _texts(given.get("starts", {})),
        _texts(given.get("ingredients", {})),
        dict(_cell(entry) for entry in _tables(given, "cells")),
    )


def _parsed(text: str, name: str) -> dict[str, Any]:
    refuse_long_lines(text.encode(errors="replace"), name)
    if max((line.partition("=")[0].count(".") for line in text.splitlines()), default=0) > _MOST:
        # Names within names within names take the reader ages.
        raise LogbookError(f"{name} has a name of over {_MOST} parts. Put it in quotation marks.")
    try:
        return tomllib.loads(text)
    except (RecursionError, ValueError) as error:
        reason = "brackets within brackets" if isinstance(error, RecursionError) else error
        raise LogbookError(
            f"{name} cannot be read: {reason}. Every text stands between two quotation marks."
        ) from error


def _tables(given: dict[str, Any], name: str) -> list[dict[str, Any]]:
    tables = given.get(name, [])
    return [one for one in tables if isinstance(one, dict)] if isinstance(tables, list) else []


def _texts(given: Any) -> dict[str, str]:
    return {key: str(value) for key, value in given.items()} if isinstance(given, dict) else {}


def _cell(entry: dict[str, Any]) -> tuple[tuple[str, str, str], str]:
    heading, written, row = (str(entry.get(key, "")) for key in ("heading", "written", "row"))
    return (heading, written, row), str(entry.get("use", ""))


def _column(entry: dict[str, Any], name: str) -> ColumnPlan:
    given = {key: str(entry.get(key, "")) for key in ("heading", "to", *_COLUMN_KEYS)}
    for key, value, choices in (
        ("to", given["to"], targets()),
        ("kind", given["kind"], ("", *KINDS)),
        ("step", given["step"], ("", *STEPS)),
    ):
        if value not in choices:
            raise LogbookError(
                f"{name}: {key} of the column {given['heading']!r} must be one of "
                f"{', '.join(choice for choice in choices if choice)}, got {value!r}."
            )
    return ColumnPlan(**given)
