"""What stands against a prediction: too few batches, outside experience, defaults taken."""

from __future__ import annotations

from typing import Any

import polars as pl

from pipeline.advice.fit import untrusted
from pipeline.cellar import Cellar
from pipeline.learning import Models
from pipeline.learning.estimate import Doubt

FEWEST_BATCHES = 12  # with a volume, a gravity or a tasting, under which physics speaks
FEWEST_OF_A_FRUIT = 3
# Column of `musts`: what it is called, and what is taken where a recipe does not say.
_DEFAULTS = {
    "contact_days": "how long the fruit stays in: your usual time is taken",
    "yeast": "the yeast: an average one is taken",
    "skins_share": "skins on or off: your usual way is taken",
    "ferment_temperature_c": "the fermenting temperature: your usual one is taken",
    "extraction": "cold or hot extraction: your usual way is taken",
    "rackings": "the number of rackings: two are taken",
    "taste_day": "the age at tasting: your usual age is taken",
}
_RANGES = {
    "fruit_load_kg_l": "fruit load",
    "contact_days": "days on the fruit",
    "tannin_added_g_l": "added tannin",
    "acid_added_g_l": "added acid",
    "sugar_kg_l": "sugar",
}


def planned_doubts(
    cellar: Cellar, models: Models, must: dict[str, Any], fruits: pl.DataFrame
) -> list[Doubt]:
    """Return the reasons to doubt what is predicted of one planned recipe.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    must : dict
        Its row of `musts`.
    fruits : polars.DataFrame
        Its rows of `must_fruits`.
    """
    return [
        *(_few(models) or _untrusted(cellar, models)),
        *_outside(cellar.table("batches"), must),
        *_strangers(cellar, must, fruits),
        *_missing(must),
        *_taken(must),
    ]


def _untrusted(cellar: Cellar, models: Models) -> list[Doubt]:
    return [Doubt("few_batches", text) for text in untrusted(cellar, models).values()]


def _few(models: Models) -> list[Doubt]:
    counts = {
        "volume": models.volume.batches,
        "finished gravity": models.gravity.batches,
        "taste": models.taste.batches,
    }
    few = [f"{name} {count}" for name, count in counts.items() if count < FEWEST_BATCHES]
    if not few:
        return []
    text = "few batches to learn from (" + ", ".join(few) + "): mostly general physics speaks"
    return [Doubt("few_batches", text)]


def _outside(batches: pl.DataFrame, must: dict[str, Any]) -> list[Doubt]:
    seen = batches.with_columns(sugar_kg_l=pl.col("sugar_kg") / pl.col("target_volume_l"))
    own = dict(must)
    if must["sugar_kg"] is not None and must["target_volume_l"]:
        own["sugar_kg_l"] = must["sugar_kg"] / must["target_volume_l"]
    found = []
    for column, name in _RANGES.items():
        value, known = own.get(column), seen[column].drop_nulls()
        if value is None or known.is_empty():
            continue
        low, high = float(known.min()), float(known.max())  # type: ignore[arg-type]
        if not low <= value <= high:
            text = f"{name} {value:.3g} lies outside your batches' {low:.3g} to {high:.3g}"
            found.append(Doubt("outside_experience", text))
    return found


def _strangers(cellar: Cellar, must: dict[str, Any], fruits: pl.DataFrame) -> list[Doubt]:
    logged = cellar.table("must_fruits").filter(~pl.col("is_planned"))
    counts = dict(logged.group_by("fruit").len().iter_rows())
    found = []
    for fruit in fruits["fruit"]:
        times = counts.get(fruit, 0)
        if times < FEWEST_OF_A_FRUIT:
            text = f"{fruit} is in {times} of your batches: an average fruit speaks for it"
            found.append(Doubt("few_batches" if times else "outside_experience", text))
    yeasts = set(cellar.table("batches")["yeast"].drop_nulls())
    if must["yeast"] is not None and must["yeast"] not in yeasts:
        text = f"no batch of yours used the yeast {must['yeast']}: an average one speaks for it"
        found.append(Doubt("outside_experience", text))
    return found


def _missing(must: dict[str, Any]) -> list[Doubt]:
    unknown = {name.rsplit("_", 1)[0].replace("_", " ") for name in must["unknown"]}
    return [
        Doubt("missing_input", f"the {name} of this recipe cannot be known from its lines")
        for name in sorted(unknown)
    ]


def _taken(must: dict[str, Any]) -> list[Doubt]:
    return [
        Doubt("default_value", f"the recipe does not say {text}")
        for column, text in _DEFAULTS.items()
        if must[column] is None
    ]
