"""What to do about signs of trouble that the logbook shows: no start, stuck, smells, haze.

All of it is practice, not measurement: the order is from harmless to drastic, and whatever can be
told apart by a test is tested first.
"""

from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.advice.bench.wine import Wine
from pipeline.cellar import Cellar
from pipeline.reference import fruits

_START_DAYS = 3.0  # a must that stands still so long after the yeast has not started; practice
_STILL = 0.002  # [SG] no more than two readings differ by


@dataclass(frozen=True)
class Trouble:
    """A sign, and what to do in this order."""

    sign: str
    name: str
    steps: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return the trouble as commands print it."""
        return {
            "sign": self.sign,
            "name": self.name,
            "steps": list(self.steps),
            "basis": "common practice, no source",
        }


TROUBLES = {
    trouble.sign: trouble
    for trouble in (
        Trouble(
            "no_start",
            "the gravity has not moved since the yeast went in: no start, which is not the same as "
            "stuck",
            (
                "read the labels of juice and frozen pulp: sorbate or benzoate keeps yeast from "
                "starting",
                "check that it is between 18 and 25 °C, and that sulphite had a day to fade",
                "make a large starter that works well in clean juice, and add the must to it, a "
                "cupful at a time",
                "if a preservative was in it, thin it with clean juice, or pour it away",
            ),
        ),
        Trouble(
            "stuck",
            "the gravity stands still with sugar left",
            (
                "compare its strength with what the yeast stands: if it is there, the yeast is "
                "done, and the wine is to be kept sweet and stabilised, or blended",
                "measure pH (below 3.0 stalls yeast) and warmth, and smell for vinegar",
                "more dry packets do not help: get a starter used to the wine, by adding the wine "
                "to it in small parts",
            ),
        ),
        Trouble(
            "sulphury",
            "tasters smelt bad eggs or struck match",
            (
                "rack it once with some splashing, and taste again in a week",
                "in a must that still works, feed nitrogen early, never late",
                "no dose of copper is given here: too much is poison",
            ),
        ),
        Trouble(
            "hazy",
            "tasters found it hazy",
            (
                "stir one part of wine into four of denatured alcohol: strings or jelly are pectin "
                "and want pectic enzyme; pour the sample away, it is poison",
                "a drop of iodine that turns blue is starch and wants amylase, not finings; pour "
                "that sample away too",
                "neither: leave it in the cold, then fine it, bentonite first",
            ),
        ),
        Trouble(
            "refermenting",
            "tasters found it working again",
            (
                "move the bottles into the cold and behind something that stops glass; open them "
                "over a sink, wearing glasses and gloves",
                "put the wine back under an airlock until its gravity stands still",
            ),
        ),
        Trouble(
            "vinegary",
            "tasters smelt vinegar",
            (
                "fill the jar to the neck and keep air out: it cannot be undone, only kept from "
                "getting worse",
                "do not blend it into a sound wine",
            ),
        ),
    )
}
_STARCHY = "its fruit holds starch: test for that first"


def find_troubles(cellar: Cellar, wine: Wine) -> list[dict[str, Any]]:
    """Return the signs of trouble that a batch shows, with what to do.

    Parameters
    ----------
    cellar : Cellar
    wine : Wine

    Returns
    -------
    list of dict
        ``sign``, ``name``, ``steps``, ``basis``.
    """
    batch = cellar.batch(wine.batch_id)
    signs = set(wine.faults) & set(TROUBLES)
    # What was stabilised or bottled sweet is not to be started again.
    if batch["state"] == "stuck":
        signs.add("stuck")
    if _has_not_started(cellar, batch):
        signs = (signs | {"no_start"}) - {"stuck"}
    found = [trouble.as_dict() for sign, trouble in TROUBLES.items() if sign in signs]
    if _is_starchy(cellar, wine.batch_id):
        for trouble in found:
            if trouble["sign"] == "hazy":
                trouble["steps"].insert(0, _STARCHY)
    return found


def _has_not_started(cellar: Cellar, batch: dict[str, Any]) -> bool:
    first, last = batch["original_gravity"], batch["last_gravity"]
    yeast = cellar.table("staged_additions").filter(
        (pl.col("batch_id") == batch["batch_id"]) & (pl.col("kind") == "yeast")
    )
    if first is None or last is None or yeast.is_empty():
        return False
    pitched = (yeast["added_on"].min() - batch["started_on"]).days
    return bool(abs(first - last) <= _STILL and batch["last_day"] - pitched >= _START_DAYS)


def _is_starchy(cellar: Cellar, batch_id: str) -> bool:
    starchy = set(fruits().filter("is_starchy")["fruit"])
    mine = cellar.table("must_fruits").filter(
        (pl.col("must_id") == batch_id) & ~pl.col("is_planned")
    )
    return bool(starchy & set(mine["fruit"]))
