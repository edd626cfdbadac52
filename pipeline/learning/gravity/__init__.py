"""How far a must ferments: yeast, sugar and nitrogen, first and finished gravity fitted together.

The first reading shows what sugar the fruit brought, the finished one what the yeast made of it.
Each fruit has its own sugar, nitrogen and extract, each yeast its tolerance, demand and residue,
all drawn towards common values. Stuck batches are kept apart: they have no finished gravity.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields

import numpy as np
import polars as pl
from scipy import sparse

from pipeline.learning.doubtful import moved_musts
from pipeline.learning.ferment import Scalars, State, Supply, ferment
from pipeline.learning.gravity.readings import (
    BATCH,
    OUTCOME_SD,
    RESIDUAL,
    ReadingCurve,
    ReadingDoubts,
)
from pipeline.learning.gravity.supply import read_supply, topped_before_last
from pipeline.learning.gravity.terms import Words, base_scalars, scalar_columns
from pipeline.learning.mixed.curved import CurvedFit, Fitting, fit_curve, thinned
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.musts import Musts, typical_values
from pipeline.learning.usual import unsaid_amounts

FEWEST_BATCHES = 3
ALCOHOL_NOISE = 0.012  # relative, between two ferments of one must
# Alcohol per gram of sugar cannot be seen in gravities, where the rest of the extract hides it: it
# is held at the literature's value, and this relative doubt about it (16.3 to 16.9 g/L, evenly)
# stands in every interval. Nor can be seen how much of the fruit's juice came to share the sugar:
# however many batches there are, alcohol is not known more closely than this, times the load.
YIELD_DOUBT = 0.012
MIXING_DOUBT = 0.7  # [% vol per kg/L] calibrated on simulated makers, as MISFIT
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
        words = Words(model.fruits, model.yeasts, model.typical)
        self.columns = scalar_columns(words, musts)
        self.matrices = {name: columns.matrix() for name, columns in self.columns.items()}
        self.stacked = sparse.csr_array(sparse.hstack(list(self.matrices.values()), format="csr"))
        widths = [matrix.shape[1] for matrix in self.matrices.values()]
        self.scalar_of = np.repeat(np.arange(len(widths)), widths)
        self.base = base_scalars(musts)

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
        juice = self.supply.juice * np.exp(at.litres)
        return np.maximum(self.supply.poured + juice - self.supply.dried_off, 0.2)

    def jacobian(self, along: dict[str, np.ndarray], rows: np.ndarray | None = None) -> np.ndarray:
        """Return the slope of an outcome along the coefficients from those along the scalars."""
        rows = np.arange(len(self.musts)) if rows is None else rows
        slopes = np.column_stack([along[name][rows] for name in self.matrices])
        return np.asarray(self.stacked[rows].toarray() * slopes[:, self.scalar_of])

    def grouped(self) -> list[Grouped]:
        """Return the groups of the coefficients."""
        found, first = [], 0
        for part, columns in self.columns.items():
            for group in columns.grouped():
                places = tuple(first + place for place in group.columns)
                found.append(Grouped(f"{part}: {group.name}", places, group.sd, group.doubt))
            first += len(columns.names)
        return found


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
    named = tuple(sorted({name for name in musts.yeast if name is not None}))
    # A refit to fewer batches keeps the places of the yeasts that it does not see.
    yeasts = named if start is None else start.yeasts
    model = GravityModel(musts.fruits, yeasts, typical_values(musts))
    topping = topped_before_last(frame, steps)
    musts = unsaid_amounts(musts, musts)
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
    doubts = _doubts(model, musts, (topping[0][chosen], topping[1][chosen]))
    sd = OUTCOME_SD if start is None else start.outcome_sd
    readings = ReadingCurve(curve, rows, sd, doubts)
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


def _doubts(
    model: GravityModel, musts: Musts, topping: tuple[np.ndarray, np.ndarray]
) -> ReadingDoubts:
    moved = moved_musts(musts)
    if moved is None:
        return ReadingDoubts(len(musts))
    kept, gravity = (part[moved.of] for part in topping)
    supply = read_supply(moved.musts, model.typical, (kept, gravity))
    return ReadingDoubts(len(musts), moved, MustCurve(model, moved.musts, supply))
