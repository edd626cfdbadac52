"""A recipe about to be split: what is known of it, and what a split of it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import polars as pl

from pipeline.advice.edits import Edit
from pipeline.advice.experience import Experience

Way = Literal["fruit", "must", "place", "glass"]
USUAL = ("contact_days", "must_temperature_mean_c", "target_volume_l")


@dataclass(frozen=True)
class Split:
    """Two arms of a recipe that differ in one factor.

    Parameters
    ----------
    factor : str
        Its fixed name (`pipeline.learning.explain.factors`).
    way : {'fruit', 'must', 'place', 'glass'}
        What is divided: the fruit before anything else, the mixed must, the must between two places
        of different warmth, or a glass of one finished wine.
    labels : (str, str)
        Each arm in a few words.
    base, other : tuple of Edit
        What each arm sets beside the recipe; nothing for the base where the recipe says it.
    """

    factor: str
    way: Way
    labels: tuple[str, str]
    base: tuple[Edit, ...]
    other: tuple[Edit, ...]


@dataclass(frozen=True)
class Planned:
    """What is known of a recipe before it is split.

    Parameters
    ----------
    lines : list of dict
        Its rows of `staged_recipes`.
    target_l : float
        Volume aimed at [L]; the logbook's usual one where the recipe does not say.
    acidity, alcohol, sugar_g_l : float
        Expected of the wine [g/L as tartaric, % vol, g/L].
    phosphate_g_l : float
        Ammonium phosphate in it.
    usual : dict of str to float
        Medians of the logbook's batches, by column of `batches`.
    experience : Experience
        What the logbook has seen.
    additions : polars.DataFrame
        `must_lines` of the batches.
    """

    lines: list[dict[str, Any]]
    target_l: float
    acidity: float
    alcohol: float
    sugar_g_l: float
    phosphate_g_l: float
    usual: dict[str, float]
    experience: Experience
    additions: pl.DataFrame

    @property
    def fruit(self) -> list[dict[str, Any]]:
        """Return its lines of fruit, the heaviest first."""
        return sorted(self.of_kind("fruit"), key=lambda line: -(line["amount_kg"] or 0.0))

    def of_kind(self, kind: str) -> list[dict[str, Any]]:
        """Return its lines of one kind."""
        return [line for line in self.lines if line["kind"] == kind]

    def whole(self, column: str) -> Any:
        """Return what holds for the whole recipe; it may stand on any of its lines."""
        return next((line[column] for line in self.lines if line[column] is not None), None)

    def often_called(self, key: str, otherwise: str) -> str:
        """Return what the logbook calls an additive most often."""
        named = self.additions.filter(pl.col("ingredient_key") == key)["ingredient"].drop_nulls()
        return str(named.mode().sort()[0]) if named.len() else otherwise


def usual_of(batches: pl.DataFrame) -> dict[str, float]:
    """Return the medians of `USUAL`, those that no batch knows left out."""
    medians = {name: batches[name].drop_nulls().cast(pl.Float64).median() for name in USUAL}
    return {name: value for name, value in medians.items() if isinstance(value, float)}
