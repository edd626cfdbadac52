"""How recipes are judged: by expected score, subject to a full vessel and the maker's wishes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import polars as pl

from pipeline.advice.suggest.wanted import Wanted
from pipeline.cellar import Cellar
from pipeline.enology.limits import limit
from pipeline.learning.forecast import Forecast

FULL = 0.95  # finished share of the target that counts as a full vessel
SHORT_COSTS = 20.0  # [points of 20] that an empty vessel would cost; 5 % short weighs as one point
STRENGTH_MAY_MOVE = 1.0  # [% vol] from the recipe's own, which the maker chose
STRENGTH_GRANTED = 0.2  # [% vol] by which nobody minds it off; common practice, no source
# [points of 20] for each % vol outside the strength asked for, and for a bottle twice as dear:
# what the maker asks for goes before a finer taste.
OUTSIDE_COSTS, DEARER_COSTS = 8.0, 40.0
SLACK = 0.01  # by which a limit may be passed that nobody could measure


Wish = Literal["full", "weaker", "stronger", "cost", "nutrient"]


@dataclass(frozen=True)
class Outcomes:
    """What a set of recipes comes to, as far as the maker's wishes go; arrays (n,)."""

    score: np.ndarray
    share: np.ndarray
    strength: np.ndarray
    cost_per_bottle: np.ndarray
    phosphate: np.ndarray


@dataclass(frozen=True)
class Yardstick:
    """How recipes are judged: the maker's wishes, with what the base makes of those left open.

    `is_unmet` tells whether the base misses something that was asked for in so many words; then a
    change may cost some taste. `asked` is what was.
    """

    out_of: float
    full: float
    full_needed: float
    strength: tuple[float, float]
    cost_per_bottle: float
    phosphate: float
    is_unmet: bool
    asked: frozenset[Wish] = frozenset()

    def worth(self, found: Outcomes) -> np.ndarray:
        """Return the score less what an unfilled vessel and unmet wishes cost [points]."""
        short = np.maximum(self.full - found.share, 0.0)
        low, high = self.strength
        outside = np.maximum(low - found.strength, 0.0) + np.maximum(found.strength - high, 0.0)
        dearer = np.maximum(found.cost_per_bottle / self.cost_per_bottle - 1.0, 0.0)
        costs = SHORT_COSTS * short + OUTSIDE_COSTS * outside
        costs = costs + DEARER_COSTS * np.nan_to_num(dearer)
        return found.score - self.out_of / 20.0 * costs

    def missed(
        self, found: Outcomes, strength_sd: np.ndarray | float = 0.0
    ) -> dict[Wish, np.ndarray]:
        """Tell which recipes are further from each wish than the base (the first) is.

        Half a hundredth of a vessel, a twentieth of a % vol and a hundredth of a price are nothing.

        Parameters
        ----------
        found : Outcomes
        strength_sd : array (n,) or float
            How surely the strength is known to lie where it is expected; a strength near an end of
            what is wanted must be well known.
        """
        margin = np.maximum(np.nan_to_num(strength_sd) - STRENGTH_GRANTED, 0.0)
        low, high = self.strength[0] + margin, self.strength[1] - margin
        dearer = np.nan_to_num(found.cost_per_bottle / self.cost_per_bottle) - 1.0
        misses: dict[Wish, np.ndarray] = {
            "full": np.maximum(self.full_needed - found.share, 0.0) / 0.005,
            "weaker": np.maximum(low - found.strength, 0.0) / 0.05,
            "stronger": np.maximum(found.strength - high, 0.0) / 0.05,
            "cost": np.maximum(dearer, 0.0) / 0.01,
            "nutrient": np.maximum(found.phosphate - self.phosphate, 0.0) / 1e-9,
        }
        return {wish: miss > miss[0] + 1.0 for wish, miss in misses.items()}

    def meets(self, found: Outcomes) -> np.ndarray:
        """Tell which recipes keep to all that was asked for in so many words."""
        dearer = np.nan_to_num(found.cost_per_bottle / self.cost_per_bottle) - 1.0
        short: dict[Wish, np.ndarray] = {
            "full": self.full_needed - found.share,
            "weaker": self.strength[0] - found.strength,
            "stronger": found.strength - self.strength[1],
            "cost": dearer,
        }
        passed = [short[wish] > SLACK for wish in self.asked]
        return ~np.any(passed, axis=0) if passed else np.ones(found.share.size, dtype=bool)

    def is_allowed(self, found: Outcomes, strength_sd: np.ndarray | float = 0.0) -> np.ndarray:
        """Tell which recipes miss no wish, or none by more than the base does."""
        return ~np.any(list(self.missed(found, strength_sd).values()), axis=0)


def outcomes_of(cellar: Cellar, musts: pl.DataFrame, expected: Forecast) -> Outcomes:
    """Return what recipes are expected to come to.

    Parameters
    ----------
    cellar : Cellar
    musts : polars.DataFrame
        Their rows of `musts`.
    expected : Forecast
        Of those, in that order.
    """

    def column(name: str) -> np.ndarray:
        values = musts[name].cast(pl.Float64)
        return values.fill_null(float("nan")).to_numpy().astype(float)

    share = expected["finished_fraction"].mean
    bottles = np.maximum(share * column("target_volume_l"), 1e-6) / cellar.settings()["bottle_l"]
    return Outcomes(
        score=expected["score"].mean,
        share=share,
        strength=expected["alcohol"].mean,
        cost_per_bottle=column("cost") / bottles,
        phosphate=np.nan_to_num(column("ammonium_phosphate_g_l")),
    )


def yardstick_of(cellar: Cellar, outcomes: Outcomes, wanted: Wanted) -> Yardstick:
    """Return how recipes are judged, the first of the outcomes being the recipe as it is."""
    share, strength = float(outcomes.share[0]), float(outcomes.strength[0])
    full = FULL if wanted.full is None else wanted.full
    low, high = wanted.strength or (strength, strength)
    most = wanted.cost_per_bottle or np.inf
    is_unmet = not low <= strength <= high or outcomes.cost_per_bottle[0] > most
    return Yardstick(
        out_of=float(cellar.settings()["score_out_of"]),
        full=full,
        full_needed=full if wanted.full is not None else min(full, share),
        strength=wanted.strength or (strength - STRENGTH_MAY_MOVE, strength + STRENGTH_MAY_MOVE),
        cost_per_bottle=most,
        phosphate=max(limit("ammonium phosphate us").value, float(outcomes.phosphate[0])),
        is_unmet=bool(is_unmet or (wanted.full is not None and share < full)),
        asked=_asked(wanted),
    )


def _asked(wanted: Wanted) -> frozenset[Wish]:
    found: set[Wish] = set()
    if wanted.strength is not None:
        found |= {"weaker", "stronger"}
    if wanted.cost_per_bottle is not None:
        found.add("cost")
    if wanted.full is not None:
        found.add("full")
    return frozenset(found)
