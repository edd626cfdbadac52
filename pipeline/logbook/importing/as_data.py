"""An import as plain data, as `--json` prints it."""

from pathlib import Path
from typing import Any

from pipeline.logbook.importing.bringing import Brought
from pipeline.logbook.importing.drafts import CellFate
from pipeline.logbook.importing.evidence import column_evidence, sample_cells
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.proposing import OpenCell, Proposal


def import_data(brought: list[Brought], folder: Path) -> dict[str, Any]:
    """Return an import as data: every sheet with its columns, questions, cells and counts.

    Parameters
    ----------
    brought : list of Brought
        The sheets.
    folder : pathlib.Path
        The logbook they go to.
    """
    return {
        "into": str(folder),
        "is_written": all(one.written is not None for one in brought),
        "files": [sheet_data(one) for one in brought],
    }


def sheet_data(one: Brought) -> dict[str, Any]:
    """Return one sheet of an import as data."""
    sheet = one.preview.sheet
    return {
        "file": sheet.name,
        "mapping": str(one.mapping),
        "has_mapping": one.is_mapped,
        "encoding": sheet.encoding,
        "is_encoding_guessed": sheet.is_encoding_guessed,
        "delimiter": sheet.delimiter,
        "is_turned": sheet.is_turned,
        "heading_lines": list(sheet.heading_lines),
        **preview_data(one.proposal, one.preview),
        "written": None if one.written is None else one.written.files,
        "contradicted": []
        if one.written is None
        else [{"file": draft.file, **draft.written()} for draft in one.written.contradicted],
        "report": "" if one.written is None else str(one.written.report),
    }


def preview_data(proposal: Proposal, preview: Preview) -> dict[str, Any]:
    """Return a preview as data: columns, questions, what became of every cell."""
    answers = preview.answers
    return {
        "layout": answers.layout,
        "counts": preview.counts(),
        "columns": _columns(preview),
        "questions": [
            {
                "key": question.key,
                "text": question.text,
                "choices": list(question.choices),
                "evidence": list(question.evidence),
                "answer": answers.general.get(question.key, ""),
            }
            for question in proposal.questions
        ],
        "starts": [
            {"batch": start.batch_id, "says": start.says, "answer": answers.starts[start.batch_id]}
            for start in proposal.starts
        ],
        "ingredients": [_open(cell) for cell in proposal.ingredients],
        "cells": {
            **{fate: [_cell(cell) for cell in preview.of_fate(fate)] for fate in _FATES},
            "converted": [_cell(cell) for cell in preview.conversions],
        },
        "set_aside": [aside._asdict() for aside in preview.sheet.aside],
        "titles": [aside._asdict() for aside in preview.sheet.titles],
        "cautions": [
            {
                "line": caution.line,
                "batch": caution.batch_id,
                "text": caution.text,
                "is_blocking": caution.is_blocking,
            }
            for caution in preview.cautions
        ],
        "waiting": [row._asdict() | {"missing": list(row.missing)} for row in preview.waiting],
        "is_blocked": preview.is_blocked,
        "rows": {name: frame.to_dicts() for name, frame in preview.frames().items()},
    }


def _columns(preview: Preview) -> list[dict[str, Any]]:
    sheet, plans = preview.sheet, preview.answers.columns
    return [
        {**plan._asdict(), "evidence": why, "samples": list(sample_cells(sheet, at))}
        for at, (plan, why) in enumerate(zip(plans, column_evidence(sheet, plans), strict=True))
    ]


_FATES = ("loaded", "held", "rejected")


def _cell(cell: CellFate) -> dict[str, Any]:
    return cell._asdict() | {"readings": list(cell.readings)}


def _open(cell: OpenCell) -> dict[str, Any]:
    return cell._asdict() | {"lines": list(cell.lines), "readings": list(cell.readings)}
