"""Strips of what a wine holds, drawn and readable beside more batches than they can show."""

from itertools import pairwise

import polars as pl
import pytest

from pipeline.advice.story import BALANCE
from pipeline.show.plots_balance import balance_strips
from pipeline.show.units import Units


def _batches(count: int) -> pl.DataFrame:
    ids = pl.int_range(count, eager=True)
    held = {name: (ids * 7919 % count).cast(pl.Float64) / count for name in BALANCE}
    return pl.DataFrame({"batch_id": ids.cast(pl.String), "state": ["bottled"] * count} | held)


def _ticks(strip: dict) -> list[float]:
    """Return where the marks of the other batches stand, from left to right."""
    name = strip["layer"][0]["data"]["name"]
    return sorted(row["value"] for row in strip["datasets"][name])


def test_a_strip_has_no_more_marks_than_it_can_show() -> None:
    strips = [strip.to_dict() for strip in balance_strips(_batches(12_000), "0", Units())]
    assert len(strips) == len(BALANCE)
    for strip in strips:
        marks = _ticks(strip)
        assert len(marks) == 125
        assert "11,999 other batches" in strip["description"]


@pytest.mark.parametrize("count", [12_000, 12_001])
def test_marks_reach_evenly_from_the_least_to_the_greatest_batch(count: int) -> None:
    marks = _ticks(balance_strips(_batches(count), "0", Units())[0].to_dict())
    steps = [later - sooner for sooner, later in pairwise(marks)]
    assert min(steps) > 0
    assert max(steps) < 1.1 * (marks[-1] - marks[0]) / 124
    assert marks[-1] / marks[0] == pytest.approx(count - 1)


def test_few_batches_have_a_mark_each() -> None:
    strip = balance_strips(_batches(40), "0", Units())[0].to_dict()
    assert len(_ticks(strip)) == 39
