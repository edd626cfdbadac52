"""What goes with harshness over all batches: the effect of one stated step of each factor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from pipeline.cellar.notes import keep
from pipeline.learning.estimate import Doubt, Estimate, estimate_from
from pipeline.learning.explain import POINTS, confounded_sets
from pipeline.learning.explain.doubts import shared_doubts, tasted_rows
from pipeline.learning.explain.factors import FACTORS, HALVINGS_PER_DAY, Factor, usual_row
from pipeline.learning.explain.tasters import severity_variance
from pipeline.learning.taste import TasteModel
from pipeline.learning.taste.fit import prior_deviations
from pipeline.learning.taste.inputs import TasteInputs

FEWEST_OF_KIND = 2  # tasted batches of a fruit or yeast, from which it is compared


@dataclass(frozen=True)
class Driver:
    """What goes with harshness over all batches: the effect of one stated step of a factor."""

    factor: str
    effect: Estimate | None
    per: str
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True)
class StepEffect:
    """What one stated step of a factor does: as the trade has it, and what the glasses add."""

    trade: float
    learnt: float

    @property
    def value(self) -> float:
        """The effect in all [points]."""
        return self.trade + self.learnt


def harsh_drivers(model: TasteModel) -> list[Driver]:
    """Return the effect of every factor on harshness, at what is usual; none if none was tasted."""
    rows = tasted_rows(model)
    if rows.size == 0:
        return []
    usual, sets = usual_row(model.inputs, rows), confounded_sets(model)
    found = []
    for factor in FACTORS:
        pair = _step(model, factor, usual, rows)
        effect = None if pair is None else _difference(model, pair[0], pair[1])
        per = factor.per if pair is None else pair[2]
        found.append(Driver(factor.name, effect, per, tuple(shared_doubts(model, factor, sets))))
    return [*found, _tasters(model)]


def _difference(model: TasteModel, low: TasteInputs, high: TasteInputs) -> Estimate | None:
    fit = model.harshness
    before, columns = fit.design(low)
    after, others = fit.design(high)
    row = (others.matrix() - columns.matrix()).toarray().ravel()
    trade = float(after[0] - before[0])
    learnt = 0.0
    if fit.regressor is None:
        sd = float(np.sqrt(row**2 @ prior_deviations(columns) ** 2))
    else:
        learnt = float(row @ fit.regressor.coef_)
        sd = float(np.sqrt(max(row @ fit.regressor.covariance_[1:, 1:] @ row, 0.0)))
    effect = keep(StepEffect(trade, learnt))
    return estimate_from(effect.value, sd, POINTS, model.batches, fit.degrees)


def _step(
    model: TasteModel, factor: Factor, usual: TasteInputs, rows: np.ndarray
) -> tuple[TasteInputs, TasteInputs, str] | None:
    if factor.name == "fruit":
        return _kinds(model, usual, rows, "fruit", model.musts.fruits)
    if factor.name == "yeast":
        return _kinds(model, usual, rows, "yeast", _as_typed(model))
    low, high = factor.step
    if factor.name == "contact_days":
        low, high = ((days - 0.5) * HALVINGS_PER_DAY for days in factor.step)
    name = factor.inputs[0]
    changed = (usual.changed(**{name: np.array([float(value)])}) for value in (low, high))
    return next(changed), next(changed), factor.per


def _as_typed(model: TasteModel) -> tuple[str, ...]:
    """Return the yeasts in the maker's own spelling: the model knows them by lower case."""
    typed = dict(zip(model.musts.yeast, model.musts.yeast_as_typed, strict=True))
    return tuple(typed.get(yeast) or yeast for yeast in model.usual.yeasts)


def _kinds(
    model: TasteModel,
    usual: TasteInputs,
    rows: np.ndarray,
    part: str,
    names: tuple[str, ...],
) -> tuple[TasteInputs, TasteInputs, str] | None:
    """Return the softest and the harshest fruit (or yeast) that was tasted more than once."""
    shares = getattr(model.inputs, part)[rows].toarray()
    often = np.flatnonzero((shares[:, : len(names)] > 0.5).sum(axis=0) >= FEWEST_OF_KIND)
    if often.size < 2:
        return None
    each = [_of_kind(model, usual, part, int(k)) for k in often]
    means = np.array([model.harshness.mean(one)[0] for one in each])
    low, high = int(means.argmin()), int(means.argmax())
    if low == high:  # they are all alike as far as anybody knows
        return None
    return each[low], each[high], f"{names[often[high]]}, not {names[often[low]]}"


def _of_kind(model: TasteModel, usual: TasteInputs, part: str, k: int) -> TasteInputs:
    """Return the usual wine made of one fruit alone, or by one yeast."""
    width = getattr(usual, part).shape[1]
    alone = sparse.csr_array((np.ones(1), (np.zeros(1, int), np.array([k]))), shape=(1, width))
    if part == "yeast":
        return TasteInputs(usual.number, usual.doubt, usual.fruit, usual.tannic, alone)
    with_it = model.inputs.fruit[:, [k]].toarray().ravel()
    tannic = model.inputs.tannic[:, [k]].toarray().ravel()
    of_kg = tannic[with_it > 0] / with_it[with_it > 0]
    tannin = alone * float(of_kg.mean())
    return TasteInputs(usual.number, usual.doubt, alone, sparse.csr_array(tannin), usual.yeast)


def _tasters(model: TasteModel) -> Driver:
    tasters = model.harshness.tasters
    if tasters is None or len(tasters.names) < 2:
        doubt = Doubt("no_variation", "all glasses were tasted by one person")
        return Driver("taster", None, "", (doubt,))
    low, high = int(tasters.severity.argmin()), int(tasters.severity.argmax())
    variance = severity_variance(model, tasters)
    effect = estimate_from(
        float(tasters.severity[high] - tasters.severity[low]),
        float(np.sqrt(variance[low] + variance[high])),
        POINTS,
        model.batches,
        model.harshness.degrees,
    )
    return Driver("taster", effect, f"{tasters.names[high]}, not {tasters.names[low]}", ())
