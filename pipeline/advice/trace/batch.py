"""How what came out of a batch is worked out: every number of the mart's `batches`, as rules."""

from __future__ import annotations

import math
from collections.abc import Callable

import polars as pl

from pipeline.advice.trace.ledger import LEDGER_RULES
from pipeline.advice.trace.readings import READING_RULES
from pipeline.advice.trace.rules import (
    Rule,
    added,
    averaged,
    difference,
    least,
    number_of,
    ratio,
    read,
)
from pipeline.cellar.origins import Cell, Origins, Row

_HARSH = ("astringency", "bitterness", "warmth")


def _steps(must: Origins, kind: str) -> list[Row]:
    return [row for row in must.rows("steps") if row["step"] == kind]


def _volumes(kind: str) -> Callable[[Origins], list[Cell]]:
    """Return what takes the volumes after every step of a kind; bottles count by their size."""

    def cells(must: Origins) -> list[Cell]:
        found = []
        for row in _steps(must, kind):
            if row["volume_after_l"] is None:
                continue
            said = must.cell("transfers", row["line"], "volume_after", row["volume_after_l"])
            counted = must.cell("transfers", row["line"], "bottles", row["volume_after_l"])
            found.append(counted if said.as_written is None else said)
        return found

    return cells


def _bottles(must: Origins) -> list[Cell]:
    found = []
    for row in _steps(must, "bottle"):
        if row["bottles"] is None:
            continue
        counted = must.cell("transfers", row["line"], "bottles", row["bottles"])
        poured = must.cell("transfers", row["line"], "volume_after", row["bottles"])
        found.append(poured if counted.as_written is None else counted)
    return found


def _rackings(must: Origins) -> list[Cell]:
    """Return every change of vessel, each racking counted as one."""
    return [
        must.cell("transfers", row["line"], "step", float(row["step"] == "rack"))
        for row in must.rows("steps")
    ]


def _latest_rack(must: Origins) -> list[Cell]:
    known = [row for row in _steps(must, "rack") if row["volume_after_l"] is not None]
    newest = sorted(known, key=lambda row: row["step_number"])[-1:]
    return must.cells("transfers", newest, "volume_after", "volume_after_l")


def _topped_up(must: Origins) -> list[Cell]:
    known = [row for row in must.rows("steps") if row["topped_up_l"] is not None]
    lost = [must.cell("transfers", line, "step", weight=1.0) for line in _set_aside(must)]
    return [*must.cells("transfers", known, "topped_up", "topped_up_l"), *lost]


def _set_aside(must: Origins) -> list[int]:
    """Return the lines of changes of vessel that could not be read: any may have topped it up."""
    raw = must.tables.table("raw_transfers")
    if "batch_id" not in raw.columns:
        return []
    mine = pl.col("is_set_aside") & (pl.col("batch_id").str.strip_chars() == must.must_id)
    return raw.filter(mine)["line"].to_list()


def _glasses(*columns: str) -> Callable[[Origins], list[Cell]]:
    """Return what takes these cells of every glass that has them all."""

    def cells(must: Origins) -> list[Cell]:
        whole = [
            row
            for row in must.rows("staged_tastings")
            if all(row[column] is not None for column in columns)
        ]
        return [
            must.cell("tastings", row["line"], column, row[column])
            for row in whole
            for column in columns
        ]

    return cells


def _first_bottling(must: Origins) -> list[Row]:
    return sorted(_steps(must, "bottle"), key=lambda row: row["day"])[:1]


BATCH_RULES: dict[str, Rule] = {
    **LEDGER_RULES,
    **READING_RULES,
    "strained_l": least(_volumes("strain")),
    "racked_l": read(_latest_rack, "latest"),
    "bottled_l": added(_volumes("bottle"), if_none=math.nan),
    "bottles": added(_bottles, if_none=math.nan),
    "bottle_day": read(
        lambda must: must.cells("transfers", _first_bottling(must), "moved_on", "day"), "days"
    ),
    "times_racked": Rule(
        "count",
        lambda _, given: float(sum(cell.value or 0.0 for cell in given)) if given else math.nan,
        _rackings,
    ),
    "topped_up_l": added(_topped_up),
    "glasses": number_of(
        lambda must: must.cells("tastings", must.rows("staged_tastings"), "taster")
    ),
    "score": averaged(_glasses("score")),
    "harshness": averaged(_glasses(*_HARSH)),
    "finished_fraction": ratio("bottled_l", "target_volume_l"),
    "net_l": difference("bottled_l", "topped_up_l"),
    "finished_fraction_net": ratio("net_l", "target_volume_l"),
    "cost_per_bottle": ratio("cost", "bottles"),
}
