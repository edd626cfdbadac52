"""Bringing old notes in: any sheet, read as far as it is certain, into the logbook's own files.

`propose` says which column is which, with the evidence, and what has to be asked; `preview` reads
every cell by the answers, without writing; `write` puts the rows into a logbook.
"""

from collections.abc import Collection
from datetime import date
from pathlib import Path

from pipeline.logbook.importing.as_data import import_data, preview_data, sheet_data
from pipeline.logbook.importing.bringing import (
    Brought,
    bring_in,
    import_files,
    look_at,
    sheet_key,
    sheets_of,
)
from pipeline.logbook.importing.columns import propose_columns
from pipeline.logbook.importing.evidence import column_evidence, sample_cells
from pipeline.logbook.importing.mapping_file import read_mapping, write_mapping
from pipeline.logbook.importing.plan import (
    LEAVE,
    Answers,
    ColumnPlan,
    Group,
    Question,
    targets,
)
from pipeline.logbook.importing.previewing import read_preview
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.proposing import Proposal, propose, propose_sheet, read_sheets
from pipeline.logbook.importing.report import report_text
from pipeline.logbook.importing.writing import Written
from pipeline.logbook.importing.writing import write as _write

__all__ = [
    "LEAVE",
    "Answers",
    "Brought",
    "ColumnPlan",
    "Group",
    "Preview",
    "Proposal",
    "Question",
    "Written",
    "bring_in",
    "column_evidence",
    "import_data",
    "import_files",
    "look_at",
    "preview",
    "preview_data",
    "propose",
    "propose_columns",
    "propose_sheet",
    "read_mapping",
    "read_sheets",
    "report_text",
    "sample_cells",
    "sheet_data",
    "sheet_key",
    "sheets_of",
    "targets",
    "write",
    "write_mapping",
]


def preview(
    proposal: Proposal,
    answers: Answers | None = None,
    *,
    known_batches: Collection[str] = (),
    today: date | None = None,
) -> Preview:
    """Read every cell of a proposed sheet by the maker's answers, without writing anything.

    Parameters
    ----------
    proposal : Proposal
        What `propose` found.
    answers : Answers, optional
        By default those that are proposed, with every open question left open.
    known_batches : collection of str
        Batches that the logbook has already.
    today : datetime.date, optional
        The day after which a date is in the future.
    """
    said = answers or proposal.answers()
    return read_preview(proposal.sheet, said, known_batches=known_batches, today=today)


def write(preview: Preview, folder: Path) -> Written:
    """Write a preview into a logbook, new or there already.

    Raises
    ------
    LogbookError
        If a dangerous dose waits to be confirmed, or the folder cannot be written to.
    """
    return _write(preview, folder)
