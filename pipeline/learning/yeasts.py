"""Yeasts like for like: what each would make of the same musts, and how surely they differ."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from pipeline.counts import how_many
from pipeline.enology.extract import apparent_attenuation, real_attenuation
from pipeline.learning.estimate import Doubt, Estimate, estimate_from
from pipeline.learning.ferment import ferment, slopes
from pipeline.learning.gravity import MISFIT, GravityModel, MustCurve
from pipeline.learning.gravity.supply import read_supply
from pipeline.learning.mixed.contrasts import curved_spread
from pipeline.learning.musts import Musts

FEWEST_OF_A_YEAST = 3
FEWEST_BATCHES = 12
BENT = 0.3  # slope of alcohol along tolerance from which a batch shows what its yeast stands
MOST_MUSTS = 400  # musts that a yeast is tried on, evenly over the logbook


@dataclass(frozen=True)
class OnMusts:
    """What one yeast makes of some musts, averaged: means, and slopes (width,)."""

    final: float
    equivalent: float
    slope: np.ndarray


@dataclass(frozen=True)
class Yeast:
    """One yeast at the average must; None where it cannot be said."""

    name: str
    batches: int
    final_gravity: Estimate | None
    apparent_attenuation: Estimate | None
    real_attenuation: Estimate | None
    alcohol_tolerance: Estimate | None


@dataclass(frozen=True)
class Pair:
    """How two yeasts differ on the same musts: finished gravity of the first less the second."""

    a: str
    b: str
    difference: Estimate | None
    chance_a_drier: float | None
    doubts: tuple[Doubt, ...]


class YeastsLikeForLike:
    """Every yeast of the logbook on the same musts.

    Parameters
    ----------
    model : GravityModel
    musts : Musts
        The musts to try them on, one or many.
    finished : dict of str to int
        Batches with a finished gravity, per yeast.
    """

    def __init__(self, model: GravityModel, musts: Musts, finished: dict[str, int]) -> None:
        self.model, self.finished = model, finished
        # None of no musts: an empty logbook has none.
        rows = np.unique(np.linspace(0, len(musts) - 1, MOST_MUSTS).astype(int))[: len(musts)]
        self.musts = musts.take(rows)
        self.made = {name: self._on_musts(name) for name in model.yeasts}

    @property
    def names(self) -> list[str]:
        """Return the yeasts' names, those of most batches first."""
        return sorted(self.model.yeasts, key=lambda name: (-self.finished.get(name, 0), name))

    def yeasts(self) -> list[Yeast]:
        """Return each yeast, in the order of `names`."""
        return [self._yeast(name) for name in self.names]

    def pairs(self) -> list[Pair]:
        """Return every pair of yeasts, in the order of `names`."""
        names = self.names
        return [self._pair(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]

    def _curve(self, name: str) -> MustCurve:
        musts = replace(self.musts, yeast=[name] * len(self.musts))
        return MustCurve(self.model, musts, read_supply(musts, self.model.typical))

    def _on_musts(self, name: str) -> OnMusts:
        curve = self._curve(name)
        self._spread = curved_spread(self.model.fit, curve.grouped(), curve.width)
        at = curve.scalars(self.model.coefficients(curve.width))
        state = ferment(curve.supply, at)
        known = np.isfinite(state.undiluted)
        slope = curve.jacobian(slopes(curve.supply, at, ("undiluted",))["undiluted"])
        return OnMusts(
            float(np.mean(state.undiluted[known])),
            float(np.mean(state.equivalent[known])),
            slope[known].mean(axis=0),
        )

    def _estimate(self, value: float, sd: float, unit: str, batches: int) -> Estimate | None:
        return estimate_from(value, sd, unit, batches, self.model.degrees)

    def _yeast(self, name: str) -> Yeast:
        made, batches = self.made[name], self.finished.get(name, 0)
        sd = MISFIT * float(self._spread(made.slope[None, :])[0])
        return Yeast(
            name=name,
            batches=batches,
            final_gravity=self._estimate(made.final, sd, "SG", batches),
            apparent_attenuation=self._attenuation(apparent_attenuation, made, sd, batches),
            real_attenuation=self._attenuation(real_attenuation, made, sd, batches),
            alcohol_tolerance=self._tolerance(name, batches),
        )

    def _attenuation(self, attenuation, made: OnMusts, sd: float, batches: int) -> Estimate | None:  # type: ignore[no-untyped-def]
        if not np.isfinite(made.final):
            return None
        value = float(attenuation(made.equivalent, made.final))
        less = float(attenuation(made.equivalent, made.final + sd))
        return self._estimate(value, abs(value - less), "1", batches)

    def _tolerance(self, name: str, batches: int) -> Estimate | None:
        """Return what the yeast stands, if some batch of it was stopped by that."""
        own = np.flatnonzero([yeast == name for yeast in self.musts.yeast])
        if self.model.fit is None or own.size == 0:
            return None
        curve = self._curve(name)
        at = curve.scalars(self.model.coefficients(curve.width))
        bend = slopes(curve.supply, at, ("alcohol",))["alcohol"]["tolerance"][own]
        if not np.any(bend > BENT):
            return None
        nothing = {scalar: np.zeros(len(self.musts)) for scalar in curve.matrices}
        along = curve.jacobian(nothing | {"tolerance": np.ones(len(self.musts))}).mean(axis=0)
        sd = float(self._spread(along[None, :])[0])
        return self._estimate(float(np.mean(at.tolerance)), sd, "% vol", batches)

    def _pair(self, a: str, b: str) -> Pair:
        one, other = self.made[a], self.made[b]
        value = one.final - other.final
        sd = MISFIT * float(self._spread((one.slope - other.slope)[None, :])[0])
        fewer = min(self.finished.get(a, 0), self.finished.get(b, 0))
        difference = self._estimate(value, sd, "SG", fewer)
        chance = None
        if difference is not None and sd > 0 and fewer > 0:
            chance = float(special.stdtr(max(self.model.degrees, 3.0), -value / sd))
        return Pair(a, b, difference, chance, tuple(self._doubts(a, b)))

    def _doubts(self, a: str, b: str) -> list[Doubt]:
        found = []
        # The model knows yeasts by lower case, the maker as they were typed.
        typed = dict(zip(self.musts.yeast, self.musts.yeast_as_typed, strict=True))
        if self.model.batches < FEWEST_BATCHES:
            text = f"too few batches have a finished gravity ({self.model.batches})"
            found.append(Doubt("few_batches", text))
        for name in (a, b):
            count = self.finished.get(name, 0)
            if count < FEWEST_OF_A_YEAST:
                seen = f"{typed.get(name) or name} finished {how_many(count)} of your batches"
                text = f"{seen}: it is drawn towards the others"
                found.append(Doubt("few_batches", text))
        return found
