"""What an import would write: every row, every cell's fate, and counts that add up."""

from dataclasses import dataclass
from typing import NamedTuple

import polars as pl

from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.importing.cautions import Caution
from pipeline.logbook.importing.drafts import CellFate, Draft
from pipeline.logbook.importing.plan import Answers
from pipeline.logbook.importing.sheet import Sheet


class Waiting(NamedTuple):
    """A row that the logbook's check sets aside until a cell is filled in."""

    file: str
    batch_id: str
    line: int
    missing: tuple[str, ...]
    says: str


@dataclass(frozen=True)
class Preview:
    """What an import would write.

    Attributes
    ----------
    sheet, answers
        What it was made from.
    drafts : tuple of Draft
        The rows, in the order they would be written.
    fates : tuple of CellFate
        One per filled cell of the sheet's rows.
    waiting : tuple of Waiting
        Rows that miss something the contract requires.
    cautions : tuple of Caution
        What looks wrong or dangerous.
    """

    sheet: Sheet
    answers: Answers
    drafts: tuple[Draft, ...]
    fates: tuple[CellFate, ...]
    waiting: tuple[Waiting, ...]
    cautions: tuple[Caution, ...]

    def frames(self) -> dict[str, pl.DataFrame]:
        """Return the rows as they would be written, one frame per file, text as in the contract."""
        return {
            name: pl.DataFrame(
                [draft.written() for draft in self.drafts if draft.file == name],
                schema={column: pl.String() for column in column_names(name)},
                strict=False,
            )
            for name in FILES
            if any(draft.file == name for draft in self.drafts)
        }

    def of_fate(self, fate: str) -> list[CellFate]:
        """Return the cells that are loaded, held or rejected."""
        return [cell for cell in self.fates if cell.fate == fate]

    @property
    def conversions(self) -> list[CellFate]:
        """Return the loaded cells to which a rule was applied."""
        return [cell for cell in self.fates if cell.is_converted]

    @property
    def is_blocked(self) -> bool:
        """Whether a dangerous dose waits to be confirmed before anything is written."""
        is_confirmed = self.answers.of("large_doses") == "yes"
        return not is_confirmed and any(caution.is_blocking for caution in self.cautions)

    def counts(self) -> dict[str, int]:
        """Return lines, records and cells; the parts of each add up to the whole."""
        cells = sum(len(row.cells) for row in self.sheet.rows)
        by_fate = {fate: len(self.of_fate(fate)) for fate in ("loaded", "held", "rejected")}
        return {
            "lines": self.sheet.lines,
            "records": self.sheet.records,
            "rows": len(self.sheet.rows),
            "rows_set_aside": len(self.sheet.aside),
            "cells": cells,
            "cells_empty": cells - sum(by_fate.values()),
            **{f"cells_{fate}": count for fate, count in by_fate.items()},
        }
