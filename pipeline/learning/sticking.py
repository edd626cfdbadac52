"""How likely a must is to stick: a pooled logistic line through what makes yeasts give up.

A batch stuck if it stood still above 1.000, well short of where its sugar and yeast would have left
it; one that stood still about there has finished, sweet. What may be behind it is reckoned by the
gravity model: nitrogen that was missing, sugar beyond what the yeast stands, cold and heat. How
often musts stick is known beforehand, roughly, so that every maker is told a chance: were only
those told of whom a few batches stuck, it would be the unlucky ones, and told too high.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from scipy.optimize import minimize
from scipy.special import expit, logit

from pipeline.learning.ferments import Ferments, expected_ferment
from pipeline.learning.gravity import GravityModel
from pipeline.learning.gravity.terms import USUAL_WARMTH_C
from pipeline.learning.mixed.columns import indicator
from pipeline.learning.mixed.curved import thinned
from pipeline.learning.musts import Musts
from pipeline.learning.sticking_chances import Chances

SHORT_OF_IT = 2.0  # standard deviations above the gravity expected, from which a batch stuck
# Before any batch is seen: common practice, no source; the logbook overrules it as it grows.
USUAL_CHANCE, USUAL_DOUBT = 0.03, 1.0  # of the logbook's average must; doubt in log odds
YEAST_SD = 0.4  # [log odds] between yeasts
# Factor, as reasons name it: what one unit adds to the log odds, and how doubtful that is.
FACTORS = {
    "nitrogen_shortfall": (1.5, 1.0),  # all the nitrogen that was needed
    "sugar_excess": (0.25, 0.25),  # [% vol] that the sugar allows beyond what the yeast stands
    "heat_or_cold": (0.7, 0.5),  # square of 4 °C outside of what yeasts like
}
COLD_C, HOT_C = 17.0, 24.0  # beyond which the gravity model reckons with it too
SETTLED = 1e-8  # slope of the fit that moves nothing


@dataclass
class StickingModel:
    """What a logbook taught of sticking.

    taught_by are the batches it rests on, stuck how many of them stuck; usual (factors,) is the
    average one; mean and covariance are of the coefficients: one, the factors, the yeasts and one
    yeast never seen.
    """

    yeasts: tuple[str, ...]
    taught_by: tuple[str, ...]
    stuck: int
    usual: np.ndarray
    mean: np.ndarray
    covariance: np.ndarray

    def chances(self, musts: Musts, ferments: Ferments) -> Chances:
        """Return how likely musts are to stick.

        Parameters
        ----------
        musts : Musts
        ferments : Ferments
            What the gravity model expects of them.
        """
        factors = factors_of(musts, ferments)
        rows = _design(musts, factors - self.usual, self.yeasts)
        parts = rows * self.mean
        many = 1 + len(FACTORS)
        of_factors = self.mean[1:many]
        # What is expected of the ferment is not surely known either.
        told = (of_factors[0] * ferments.sd["shortfall"]) ** 2
        told += (of_factors[1] * ferments.sd["excess"]) ** 2
        learnt = np.einsum("ij,jk,ik->i", rows, self.covariance, rows)
        _, doubt = _before(rows.shape[1])
        return Chances(
            usual=float(self.mean[0]),
            parts=dict(zip(FACTORS, parts[:, 1:many].T, strict=True))
            | {"yeast": parts[:, many:].sum(axis=1)},
            sd=np.sqrt(learnt + told),
            learnt=1.0 - learnt / (rows**2 @ doubt**2),
            batches=len(self.taught_by),
            stuck=self.stuck,
        )


def factors_of(musts: Musts, ferments: Ferments) -> np.ndarray:
    """Return what may make musts stick, in the order of `FACTORS` (n, factors)."""
    known = musts["must_temperature_c"]
    warm = np.where(np.isfinite(known), known, USUAL_WARMTH_C)
    away = np.maximum(COLD_C - warm, 0.0) ** 2 + np.maximum(warm - HOT_C, 0.0) ** 2
    return np.stack([ferments.mean["shortfall"], ferments.mean["excess"], away / 16.0], axis=1)


def fit_sticking(musts: Musts, frame: pl.DataFrame, gravity: GravityModel) -> StickingModel:
    """Learn from a logbook how likely its musts are to stick.

    Parameters
    ----------
    musts : Musts
    frame : polars.DataFrame
        The mart's `batches`, in the same order.
    gravity : GravityModel
        Fitted to them: what they should have come to.
    """
    yeasts = tuple(sorted({name for name in musts.yeast if name is not None}))
    stood = frame["stuck_gravity"].cast(pl.Float64).to_numpy()
    ended = frame["final_gravity"].is_not_null().to_numpy() | np.isfinite(stood)
    chosen = thinned(np.flatnonzero(ended))
    musts, stood = musts.take(chosen), stood[chosen]
    ferments = expected_ferment(gravity, musts)
    factors = factors_of(musts, ferments)
    known = np.flatnonzero(np.isfinite(factors).all(axis=1))
    short = stood - ferments.mean["undiluted"] > SHORT_OF_IT * ferments.new_sd("undiluted")
    usual = factors[known].mean(axis=0) if known.size else np.zeros(len(FACTORS))
    design = _design(musts.take(known), factors[known] - usual, yeasts)
    mean, covariance = _posterior(design, short[known].astype(float))
    taught_by = tuple(musts.ids[row] for row in known)
    return StickingModel(yeasts, taught_by, int(short[known].sum()), usual, mean, covariance)


def _design(musts: Musts, factors: np.ndarray, yeasts: tuple[str, ...]) -> np.ndarray:
    """Return the row of every must (n, p)."""
    one = np.ones((len(musts), 1))
    return np.hstack([one, factors, indicator(musts.yeast, yeasts).toarray()])


def _before(width: int) -> tuple[np.ndarray, np.ndarray]:
    """Return what the coefficients are taken for before any batch is seen, and their doubt."""
    usual = (float(logit(USUAL_CHANCE)), USUAL_DOUBT)
    yeasts = [(0.0, YEAST_SD)] * (width - 1 - len(FACTORS))
    centre, doubt = np.array([usual, *FACTORS.values(), *yeasts]).T
    return centre, doubt


def _posterior(design: np.ndarray, stuck: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and covariance of the coefficients, by Laplace's method and its next term.

    Where few batches stuck the posterior leans to the side of rarity, and its mode tells a tenth
    too much: the third derivative of the likelihood moves the mode to the mean (D. V. Lindley,
    Trabajos de Estadística 31, 1980, 223-245; from memory).
    """
    centre, doubt = _before(design.shape[1])

    def loss(at: np.ndarray) -> float:
        line = design @ at
        return float((np.logaddexp(0, line) - stuck * line).sum() + _square(at - centre) / 2)

    def slope(at: np.ndarray) -> np.ndarray:
        rise: np.ndarray = design.T @ (expit(design @ at) - stuck) + (at - centre) / doubt**2
        return rise

    def precision(at: np.ndarray) -> np.ndarray:
        weight = expit(design @ at) * expit(-design @ at)
        return np.asarray((design * weight[:, None]).T @ design + np.diag(doubt**-2))

    def _square(away: np.ndarray) -> float:
        return float(((away / doubt) ** 2).sum())

    found = minimize(
        loss, centre, jac=slope, hess=precision, method="trust-exact", options={"gtol": SETTLED}
    )
    mode, covariance = found.x, np.linalg.inv(precision(found.x))
    chance = expit(design @ mode)
    lean = chance * (1 - chance) * (1 - 2 * chance)
    spread = np.einsum("ij,jk,ik->i", design, covariance, design)
    return mode - covariance @ (design.T @ (lean * spread)) / 2, covariance
