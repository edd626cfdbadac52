"""Why a column is taken for what it is: what its heading says, and what its cells look like."""

from pipeline.logbook.importing.columns import propose_columns
from pipeline.logbook.importing.finding_headings import shown
from pipeline.logbook.importing.moments import when_of
from pipeline.logbook.importing.plan import ColumnPlan
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.vocabulary import read_name

_SAMPLES = 3
_LONGEST = 40  # [letters] of a cell that is shown as a sample


def sample_cells(sheet: Sheet, at: int) -> tuple[str, ...]:
    """Return a few different filled cells of a column, shortened.

    Parameters
    ----------
    sheet : Sheet
        The sheet as text.
    at : int
        The column's place, from 0.
    """
    filled = (shown(" ".join(row.cells[at].split())) for row in sheet.rows if row.cells[at].strip())
    different = list(dict.fromkeys(filled))[:_SAMPLES]
    return tuple(cell if len(cell) <= _LONGEST else f"{cell[:_LONGEST]}…" for cell in different)


def column_evidence(sheet: Sheet, plans: tuple[ColumnPlan, ...]) -> list[str]:
    """Return for each column a sentence that says why it is taken for what it is.

    Parameters
    ----------
    sheet : Sheet
        The sheet as text.
    plans : tuple of ColumnPlan
        What the columns are taken for; one that is not as proposed is so because the maker said it.
    """
    proposed, _ = propose_columns(sheet)
    return [
        f"{_why(heading, plan, own)}; {_filled(sheet, at)}"
        for at, (heading, plan, own) in enumerate(zip(sheet.heading, plans, proposed, strict=True))
    ]


def _why(heading: str, plan: ColumnPlan, proposed: ColumnPlan) -> str:
    if plan != proposed:
        return "as you have said"
    if not heading.strip():
        return "the column has no heading"
    name, when = read_name(heading), when_of(heading)
    if name.concept is None and when is not None:
        return f"the heading says when it was: {when.text}"
    if name.concept is None:
        if plan.ingredient:
            return f"the heading names {plan.ingredient}, and the cells are amounts"
        return "the heading is no name that is known here"
    if plan.to == "notes" and name.concept != "notes":
        return "the heading is known, and nothing in the logbook is left for it"
    unit = f", in {plan.unit}" if plan.unit else ""
    return f"'{shown(name.words or heading)}' is a usual name for it{unit}"


def _filled(sheet: Sheet, at: int) -> str:
    count = sum(bool(row.cells[at].strip()) for row in sheet.rows)
    if not count:
        return "none of its cells is filled"
    samples = " · ".join(sample_cells(sheet, at))
    return f"{count} of {len(sheet.rows)} cells filled, such as {samples}"
