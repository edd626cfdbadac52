"""A sheet read once with no answers, to see what is left open."""

from dataclasses import dataclass

from pipeline.logbook.importing.plan import ColumnPlan
from pipeline.logbook.importing.previews import Preview
from pipeline.logbook.importing.sheet import Sheet

SHOWN = 4  # cells that a question shows at most


@dataclass(frozen=True)
class Draught:
    """A sheet read once with no answers, to see what is left open."""

    sheet: Sheet
    columns: tuple[ColumnPlan, ...]
    preview: Preview

    def held_by(self, rule: str) -> tuple[str, ...]:
        """Return the cells that a rule holds, with their lines."""
        cells = [fate for fate in self.preview.fates if fate.rule == rule and fate.fate == "held"]
        return tuple(f"'{cell.written}' in line {cell.line}" for cell in cells[:SHOWN])
