"""Recipes or batches side by side: what went in, what came out, which differences matter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.cautions import cautions_due, first_of_each
from pipeline.advice.cautions.circumstances_batch import circumstances_of_batches
from pipeline.advice.compare_tasted import tasted
from pipeline.advice.predict import planned, predict
from pipeline.cellar import Cellar
from pipeline.errors import LogbookError, UnknownNameError
from pipeline.learning import Models
from pipeline.learning.estimate import estimate_from
from pipeline.learning.explain.factors import BY_NAME, told
from pipeline.learning.explain.shares import share_out
from pipeline.learning.forecast import Forecast, forecast

# Measure in answers: column of `batches` (and of `musts`, for what goes in).
INPUTS = {
    "target_volume_l": "target_volume_l",
    "fruit_load": "fruit_load_kg_l",
    "sugar": "sugar_kg",
    "water": "water_l",
    "contact_days": "contact_days",
    "tannin_added": "tannin_added_g_l",
    "acid_added": "acid_added_g_l",
    "nitrogen": "nitrogen_added_mg_l",
    "cost": "cost",
}
WORDS = {"yeast": "yeast", "made": "made"}
OUTCOMES = {
    "original_gravity": "original_gravity",
    "final_gravity": "final_gravity",
    "alcohol": "alcohol",
    "finished_fraction": "finished_fraction",
    "residual_sugar": "residual_sugar_g_l",
    "acidity": "ta_tartaric_g_l",
    "harshness": "harshness",
    "score": "score",
    "cost_per_bottle": "cost_per_bottle",
}
TOGETHER = ("finished_fraction", "final_gravity", "alcohol", "harshness", "score")
WORTH_A_WORD = 0.05  # [points] effects smaller than this are no difference


@dataclass(frozen=True)
class Side:
    """One column of the comparison: batches (one, or the repeats of a recipe) or a plan."""

    name: str
    musts: pl.DataFrame
    fruits: pl.DataFrame
    prediction: dict[str, Any] | None = None

    @property
    def batches(self) -> list[str]:
        """Return the batches it stands for; none of a plan."""
        return [] if self.prediction is not None else self.musts["batch_id"].to_list()

    def value(self, column: str, outcome: str | None) -> Any:
        """Return an estimate for what is predicted, else the mean of what was logged."""
        if outcome is not None and self.prediction is not None:
            return self.prediction.get(outcome)
        if column not in self.musts.columns:
            return None
        mean = self.musts[column].drop_nulls().mean()
        return None if mean is None else float(mean)  # type: ignore[arg-type]

    def words(self, column: str) -> str | None:
        """Return what was used, all of it where repeats differ."""
        found = self.musts[column].drop_nulls().unique().sort().to_list()
        return " / ".join(found) or None


def answer(cellar: Cellar, models: Models, names: list[str]) -> dict[str, Any]:
    """Set recipes or batches side by side.

    Parameters
    ----------
    cellar : Cellar
    models : Models
    names : list of str
        Two or more batches, recipes that batches follow, or recipes of recipes.csv.

    Returns
    -------
    dict
        The machine form of `hedgerow compare`; differences are between the first and each other,
        and so is ``tasted``: what the scores logged so far tell, and how many more would.

    Raises
    ------
    UnknownNameError
        If one of them is neither.
    LogbookError
        If only one is named.
    """
    if len(set(names)) < 2:
        raise LogbookError("A comparison takes two names or more: batches, or recipes.")
    sides = [_side(cellar, models, name) for name in dict.fromkeys(names)]
    batches = cellar.table("batches")
    return {
        "columns": [side.name for side in sides],
        "rows": [row for row in _rows(sides, batches) if any(v is not None for v in row["values"])],
        "differences": [
            difference
            for other in sides[1:]
            for difference in _differences(models, sides[0], other)
        ],
        "tasted": tasted(cellar, {side.name: side.batches for side in sides}),
        "cautions": first_of_each(text for side in sides for text in _cautions(cellar, side)),
    }


def _cautions(cellar: Cellar, side: Side) -> list[str]:
    """Return what must be said of a side: of the plan, or of batches made by their own entries."""
    if side.prediction is not None:
        return list(side.prediction["cautions"])
    batches = circumstances_of_batches(cellar, side.musts["batch_id"].to_list())
    return [caution.as_text() for now in batches.values() for caution in cautions_due(now)]


def _side(cellar: Cellar, models: Models, name: str) -> Side:
    batches, fruits = cellar.table("batches"), cellar.table("must_fruits")
    for column in ("batch_id", "recipe"):
        found = batches.filter(pl.col(column) == name)
        if not found.is_empty():
            own = pl.col("must_id").is_in(found["batch_id"].to_list()) & ~pl.col("is_planned")
            return Side(name, found, fruits.filter(own))
    try:
        plans = planned(cellar, [name])
    except UnknownNameError as error:
        raise UnknownNameError(
            f"'{name}' is no batch, no recipe that a batch follows, and no recipe of recipes.csv."
        ) from error
    (prediction,) = predict(cellar, models, plans, cellar.table("staged_recipes"))
    return Side(name, plans.musts, plans.must_fruits, prediction)


def _rows(sides: list[Side], batches: pl.DataFrame) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = [
        {
            "measure": "fruit",
            "values": [" + ".join(side.fruits["fruit"].unique().sort()) or None for side in sides],
            "spread_between_repeats": None,
        }
    ]
    rows += [
        {
            "measure": measure,
            "values": [side.words(column) for side in sides],
            "spread_between_repeats": None,
        }
        for measure, column in WORDS.items()
    ]
    for measure, column in {**INPUTS, **OUTCOMES}.items():
        outcome = measure if measure in OUTCOMES else None
        rows.append(
            {
                "measure": measure,
                "values": [side.value(column, outcome) for side in sides],
                "spread_between_repeats": _between_repeats(batches, column) if outcome else None,
            }
        )
    return rows


def _between_repeats(batches: pl.DataFrame, column: str) -> float | None:
    """Return the standard deviation among batches of one recipe, pooled over recipes."""
    repeats = (
        batches.drop_nulls(["recipe", column])
        .group_by("recipe")
        .agg(pl.col(column).var().alias("variance"), pl.len().alias("count"))
        .filter(pl.col("count") > 1)
    )
    if repeats.is_empty():
        return None
    freedom = repeats["count"].to_numpy() - 1
    return float(np.sqrt((repeats["variance"].to_numpy() * freedom).sum() / freedom.sum()))


def _differences(models: Models, one: Side, other: Side) -> list[dict[str, Any]]:
    """Return what differs between two sides and what each difference does; all together first."""
    both = pl.concat([_first(one.musts, "a"), _first(other.musts, "b")], how="diagonal_relaxed")
    fruits = pl.concat([_of_first(one, "a"), _of_first(other, "b")], how="diagonal_relaxed")
    expected = forecast(models, both, fruits)
    a, b = expected.row("a"), expected.row("b")
    found = [
        {
            "factor": "all_together",
            "a": one.name,
            "b": other.name,
            "effect": {
                name: change.as_dict()
                for name in TOGETHER
                if (change := expected[name].change(a, b)) is not None
            },
        }
    ]
    return [*found, *_reasons(models, expected, a, b)]


def _reasons(models: Models, expected: Forecast, a: int, b: int) -> list[dict[str, Any]]:
    """Return what each factor that differs does to harshness, the largest first."""
    fit, inputs = models.taste.harshness, expected.taste
    shares = share_out(fit, inputs.take(np.array([b])), inputs.take(np.array([a])))
    found = []
    for name, value, sd in zip(shares.names, shares.value, shares.sd(), strict=True):
        effect = estimate_from(float(value), float(sd), "points", models.taste.batches, fit.degrees)
        if effect is not None and abs(effect.value) >= WORTH_A_WORD:
            own, its = (told(BY_NAME[name], inputs, expected.musts, row) for row in (a, b))
            effects = {"harshness": effect.as_dict()}
            found.append({"factor": name, "a": own, "b": its, "effect": effects})
    return sorted(found, key=lambda difference: -abs(difference["effect"]["harshness"]["value"]))


def _first(musts: pl.DataFrame, name: str) -> pl.DataFrame:
    """Return the must that stands for a side: the first of its repeats."""
    row = musts.head(1)
    key = "batch_id" if "batch_id" in row.columns else "must_id"
    return row.rename({key: "must_id"}).with_columns(must_id=pl.lit(name))


def _of_first(side: Side, name: str) -> pl.DataFrame:
    row = side.musts.head(1)
    key = "batch_id" if "batch_id" in row.columns else "must_id"
    return side.fruits.filter(pl.col("must_id") == row[key][0]).with_columns(must_id=pl.lit(name))
