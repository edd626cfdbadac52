"""Acidity, strength and sweetness of finished wines: measured where they were, else expected."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import polars as pl
from scipy import sparse

from pipeline.learning.doubtful import ERROR_TO_SD, moved_musts
from pipeline.learning.ferments import Ferments, expected_ferment
from pipeline.learning.gravity import GravityModel
from pipeline.learning.mixed import MixedModel
from pipeline.learning.mixed.columns import Columns, Prior
from pipeline.learning.musts import Musts
from pipeline.learning.taste.inputs import WineInputs

# Expected sizes: common practice, no source.
MADE_G_L = 0.5  # [g/L] acid that fermenting itself leaves
REACHES_WINE = 0.9  # of the acid that is added
ACID_SD = 0.8  # [g/L] of an unmeasured wine about what went in
MEASURED_ACID_SD, MEASURED_ALCOHOL_SD, MEASURED_SUGAR_SD = 0.4, 0.9, 6.0
ALCOHOL_PER_GRAVITY = 133.0  # [% vol] per unit of gravity fermented; common practice
DRY_AT = 0.995  # gravity at which a country wine stops; common practice
USUAL_TOLERANCE = 14.5  # [% vol] common practice
SUGAR_PER_PERCENT = 17.0  # [g/L] left for each % vol that the yeast did not make
AT_ONCE = 4000  # musts whose ferments are worked out together
DRY_G_L = 4.0  # [g/L] left in a dry wine


@dataclass(frozen=True)
class AcidityModel:
    """How measured acidity follows from what went in; `regressor` is None where none was read."""

    fruits: tuple[str, ...]
    regressor: MixedModel | None = None

    def expected(self, musts: Musts) -> tuple[np.ndarray, np.ndarray]:
        """Return expected acidity [g/L as tartaric] and its standard deviation."""
        known, columns = _columns(musts)
        measured = REACHES_WINE * np.nan_to_num(musts["acid_error_g_l"]) / ERROR_TO_SD
        if self.regressor is None:
            return known, np.hypot(ACID_SD, measured)
        posterior = self.regressor.posterior(columns.matrix())
        sd = np.hypot(np.hypot(posterior.sd, self.regressor.residual_sd_), measured)
        return known + posterior.mean, sd


def fit_acidity(musts: Musts, measured: np.ndarray) -> AcidityModel:
    """Learn how much acid of each fruit and of each addition reaches the wine."""
    known, columns = _columns(musts)
    usable = np.isfinite(known) & np.isfinite(measured)
    if usable.sum() < 3:
        return AcidityModel(musts.fruits)
    regressor = MixedModel(
        columns.grouped(), residual=(0.5, 0.4), fit_intercept=False, robust=True, tol=1e-3
    )
    regressor.fit(columns.matrix()[np.flatnonzero(usable)], (measured - known)[usable])
    return AcidityModel(musts.fruits, regressor)


def _columns(musts: Musts) -> tuple[np.ndarray, Columns]:
    fruit, added = musts["fruit_acid_g_l"], musts["acid_added_g_l"]
    expected = (
        MADE_G_L + 0.85 * fruit + REACHES_WINE * added - np.nan_to_num(musts["acid_removed_g_l"])
    )
    filled = np.nan_to_num(fruit)
    columns = Columns(len(musts))
    columns.line("made", np.ones(len(musts)), Prior(0.7))
    columns.line("fruit", filled, Prior(0.15))
    columns.line("added", np.nan_to_num(added), Prior(0.12))
    columns.line("hot", np.nan_to_num(musts["heat"]) * filled, Prior(0.08))
    columns.line("days", np.nan_to_num(musts["log_contact"] - 2.0) * filled, Prior(0.08))
    total = np.asarray(musts.load.sum(axis=1)).ravel()
    shares = sparse.diags_array(filled / np.maximum(total, 1e-9)) @ musts.load
    columns.block("each fruit", sparse.csr_array(shares), [*musts.fruits, "?"], Prior(0.12, 0.5))
    return expected, columns


def alcohol_by_mass(musts: Musts) -> np.ndarray:
    """Return the alcohol that an ordinary yeast makes of all the sugar [% vol]."""
    potential = ALCOHOL_PER_GRAVITY * (musts["equivalent_gravity_by_mass"] - DRY_AT)
    with np.errstate(invalid="ignore"):  # unknown sugar passes through as NaN
        gap = (potential - USUAL_TOLERANCE) / 0.6
        return np.asarray(potential - 0.6 * np.logaddexp(0.0, gap))


@dataclass(frozen=True)
class Fermented:
    """What the gravity model expects of musts, and how surely; arrays (n,), None where not asked.

    alcohol [% vol], residual_sugar [g/L], shortfall: the share of the nitrogen needed that lacked.
    """

    alcohol: np.ndarray | None = None
    residual_sugar: np.ndarray | None = None
    shortfall: np.ndarray | None = None
    alcohol_sd: np.ndarray | None = None
    residual_sugar_sd: np.ndarray | None = None
    shortfall_sd: np.ndarray | None = None


def fermented(ferments: Ferments) -> Fermented:
    """Return what taste depends on of what the gravity model expects."""
    names = ("alcohol", "residual", "shortfall")
    return Fermented(
        *(ferments.mean[name] for name in names), *(ferments.new_sd(name) for name in names)
    )


def fermented_musts(model: GravityModel, musts: Musts) -> Fermented:
    """Return the same of logged musts, some thousands at a time: their slopes take much room."""
    rows = np.array_split(np.arange(len(musts)), max(len(musts) // AT_ONCE, 1))
    parts = []
    for some in rows:
        taken = musts.take(some)
        parts.append(fermented(expected_ferment(model, taken, moved_musts(taken))))
    return Fermented(
        **{
            field.name: np.concatenate([getattr(part, field.name) for part in parts])
            for field in fields(Fermented)
        }
    )


def expected_wine(
    musts: Musts, acidity: AcidityModel, of_gravity: Fermented | None = None
) -> WineInputs:
    """Return what is expected of unmade wines, sweetened as the plan says.

    Parameters
    ----------
    musts : Musts
    acidity : AcidityModel
    of_gravity : Fermented, optional
        What the gravity model expects; plain mass balance where it is not given or NaN.
    """
    known, count = of_gravity or Fermented(), len(musts)
    plain = alcohol_by_mass(musts)
    potential = ALCOHOL_PER_GRAVITY * (musts["equivalent_gravity_by_mass"] - DRY_AT)
    left = DRY_G_L + SUGAR_PER_PERCENT * np.maximum(potential - plain, 0.0)
    sour, sour_sd = acidity.expected(musts)
    sugar, sugar_sd = _either(known.residual_sugar, left, known.residual_sugar_sd, 6.0, count)
    wanted = np.nan_to_num(musts["sweeten_to_g_l"])
    strong, strong_sd = _either(known.alcohol, plain, known.alcohol_sd, 1.0, count)
    lacking, lacking_sd = _either(known.shortfall, np.nan, known.shortfall_sd, 1.0, count)
    return WineInputs(
        alcohol=strong,
        residual_sugar=np.maximum(sugar, wanted),
        acidity=sour,
        alcohol_sd=strong_sd,
        residual_sugar_sd=np.where(wanted > sugar, 1.0, sugar_sd),
        acidity_sd=sour_sd,
        shortfall=lacking,
        shortfall_sd=lacking_sd,
    )


def _either(
    given: np.ndarray | None,
    instead: np.ndarray | float,
    sd: np.ndarray | None,
    instead_sd: float,
    count: int,
) -> tuple[np.ndarray, np.ndarray]:
    given = np.full(count, np.nan) if given is None else np.asarray(given, dtype=float)
    sd = np.full(count, 0.6 * instead_sd) if sd is None else np.asarray(sd, dtype=float)
    known = np.isfinite(given)
    return np.where(known, given, instead), np.where(known, sd, instead_sd)


def logged_wine(batches: pl.DataFrame, expected: WineInputs) -> WineInputs:
    """Return strength, sweetness and acidity of batches: measured and expected weighed together.

    A first gravity is often read before the fruit has given its sugar, so that measured strength is
    off by as much for nearly all; plans are judged by what is expected, so the measured ones are
    brought to the same level.

    Parameters
    ----------
    batches : polars.DataFrame
        Rows of the mart's `batches`, in the order of `expected`.
    expected : WineInputs
    """
    alcohol, alcohol_sd = _together(
        _number(batches, "alcohol"), MEASURED_ALCOHOL_SD, expected.alcohol, expected.alcohol_sd
    )
    sugar, sugar_sd = _together(
        _number(batches, "residual_sugar_g_l"),
        MEASURED_SUGAR_SD,
        expected.residual_sugar,
        expected.residual_sugar_sd,
    )
    acidity, acidity_sd = _together(
        _number(batches, "ta_tartaric_g_l"),
        MEASURED_ACID_SD,
        expected.acidity,
        expected.acidity_sd,
    )
    return replace(
        expected,
        alcohol=alcohol,
        residual_sugar=np.maximum(sugar, 0.0),
        acidity=acidity,
        alcohol_sd=alcohol_sd,
        residual_sugar_sd=sugar_sd,
        acidity_sd=acidity_sd,
    )


def _together(
    measured: np.ndarray, measured_sd: float, expected: np.ndarray, expected_sd: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Weigh what was measured against what was expected, each by its precision."""
    difference = measured - expected
    known = np.isfinite(difference)
    offset = float(np.median(difference[known])) if known.any() else 0.0
    share = expected_sd**2 / (expected_sd**2 + measured_sd**2)
    mixed = expected + share * (difference - offset)
    sd = measured_sd * np.sqrt(share)
    return np.where(known, mixed, _first(measured, expected)), np.where(known, sd, expected_sd)


def _first(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    return np.where(np.isfinite(one), one, other)


def _number(frame: pl.DataFrame, name: str) -> np.ndarray:
    return frame[name].cast(pl.Float64).fill_null(float("nan")).to_numpy().astype(float)
