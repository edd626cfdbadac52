"""What each batch of a logbook is, as far as it can hurt somebody: from its own entries."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field

import polars as pl

from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.cellar.origins import Row, Tables
from pipeline.reference import fruits

# What somebody does with a batch in each state.
_STEPS = {
    "fermenting": {"ferment", "pulp"},
    "stuck": {"ferment", "jar"},
    "ageing": {"jar", "drink"},
    "bottled": {"drink"},
}
_CRUSHED = ("crushed", "pureed")
_NOT_KEPT = "not-stabilised"  # rule of the checks: bottled with sugar in it and not made safe


@dataclass
class _Entries:
    """What the logbook's other files say of a batch."""

    fruits: set[str] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)
    ripeness: set[str] = field(default_factory=set)
    faults: set[str] = field(default_factory=set)
    has_stones: bool = False
    has_crushed_stones: bool = False
    is_unkept: bool = False


def circumstances_of_batches(
    tables: Tables, batches: Collection[str] | None = None
) -> dict[str, Circumstances]:
    """Return what each batch is, as far as it can hurt somebody.

    Parameters
    ----------
    tables : Tables
        The cellar.
    batches : collection of str, optional
        Only these.

    Returns
    -------
    dict of str to Circumstances
        A batch that was lost is in no glass and is left out.
    """
    frame = tables.table("batches").filter(pl.col("state") != "lost")
    if batches is not None:
        frame = frame.filter(pl.col("batch_id").is_in(list(batches)))
    said = _entries(tables, frame["batch_id"])
    return {
        row["batch_id"]: _of_batch(row, said[row["batch_id"]])
        for row in frame.iter_rows(named=True)
    }


def _of_batch(row: Row, said: _Entries) -> Circumstances:
    is_working = row["state"] in ("fermenting", "stuck")
    return Circumstances(
        fruits=said.fruits,
        # A stone that stayed whole did no harm; in a must that works it may yet be crushed.
        has_stone_fruit=said.has_crushed_stones or (is_working and said.has_stones),
        extraction=row["extraction"],
        kinds=said.kinds,
        ripeness=said.ripeness,
        # What still ferments is meant to; what stands safe in its jar is told of at the bench.
        sugar_g_l=row["residual_sugar_g_l"] if row["state"] == "stuck" else None,
        is_unkept=said.is_unkept,
        ph=row["ph"],
        wanted_alcohol=row["alcohol"],
        faults=said.faults,
        steps=_STEPS.get(row["state"], set()),
    )


def _entries(tables: Tables, batches: pl.Series) -> dict[str, _Entries]:
    found: dict[str, _Entries] = defaultdict(_Entries)
    stones = set(fruits().filter("is_stone_fruit")["fruit"])
    key = pl.coalesce("ingredient_key", "ingredient")
    mine = pl.col("batch_id").is_in(batches.implode())
    added = tables.table("staged_additions").filter(mine)
    columns = added.select("batch_id", "kind", key, "form", "ripeness")
    for batch, kind, name, form, ripe in columns.iter_rows():
        entry = found[batch]
        entry.kinds.add(kind)
        if kind in ("fruit", "juice"):
            entry.fruits.add(name)
            entry.has_stones |= name in stones
            entry.has_crushed_stones |= name in stones and form in _CRUSHED
        if ripe is not None:
            entry.ripeness.add(ripe)
    tasted = tables.table("glasses").filter(mine).select("batch_id", "faults").drop_nulls()
    for batch, faults in tasted.iter_rows():
        found[batch].faults |= {fault.strip() for fault in str(faults).split(";")}
    for batch in _not_kept(tables):
        found[batch].is_unkept = True
    return found


def _not_kept(tables: Tables) -> list[str]:
    """Return the batches that the checks found bottled with sugar in them and not made safe."""
    lines = tables.table("problems").filter(pl.col("rule") == _NOT_KEPT).select("line")
    steps = tables.table("steps").filter(pl.col("step") == "bottle").select("line", "batch_id")
    return steps.join(lines, on="line")["batch_id"].to_list()
