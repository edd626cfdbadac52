"""Whether a row of a sheet is a batch or an entry, and what that makes of its columns."""

from collections.abc import Sequence

from pipeline.logbook.importing.plan import ColumnPlan, Layout
from pipeline.logbook.importing.sheet import Sheet


def find_layout(plans: Sequence[ColumnPlan], sheet: Sheet) -> Layout:
    """One row is a batch if a column says what only a batch as a whole has.

    A batch that comes again on another day makes every row an entry.
    """
    long_columns = ("additions.amount", "additions.unit")
    is_long = any(plan.to in long_columns and not plan.kind for plan in plans)
    is_tasted = any(plan.file == "tastings" for plan in plans)
    if is_long or any(plan.to == "day" for plan in plans):
        return "entries"
    if is_tasted and not _tells_the_making(plans):
        return "entries"
    if _comes_again(plans, sheet):
        return "entries"
    is_whole = any(
        plan.file in ("batches", "additions", "transfers") or plan.when for plan in plans
    )
    return "batches" if is_whole else "entries"


def _tells_the_making(plans: Sequence[ColumnPlan]) -> bool:
    """Whether a sheet with scores is about batches from their start, each scored once."""
    told = [
        plan
        for plan in plans
        if plan.to in ("batches.started_on", "batches.target_volume")
        or (plan.to == "additions.amount" and plan.kind)
        or plan.when == "start"
    ]
    return len(told) >= 2 and not any(plan.to == "tastings.taster" for plan in plans)


def _comes_again(plans: Sequence[ColumnPlan], sheet: Sheet) -> bool:
    """Whether rows with a day of their own share a batch, or have no column for it at all."""
    ids = next((at for at, plan in enumerate(plans) if plan.to == "batch_id"), None)
    has_days = any(plan.to == "date" for plan in plans)
    if ids is None or not has_days:
        return has_days and len(sheet.rows) > 1
    named = [row.cells[ids].strip() for row in sheet.rows if row.cells[ids].strip()]
    return len(set(named)) < len(sheet.rows)


def fitted(plans: Sequence[ColumnPlan], layout: Layout) -> tuple[ColumnPlan, ...]:
    """Fit what depends on the layout: whose date, whose volume, reading at the start."""
    targets = {plan.to for plan in plans}
    if layout == "batches":
        has_start = "batches.started_on" in targets
        return tuple(_of_a_batch(plan, has_start=has_start) for plan in plans)
    has_days = bool(targets & {"date", "day"})
    return tuple(_of_an_entry(plan, has_days=has_days) for plan in plans)


def _of_a_batch(plan: ColumnPlan, *, has_start: bool) -> ColumnPlan:
    if plan.to == "date":
        return plan._replace(to="notes" if has_start else "batches.started_on")
    if plan.to == "readings.volume" and not plan.when:
        return plan._replace(to="batches.target_volume")
    if plan.file == "readings" and not plan.when:
        return plan._replace(when="start")
    return plan


def _of_an_entry(plan: ColumnPlan, *, has_days: bool) -> ColumnPlan:
    is_its_day = plan.to in ("batches.started_on", "tastings.tasted_on")
    return plan._replace(to="date") if is_its_day and not has_days else plan
