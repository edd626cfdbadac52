"""Glasses gathered into pours: one wine at one tasting, as it is or sweetened."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.learning.musts import Musts
from pipeline.learning.taste.tasters import Glasses

SMALLEST_EVENING = 3  # batches tasted together, under which an evening has no effect of its own
MOST_EVENINGS = 60
SMALLEST_RECIPE = 3  # tasted batches of a recipe, under which it has no effect of its own
MOST_RECIPES = 60
INTENSITIES = (
    "sweetness",
    "sourness",
    "astringency",
    "bitterness",
    "warmth",
    "body",
    "fruit",
)


@dataclass(frozen=True)
class PourTable:
    """One entry a pour, and the glasses in them.

    must is the place among the batches; residual_sugar is NaN where the glass was as it is.
    marks[name] (glasses,) is NaN where a taster left it blank.
    """

    must: np.ndarray
    age: np.ndarray
    residual_sugar: np.ndarray
    evening: list[str]
    glass_taster: np.ndarray
    glass_pour: np.ndarray
    marks: dict[str, np.ndarray]
    tasters: tuple[str, ...]

    def __len__(self) -> int:
        return self.must.size

    def glasses(self, answer: str) -> Glasses:
        """Return the glasses marked for one answer."""
        mark = self.marks[answer]
        known = np.isfinite(mark)
        return Glasses(mark[known], self.glass_taster[known], self.glass_pour[known], len(self))


def read_pours(musts: Musts, glasses: pl.DataFrame, score_out_of: float = 20.0) -> PourTable:
    """Gather the glasses of these batches; scores are brought to 20.

    Parameters
    ----------
    musts : Musts
        The batches; glasses of any other are left out.
    glasses : polars.DataFrame
        The mart's `glasses`.
    score_out_of : float
        The logbook's scale of scores.
    """
    ours = glasses.join(musts.places, on="batch_id", how="inner").sort("must", "tasted_on", "line")
    keys = ["must", "tasted_on", "sweetened_to_g_l"]
    pours = ours.select(*keys, "age_days").unique(keys, keep="first", maintain_order=True)
    pours = pours.with_row_index("pour")
    ours = ours.join(pours.select(*keys, "pour"), on=keys, nulls_equal=True, how="left")
    tasters = tuple(sorted(ours["taster"].unique().drop_nulls()))
    code = {name: k for k, name in enumerate(tasters)}
    marks = {name: _numbers(ours[name]) for name in (*INTENSITIES, "harshness")}
    marks["score"] = _numbers(ours["score"]) * 20.0 / score_out_of
    return PourTable(
        must=pours["must"].to_numpy().astype(int),
        age=_numbers(pours["age_days"]),
        residual_sugar=_numbers(pours["sweetened_to_g_l"]),
        evening=[str(day) for day in pours["tasted_on"]],
        glass_taster=np.array([code[name] for name in ours["taster"]], dtype=int),
        glass_pour=ours["pour"].to_numpy().astype(int),
        marks=marks,
        tasters=tasters,
    )


def common_evenings(pours: PourTable) -> tuple[str, ...]:
    """Return the tastings at which enough batches stood together to show the evening's mood."""
    pairs = set(zip(pours.evening, pours.must.tolist(), strict=True))
    return _common(Counter(day for day, _ in pairs), SMALLEST_EVENING, MOST_EVENINGS)


def repeated_recipes(musts: Musts, pours: PourTable) -> tuple[str, ...]:
    """Return the recipes that several tasted batches followed."""
    labels = [musts.recipe[place] for place in np.unique(pours.must)]
    return _common(
        Counter(label for label in labels if label is not None), SMALLEST_RECIPE, MOST_RECIPES
    )


def _common(counts: Counter[str], fewest: int, most: int) -> tuple[str, ...]:
    return tuple(sorted(word for word, count in counts.most_common(most) if count >= fewest))


def _numbers(values: pl.Series) -> np.ndarray:
    return values.cast(pl.Float64).fill_null(float("nan")).to_numpy().astype(float)
