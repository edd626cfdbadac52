"""How far a must ferments: yeast, sugar and nitrogen, first and finished gravity fitted together.

The first reading shows what sugar the fruit brought, the finished one what the yeast made of it.
Each fruit has its own sugar, nitrogen and extract, each yeast its tolerance, demand and residue,
all drawn towards common values. Stuck batches are kept apart (`sticking`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields

import numpy as np
import polars as pl
from scipy import sparse

from pipeline.learning.columns import Columns, Prior, indicator, scaled_rows
from pipeline.learning.curved import CurvedFit, Fitting, fit_curve, thinned
from pipeline.learning.ferment import Scalars, State, Supply, ferment, slopes
from pipeline.learning.musts import Musts, typical_values
from pipeline.learning.spreads import Grouped

FEWEST_BATCHES = 3
STARCH_TURNED = 0.15  # share that turns to sugar by itself; common practice, no source
STARCH_BY_AMYLASE = 0.6  # more with the enzyme; common practice, no source

# Where coefficients stand before any batch is seen, and how far from it they may be.
# Common practice or from memory, no source; the logbook overrules them as it grows.
JUICE = 0.82  # share of a fruit's own liquid that comes to share the sugar
FLOWER_L_KG = 0.25  # [L/kg] the same of flowers and leaves, which bring no sugar
NITROGEN_MG_KG = 200.0
TOLERANCE = 14.5  # [% vol]
RESIDUE = 2.0  # [g/L]
EXTRACT_G_L = 16.0
EXTRACT_G_KG = 12.0

OUTCOME_SD = {"original": 0.0035, "final": 0.0015}
BATCH = Grouped("batch sugar", (), 4.0, 0.4)  # [g/L] by which a batch departs from its recipe
RESIDUAL = (1.0, 0.15)  # rows are in units of their own standard deviation
TOLERANCE_NOISE = 0.25  # [% vol] between two ferments of one must
ALCOHOL_NOISE = 0.008  # relative, between two ferments of one must
# Alcohol per gram of sugar cannot be seen in gravities, where the rest of the extract hides it: it
# is held at the literature's value, and this relative doubt about it stands in every interval.
YIELD_DOUBT = 0.017
# No formula is the wine: predictions of batches not seen were this much further out than the
# posterior said, on simulated makers whose physics is not the model's (tests/scale).
MISFIT = 1.35
FORM_DOUBT = 0.0006  # [SG]


@dataclass
class GravityModel:
    """The fitted model; `fit` is None where the logbook holds too little."""

    fruits: tuple[str, ...]
    yeasts: tuple[str, ...]
    typical: dict[str, float]
    batches: int = 0
    fit: CurvedFit | None = None
    outcome_sd: dict[str, float] = field(default_factory=lambda: dict(OUTCOME_SD))

    @property
    def degrees(self) -> float:
        """Degrees of freedom that the intervals rest on."""
        return 3.0 if self.fit is None else float(self.fit.regressor.degrees_) / 2

    def coefficients(self, width: int) -> np.ndarray:
        """Return the coefficients, the priors' where nothing is fitted."""
        return np.zeros(width) if self.fit is None else self.fit.coefficients


class MustCurve:
    """The scalars of some musts as linear functions of the coefficients."""

    def __init__(self, model: GravityModel, musts: Musts, supply: Supply) -> None:
        self.model, self.musts, self.supply = model, musts, supply
        self.columns = _designs(model, musts)
        self.matrices = {name: columns.matrix() for name, columns in self.columns.items()}
        self.base = _base(musts, len(musts))

    @property
    def width(self) -> int:
        """Number of coefficients."""
        return sum(matrix.shape[1] for matrix in self.matrices.values())

    def scalars(self, coefficients: np.ndarray) -> Scalars:
        """Return the scalars at these coefficients."""
        values, first = {}, 0
        for name, matrix in self.matrices.items():
            part = coefficients[first : first + matrix.shape[1]]
            values[name] = self.base[name] + matrix @ part
            first += matrix.shape[1]
        return Scalars(**values)

    def state(self, coefficients: np.ndarray) -> State:
        """Return what the musts ferment to."""
        return ferment(self.supply, self.scalars(coefficients))

    def litres(self, at: Scalars) -> np.ndarray:
        """Return the litres that share the sugar, per litre of target."""
        return np.maximum(self.supply.poured + self.supply.juice * np.exp(at.litres), 0.2)

    def jacobian(self, along: dict[str, np.ndarray], rows: np.ndarray | None = None) -> np.ndarray:
        """Return the slope of an outcome along the coefficients from those along the scalars."""
        rows = np.arange(len(self.musts)) if rows is None else rows
        parts = [
            scaled_rows(matrix[rows], along[name][rows]) for name, matrix in self.matrices.items()
        ]
        return sparse.hstack(parts).toarray()

    def grouped(self) -> list[Grouped]:
        """Return the groups of the coefficients."""
        found, first = [], 0
        for part, columns in self.columns.items():
            for group in columns.grouped():
                places = tuple(first + place for place in group.columns)
                found.append(Grouped(f"{part}: {group.name}", places, group.sd, group.doubt))
            first += len(columns.names)
        return found


def read_supply(
    musts: Musts, typical: dict[str, float], topping: tuple[np.ndarray, np.ndarray] | None = None
) -> Supply:
    """Return what is known of these musts, per litre of target; NaN where it must be known."""
    target = musts["target_l"]
    late = np.nan_to_num(musts["late_sugar_kg"])
    turned = STARCH_TURNED + STARCH_BY_AMYLASE * musts.filled("has_amylase", typical)
    starch = 1.11 * np.nan_to_num(musts["fruit_starch_g"]) * np.minimum(turned, 0.9)
    # Nitrogen stands per litre of strained must, sugar here per litre of target.
    nitrogen = musts.filled("nitrogen_added_mg_l", typical) * musts["must_l"] / target
    kept, gravity = topping or (np.ones(len(musts)), np.ones(len(musts)))
    return Supply(
        poured=musts["poured"],
        fruit=musts["load"],
        juice=_expected_juice(musts),
        late_sugar=1000 * late / target,
        early_sugar=1000 * (musts["sugar_kg"] - late) / target,
        juice_sugar=np.nan_to_num(musts["juice_sugar_g"]) / target,
        fruit_sugar=(musts["fruit_sugar_g"] + starch) / target,
        nitrogen=nitrogen,
        kept=kept,
        topping=gravity,
    )


def _expected_juice(musts: Musts) -> np.ndarray:
    """Return litres that the fruit is expected to add to what shares the sugar."""
    lines = musts.lines
    liquid = JUICE * np.nan_to_num(lines.number["liquid_l_kg"], nan=0.9)
    is_flower = lines.number["sugar_g_kg"] == 0
    per_kg = np.where(is_flower, FLOWER_L_KG, liquid)
    return np.bincount(lines.must, lines.load * per_kg, len(musts))


def _base(musts: Musts, count: int) -> dict[str, np.ndarray]:
    load = np.nan_to_num(musts["load"])
    return {
        "more_sugar": np.zeros(count),
        "litres": np.zeros(count),
        "early": np.zeros(count),
        "early_juice": np.zeros(count),
        "more_nitrogen": NITROGEN_MG_KG * load,
        "demand": np.zeros(count),
        "tolerance": np.full(count, TOLERANCE),
        "cost": np.zeros(count),
        "corner": np.zeros(count),
        "gain": np.zeros(count),
        "residue": np.full(count, RESIDUE),
        "extract": EXTRACT_G_L + EXTRACT_G_KG * load,
    }


def _designs(model: GravityModel, musts: Musts) -> dict[str, Columns]:
    """Return the columns of every scalar, in the order of `Scalars`."""
    n = len(musts)
    found = {scalar.name: Columns(n) for scalar in fields(Scalars)}
    fruit_names = [*model.fruits, "?"]
    yeast = indicator(musts.yeast, model.yeasts)
    yeast_names = [*model.yeasts, "?"]
    one, load = np.ones(n), np.nan_to_num(musts["load"])
    lines = musts.lines
    expected = np.nan_to_num(lines.number["sugar_g_kg"], nan=80.0)
    rows = np.arange(lines.must.size)
    size = 0.15 * expected + 6.0
    by_sugar = sparse.csr_array(
        (lines.load * size, (lines.must, lines.fruit)), shape=musts.load.shape
    )
    table = sparse.csr_array((lines.load * size, (lines.must, rows)), shape=(n, rows.size))

    sugar = found["more_sugar"]
    sugar.line("all fruit", table @ np.ones(rows.size), Prior(0.8))
    sugar.block("fruit", by_sugar, fruit_names, Prior(0.9, 0.3))
    for name in ("unripe_share", "overripe_share", "crushed_share", "frozen_share"):
        usual = model.typical.get(name, 0.0)
        values = lines.number[name]
        away = np.where(np.isfinite(values), values, usual) - usual
        sugar.line(name, table @ away, Prior(0.5), "sugar treatment")
    days = lines.number["contact_days"]
    usual = model.typical.get("contact_days", 8.0)
    short = np.exp(-np.where(np.isfinite(days), days, usual) / 3.0)
    sugar.line("short contact", table @ (short - np.exp(-usual / 3.0)), Prior(1.0))
    starch = np.nan_to_num(musts["fruit_starch_g"]) / musts["target_l"]
    sugar.line("starch", starch, Prior(0.2))
    amylase = musts.filled("has_amylase", model.typical)
    sugar.line("starch × amylase", starch * amylase, Prior(0.25))

    found["litres"].line("all fruit", one, Prior(0.06))
    found["litres"].block("fruit", _shares(musts), fruit_names, Prior(0.06))
    for early in (found["early"], found["early_juice"]):
        early.line("all fruit", one, Prior(1.0))
        early.block("fruit", _shares(musts), fruit_names, Prior(0.5))
        for name in ("crushed_share", "frozen_share", "heat", "contact_days_before_yeast"):
            away = musts.filled(name, model.typical) - model.typical.get(name, 0.0)
            early.line(name, away, Prior(0.7), "early treatment")

    nitrogen = found["more_nitrogen"]
    nitrogen.line("all fruit", load, Prior(100.0))
    nitrogen.block("fruit", musts.load, fruit_names, Prior(90.0))
    demand = found["demand"]
    demand.line("all", one, Prior(0.25))
    demand.block("yeast", yeast, yeast_names, Prior(0.2))

    tolerance = found["tolerance"]
    tolerance.line("all", one, Prior(1.2))
    tolerance.block("yeast", yeast, yeast_names, Prior(1.2, 0.3))
    warm = musts.filled("must_temperature_c", model.typical | {"must_temperature_c": 21.0})
    tolerance.line("hot", np.maximum(warm - 24.0, 0) ** 2 / 16.0, Prior(0.5))
    tolerance.line("cold", np.maximum(17.0 - warm, 0) ** 2 / 16.0, Prior(0.5))
    found["cost"].line("all", one, Prior(0.5))
    found["corner"].line("all", one, Prior(0.4))
    gain = found["gain"]
    gain.line("all", one, Prior(0.003))
    gain.block("yeast", yeast, yeast_names, Prior(0.003))
    gain.line("warmth", (warm - 21.0) / 5.0, Prior(0.003))
    residue = found["residue"]
    residue.line("all", one, Prior(1.5))
    residue.block("yeast", yeast, yeast_names, Prior(1.5, 0.3))
    extract = found["extract"]
    extract.line("all", one, Prior(5.0))
    extract.line("all fruit", load, Prior(6.0))
    extract.block("fruit", musts.load, fruit_names, Prior(6.0, 0.4))
    acid = musts.filled("acid_added_g_l", model.typical) - model.typical.get("acid_added_g_l", 0.0)
    extract.line("acid", acid, Prior(0.6))
    tannin = musts.filled("tannin_added_g_l", model.typical)
    extract.line("tannin", tannin, Prior(0.8))
    sweet = (musts["sugar_kg"] / musts["target_l"] - 0.25) / 0.1
    extract.line("glycerol", np.nan_to_num(sweet), Prior(2.0))
    return found


def _shares(musts: Musts) -> sparse.csr_array:
    total = np.asarray(musts.load.sum(axis=1)).ravel()
    return sparse.csr_array(scaled_rows(musts.load, 1 / np.maximum(total, 1e-9)))


class ReadingCurve:
    """First and finished gravities of some musts along the coefficients, and their precision."""

    def __init__(self, curve: MustCurve, rows: dict[str, np.ndarray], sd: dict[str, float]) -> None:
        self.curve, self.rows, self.sd = curve, rows, dict(sd)

    def __call__(self, coefficients: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return expected readings (n,), Jacobian (n, width) and reach of a batch's sugar (n,)."""
        curve = self.curve
        at = curve.scalars(coefficients)
        state = ferment(curve.supply, at)
        along = slopes(curve.supply, at, ("original", "final"))
        self.bend = np.abs(along["final"]["tolerance"])
        litres = curve.litres(at)
        means, jacobians, reaches = [], [], []
        for name, rows in self.rows.items():
            means.append(getattr(state, name)[rows])
            jacobians.append(curve.jacobian(along[name], rows))
            reaches.append((along[name]["more_sugar"] * litres)[rows])
        return np.concatenate(means), np.vstack(jacobians), np.concatenate(reaches)

    def weigh(self, _: np.ndarray, fit: CurvedFit | None) -> np.ndarray:
        """Return each reading's precision; past the bend the yeast's own mood adds to its noise."""
        if fit is not None:
            self._learn_deviations(fit)
        sd = [
            np.hypot(self.sd[name], (name == "final") * self.bend[rows] * TOLERANCE_NOISE)
            for name, rows in self.rows.items()
        ]
        return np.concatenate(sd) ** -2

    def _learn_deviations(self, fit: CurvedFit) -> None:
        """Learn how noisy each kind of reading is from what the fit leaves over."""
        count = fit.left.size
        freed = count / max(fit.regressor.degrees_ - 0.5 / RESIDUAL[1] ** 2, 0.2 * count)
        first = 0
        for name, rows in self.rows.items():
            left, tails = (part[first : first + rows.size] for part in (fit.left, fit.tails))
            first += rows.size
            away = np.hypot(self.sd[name], (name == "final") * self.bend[rows] * TOLERANCE_NOISE)
            worse = freed * (tails * (left / away) ** 2).sum()
            # Ten imaginary readings of the expected deviation steady a small logbook.
            before = 10 * (OUTCOME_SD[name] / self.sd[name]) ** 2
            self.sd[name] *= float(np.sqrt((worse + before) / (rows.size + 10)))


def fit_gravity(
    musts: Musts, frame: pl.DataFrame, steps: pl.DataFrame, start: GravityModel | None = None
) -> GravityModel:
    """Fit first and finished gravity of logged batches.

    Parameters
    ----------
    musts : Musts
    frame : polars.DataFrame
        The mart's `batches`, in the order of the musts.
    steps : polars.DataFrame
        The mart's `steps`.
    start : GravityModel, optional
        A model of nearly the same batches, to start from.
    """
    yeasts = tuple(sorted({name for name in musts.yeast if name is not None}))
    model = GravityModel(musts.fruits, yeasts, typical_values(musts))
    topping = topped_before_last(frame, steps)
    read = {
        "original": frame["original_gravity"].cast(pl.Float64).to_numpy(),
        "final": frame["final_gravity"].cast(pl.Float64).to_numpy(),
    }
    supply = read_supply(musts, model.typical, topping)
    known = np.all([np.isfinite(getattr(supply, part.name)) for part in fields(Supply)], axis=0)
    model.batches = int((known & np.isfinite(read["final"])).sum())
    if model.batches < FEWEST_BATCHES:
        return model
    chosen = thinned(np.flatnonzero(known & np.isfinite(np.fmax(*read.values()))))
    musts = musts.take(chosen)
    supply = read_supply(musts, model.typical, (topping[0][chosen], topping[1][chosen]))
    read = {name: values[chosen] for name, values in read.items()}
    rows = {name: np.flatnonzero(np.isfinite(values)) for name, values in read.items()}
    curve = MustCurve(model, musts, supply)
    readings = ReadingCurve(curve, rows, OUTCOME_SD if start is None else start.outcome_sd)
    model.fit = fit_curve(
        readings,
        np.concatenate([read[name][at] for name, at in rows.items()]),
        Fitting(curve.grouped(), RESIDUAL, BATCH),
        readings.weigh,
        np.concatenate(list(rows.values())),
        None if start is None else start.fit,
    )
    model.outcome_sd = readings.sd
    return model


def topped_before_last(frame: pl.DataFrame, steps: pl.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Return what share of the wine read last was not topped up, and the gravity of the rest."""
    gravity = {"water": 1.0, "wine": 0.995, "juice": 1.045}
    topped = (
        steps.filter(pl.col("topped_up_l") > 0)
        .join(frame.select("batch_id", "last_day"), on="batch_id")
        .filter(pl.col("day") < pl.col("last_day"))
        .with_columns(
            share=pl.col("volume_after_l") / (pl.col("volume_after_l") + pl.col("topped_up_l")),
            gravity=pl.col("topped_up_with").replace_strict(gravity, default=None),
        )
        .group_by("batch_id")
        .agg(
            pl.col("share").product(),
            pl.col("gravity").mean(),
            (pl.col("gravity").null_count() + pl.col("share").null_count()).alias("unknown"),
        )
    )
    both = frame.select("batch_id").join(topped, on="batch_id", how="left", maintain_order="left")
    unknown = both["unknown"].fill_null(0).to_numpy() > 0
    kept = both["share"].fill_null(1.0).to_numpy().copy()
    kept[unknown] = np.nan
    return kept, both["gravity"].fill_null(1.0).to_numpy()
