"""What stands against a prediction: too few batches, outside experience, defaults taken."""

from __future__ import annotations

from typing import Any

import polars as pl

from pipeline.advice.doubts.outside import outside_doubts
from pipeline.advice.doubts.taken import missing_doubts, taken_doubts, unpriced_doubts
from pipeline.advice.fit import untrusted
from pipeline.advice.sticking import sticking_doubts
from pipeline.cellar import Cellar
from pipeline.counts import how_many
from pipeline.learning import Models
from pipeline.learning.estimate import Doubt
from pipeline.learning.forecast import Forecast

FEWEST_BATCHES = 12  # with a volume, a gravity or a tasting, under which physics speaks
FEWEST_OF_A_FRUIT = 3


def planned_doubts(
    cellar: Cellar,
    models: Models,
    expected: Forecast,
    row: int,
    must: dict[str, Any],
    fruits: pl.DataFrame,
    lines: pl.DataFrame,
) -> list[Doubt]:
    """Return the reasons to doubt what is predicted of one planned recipe.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    expected : Forecast
        Of the recipe, among others.
    row : int
        Its place there.
    must : dict
        Its row of `musts`.
    fruits : polars.DataFrame
        Its rows of `must_fruits`.
    lines : polars.DataFrame
        Its lines, with the columns of `staged_recipes`.
    """
    show = cellar.settings()["show"]
    return [
        *(_few(models) or _untrusted(cellar, models)),
        *outside_doubts(cellar.table("batches"), must, show),
        *_strangers(cellar, must, fruits),
        *sticking_doubts(expected.sticking, row),
        *missing_doubts(must, lines),
        *taken_doubts(models, expected, row, must, show),
        *unpriced_doubts(must, lines),
    ]


def _untrusted(cellar: Cellar, models: Models) -> list[Doubt]:
    return [Doubt("few_batches", text) for text in untrusted(cellar, models).values()]


def _few(models: Models) -> list[Doubt]:
    counts = {
        "volume": models.volume.batches,
        "finished gravity": models.gravity.batches,
        "taste": models.taste.batches,
    }
    few = [f"{count} for {name}" for name, count in counts.items() if count < FEWEST_BATCHES]
    if not few:
        return []
    text = f"few batches to learn from ({', '.join(few)}): mostly general physics speaks"
    return [Doubt("few_batches", text)]


def _strangers(cellar: Cellar, must: dict[str, Any], fruits: pl.DataFrame) -> list[Doubt]:
    logged = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    counts = dict(logged.group_by("fruit").len().iter_rows())
    found = []
    for fruit, is_default in fruits.select("fruit", "is_composition_default").iter_rows():
        times = counts.get(fruit, 0)
        if times < FEWEST_OF_A_FRUIT:
            text = f"{fruit} is in {_counted(times)}: an average fruit speaks for it"
            found.append(Doubt("few_batches" if times else "outside_experience", text))
        if is_default:
            text = (
                f"{fruit} is not in the fruit table: sugar, acid and juice of an average fruit "
                "are taken"
            )
            found.append(Doubt("default_value", text))
    yeasts = {yeast.casefold() for yeast in cellar.table("batches")["yeast"].drop_nulls()}
    if must["yeast"] is not None and must["yeast"].casefold() not in yeasts:
        text = f"no batch of yours used the yeast {must['yeast']}: an average one speaks for it"
        found.append(Doubt("outside_experience", text))
    return found


def _counted(times: int) -> str:
    return f"{'only ' if times else ''}{how_many(times)} of your batches"
