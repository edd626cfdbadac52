"""How much wine a must gives: mass balance, corrected by the logbook.

What is poured in is known; what the fruit adds or holds back is a curve in its treatment
(`release`), what rackings and bottling lose a pooled line. Every measured volume on the way counts,
with one effect per batch that ties them together. All in shares of the target volume.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from scipy import sparse

from pipeline.learning.doubtful import moved_musts
from pipeline.learning.mixed import Posterior
from pipeline.learning.mixed.curved import CurvedFit, Fitting, fit_curve, thinned
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.musts import Musts, typical_values
from pipeline.learning.volume.losses import loss_columns
from pipeline.learning.volume.release import Release, release_curve, release_groups
from pipeline.learning.volume.stages import Stages, planned_stages, read_stages

USUAL_RACKINGS = 2.0
RACKING_LOSS = 0.03  # [share of target] common practice, no source
BOTTLING_LOSS = 0.02  # [share of target] common practice, no source
UNCOUNTED = 0.4  # [bottles] wine that fills no bottle is drunk and not counted; the same
FEWEST_BATCHES = 3  # batches with a volume, under which only physics is offered

# Expected sizes: common practice, no source; the logbook overrules them as it grows.
BATCH = Grouped("batch", (), 0.025, 0.7)  # [share] a must's own deviation
RESIDUAL = (0.012, 0.5)
MISFIT = 1.2  # predictions lie further out than the posterior says; as gravity.MISFIT
FORM_DOUBT_L_KG = 0.025  # what fermenting, evaporating and the formula leave in it


@dataclass
class VolumeModel:
    """The fitted model; `fit` is None where the logbook holds too little."""

    release: Release
    typical: dict[str, float]
    batches: int = 0
    fit: CurvedFit | None = None

    @property
    def fruits(self) -> tuple[str, ...]:
        """Fruits that have effects of their own."""
        return self.release.fruits

    def expected(self, musts: Musts, rackings: np.ndarray | None = None) -> Posterior:
        """Return the expected finished share of the target, nothing topped up."""
        if rackings is None:
            known = musts["rackings"]
            rackings = np.where(np.isfinite(known), known, USUAL_RACKINGS)
        return self._posterior(musts, planned_stages(musts, rackings))

    def new_batch_sd(self, musts: Musts) -> np.ndarray:
        """Return how much two batches of one must differ when bottled [share of target]."""
        load = np.asarray(musts.load.sum(axis=1)).ravel()
        if self.fit is None:
            return np.hypot((BATCH.sd or 0.0) * _reach(load), RESIDUAL[0])
        regressor = self.fit.regressor
        return np.hypot(regressor.group_sd_["batch"] * _reach(load), regressor.residual_sd_)

    @property
    def degrees(self) -> float:
        """Degrees of freedom that the intervals rest on."""
        return 3.0 if self.fit is None else float(self.fit.regressor.degrees_)

    def _posterior(self, musts: Musts, stages: Stages) -> Posterior:
        curve = StageCurve(self, musts, stages)
        if self.fit is None:
            mean, slope, _ = curve(np.zeros(curve.width))
            prior = np.zeros(curve.width)
            for group in curve.grouped():
                prior[list(group.columns)] = group.sd or 0.0
            return Posterior(mean, np.sqrt((slope**2) @ prior**2))
        mean, slope, _ = curve(self.fit.coefficients)
        return Posterior(mean, self.fit.regressor.posterior(slope).sd)


class StageCurve:
    """Expected net volume of some stages as a function of the coefficients."""

    def __init__(self, model: VolumeModel, musts: Musts, stages: Stages) -> None:
        self.model, self.musts, self.stages = model, musts, stages
        self.release = release_curve(model.release, musts)
        self.losses = loss_columns(model.typical, musts, stages)
        self.lines = self.losses.matrix().toarray()
        known = RACKING_LOSS * stages.rackings + BOTTLING_LOSS * stages.bottled
        known = known + UNCOUNTED * stages.counted
        self.poured = musts["poured"][stages.must] - known
        # What differs between two batches of one must is mostly the fruit.
        load = np.asarray(musts.load[stages.must].sum(axis=1)).ravel()
        self.reach = _reach(load)

    @property
    def width(self) -> int:
        """Number of coefficients."""
        return self.release.width + self.lines.shape[1]

    def __call__(self, coefficients: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return expected shares (n,), their Jacobian (n, width) and reach of a batch (n,)."""
        inner = self.release.width
        net, slope = self.release.per_must(coefficients[:inner], len(self.musts))
        mean = self.poured + net[self.stages.must] + self.lines @ coefficients[inner:]
        return mean, np.hstack([slope[self.stages.must].toarray(), self.lines]), self.reach

    def grouped(self) -> list[Grouped]:
        """Return the groups of the coefficients."""
        found = release_groups(self.model.release, self.musts)
        first = self.release.width
        for group in self.losses.grouped():
            places = tuple(first + place for place in group.columns)
            found.append(Grouped(group.name, places, group.sd, group.doubt))
        return found


class MeasuredCurve(StageCurve):
    """The same for volumes of logged batches, in some of which it is in doubt what went in.

    That doubt widens the effect which all volumes of a batch share.
    """

    def __init__(self, model: VolumeModel, musts: Musts, stages: Stages) -> None:
        super().__init__(model, musts, stages)
        self.known, self.precision = self.reach, _precision(stages)
        self.batch_sd = float(BATCH.sd or 1.0)
        self.here, self.moved = planned_curve(model, musts), moved_musts(musts)
        if self.moved is not None:
            self.there = planned_curve(model, self.moved.musts)

    def weigh(self, coefficients: np.ndarray, fit: CurvedFit | None) -> np.ndarray:
        """Return each volume's precision, and see anew how far a batch may be off."""
        if self.moved is not None:
            if fit is not None:
                learnt = max(fit.regressor.group_sd_[BATCH.name], 0.1 * (BATCH.sd or 1.0))
                # Half the way: reaches rest on it in turn, and all of it would overshoot.
                self.batch_sd = float(np.sqrt(self.batch_sd * learnt))
            here, there = self.here(coefficients)[0], self.there(coefficients)[0]
            doubt = np.sqrt(self.moved.variance(here, there)) / self.batch_sd
            self.reach = np.hypot(self.known, doubt[self.stages.must])
        return self.precision


def planned_curve(model: VolumeModel, musts: Musts) -> StageCurve:
    """Return the curve of musts as they are judged: bottled, racked as said or as usual."""
    known = musts["rackings"]
    rackings = np.where(np.isfinite(known), known, USUAL_RACKINGS)
    return StageCurve(model, musts, planned_stages(musts, rackings))


def _reach(load: np.ndarray) -> np.ndarray:
    """How far a batch's own deviation carries at this load, one at 0.4 kg/L."""
    return np.hypot(0.5, load / 0.4) / np.hypot(0.5, 1.0)


def fit_volume(musts: Musts, steps: pl.DataFrame, start: VolumeModel | None = None) -> VolumeModel:
    """Fit the volume model to logged batches.

    Parameters
    ----------
    musts : Musts
    steps : polars.DataFrame
        The mart's `steps`.
    start : VolumeModel, optional
        A model of nearly the same batches, to start from.
    """
    stages = read_stages(musts, steps)
    reference = musts["poured"] + musts["strained_reference"]
    usable = np.isfinite(reference[stages.must]) & np.isfinite(stages.net)
    measured = stages.must[usable]
    chosen = thinned(np.unique(measured))
    stages = stages.take(usable & np.isin(stages.must, chosen)).of(chosen)
    typical = typical_values(musts)
    model = VolumeModel(
        release=Release(musts.fruits, typical),
        typical=typical,
        batches=int(np.unique(measured).size),
    )
    if model.batches < FEWEST_BATCHES:
        return model
    musts = musts.take(chosen)
    curve = MeasuredCurve(model, musts, stages)
    model.fit = fit_curve(
        curve,
        stages.net,
        Fitting(curve.grouped(), RESIDUAL, BATCH),
        curve.weigh,
        stages.must,
        None if start is None else start.fit,
    )
    return model


def _precision(stages: Stages) -> np.ndarray:
    """Weigh a volume by how surely it was read."""
    read = np.hypot(stages.error, stages.counted / np.sqrt(12.0))
    return 1.0 / (1.0 + read**2 / RESIDUAL[0] ** 2)


def litres_per_kg(model: VolumeModel, musts: Musts) -> dict[str, tuple[float, float]]:
    """Return per fruit the strained litres that a kg adds at fixed water, with its deviation.

    At the treatments that the logbook gives this fruit where it is the main one.
    """
    curve = release_curve(model.release, musts)
    coefficients = np.zeros(curve.width) if model.fit is None else model.fit.coefficients
    net, slope = curve.per_kg(coefficients[: curve.width])
    found = {}
    for fruit, rows in lines_of_fruits(model, musts).items():
        mean_slope = np.asarray(slope[rows].mean(axis=0)).ravel()
        found[fruit] = float(net[rows].mean()), _deviation(model, mean_slope)
    return found


def lines_of_fruits(model: VolumeModel, musts: Musts) -> dict[str, np.ndarray]:
    """Return per fruit the places of its lines where it is the main one, else of all."""
    lines = musts.lines
    total = np.asarray(musts.load.sum(axis=1)).ravel()[lines.must]
    found = {}
    for k, fruit in enumerate(model.fruits):
        mine = (lines.fruit == k) & (lines.load > 0)
        main = mine & (lines.load > total / 2)
        rows = np.flatnonzero(main if main.any() else mine)
        if rows.size:
            found[fruit] = rows
    return found


def _deviation(model: VolumeModel, slope: np.ndarray) -> float:
    if model.fit is None:
        return 0.15
    width = model.fit.coefficients.size
    row = sparse.csr_array((slope, (np.zeros(slope.size, int), np.arange(slope.size))), (1, width))
    sd = float(model.fit.regressor.posterior(row.toarray()).sd[0])
    return float(np.hypot(MISFIT * sd, FORM_DOUBT_L_KG))
