"""What the scores logged so far tell of two wines, or of two recipes made more than once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipeline.advice.tasting.power import compare_scores
from pipeline.cellar import Cellar


def tasted(cellar: Cellar, sides: Mapping[str, Sequence[str]]) -> list[dict[str, Any]]:
    """Set the scores of the first side beside those of each other.

    Parameters
    ----------
    cellar : Cellar
    sides : mapping of str to sequence of str
        By what is compared, its batches; none for a recipe nobody has made.

    Returns
    -------
    list of dict
        ``a``, ``b``, ``each`` (what has a score of its own: a ``glass``, or a ``batch`` where
        either side was made more than once, since glasses of one batch are no news of the next)
        and ``scores``, as of `compare_scores`. Sides with fewer than two scores are left out.
    """
    (first, *others) = sides
    found = []
    for other in others:
        each, marks = scored(cellar, sides[first], sides[other])
        scores = compare_scores(*marks)
        if scores is not None:
            found.append({"a": first, "b": other, "each": each, "scores": scores})
    return found


def scored(
    cellar: Cellar, first: Sequence[str], second: Sequence[str]
) -> tuple[str, tuple[list[float], list[float]]]:
    """Return what has a score of its own, and the scores of two sides."""
    glasses = cellar.table("glasses").drop_nulls("score")
    sides = [glasses.filter(pl.col("batch_id").is_in(list(side))) for side in (first, second)]
    if len(first) == len(second) == 1:
        one, other = (side["score"].to_list() for side in sides)
        return "glass", (one, other)
    means = [side.group_by("batch_id", maintain_order=True).agg(pl.mean("score")) for side in sides]
    one, other = (side["score"].to_list() for side in means)
    return "batch", (one, other)
