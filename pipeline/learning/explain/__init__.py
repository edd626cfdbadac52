"""Why a batch is harsh: what it differs in from the maker's own smooth batches, and how sure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.errors import UnknownNameError
from pipeline.learning.estimate import Doubt, Estimate, estimate_from
from pipeline.learning.explain.doubts import batch_doubts, shared_doubts, tasted_rows
from pipeline.learning.explain.factors import BY_NAME, set_apart, told, told_usual, usual_row
from pipeline.learning.explain.sets import (
    WORTH_SAYING,
    design_pairs,
    joined,
    logged,
    posterior_pairs,
)
from pipeline.learning.explain.shares import Shares, share_out
from pipeline.learning.explain.tasters import taster_share
from pipeline.learning.taste import TasteModel

FEWEST_SMOOTH = 3  # under which the softer half stands in for the smooth batches
FEWEST_DIFFERENT = 8  # tasted batches, under which whatever differs in one of them goes together
POINTS = "points"


@dataclass(frozen=True)
class Reason:
    """What one factor adds to a batch's harshness beside the smooth batches."""

    factor: str
    contribution: Estimate
    compared_with: str
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True)
class BatchReasons:
    """Why one batch tastes as it does.

    `harshness` is what it would show the logbook's tasters, `measured` the mean of its glasses with
    the tasters taken out, both None if it was not tasted; `expected` follows from what went in.
    """

    batch: str
    harshness: Estimate | None
    measured: float | None
    expected: float
    reasons: tuple[Reason, ...]
    confounded_sets: tuple[tuple[str, ...], ...]


def explain_batch(model: TasteModel, batch_id: str) -> BatchReasons:
    """Explain one batch's harshness against the maker's own smooth batches.

    Raises
    ------
    UnknownNameError
        If the model has not seen such a batch.
    """
    if batch_id not in model.musts.ids:
        raise UnknownNameError(f"There is no batch '{batch_id}' in this logbook.")
    row = model.musts.ids.index(batch_id)
    smooth, called = smooth_batches(model, row)
    this = model.inputs.take(np.array([row]))
    shares = share_out(model.harshness, this, usual_row(model.inputs, smooth))
    sets = confounded_sets(model, shares)
    if tasted_rows(model).size < FEWEST_DIFFERENT:
        worth = dict(zip(shares.names, np.abs(shares.value) >= WORTH_SAYING, strict=True))
        together = [name for name in set_apart(model.inputs, row, smooth) if worth[name]]
        sets = [together] if len(together) > 1 else []
    reasons = [
        _reason(model, row, shares, k, smooth, called, sets) for k in range(len(shares.names))
    ]
    reasons.append(_taster_reason(model, row, smooth, called))
    reasons.sort(key=lambda reason: -reason.contribution.value)
    measured, weight = model.measured("harshness")
    expected = model.expected_harshness(this)
    is_tasted = bool(np.isfinite(measured[row]))
    return BatchReasons(
        batch=batch_id,
        harshness=_own_harshness(model, row, measured, weight) if is_tasted else None,
        measured=float(measured[row]) if is_tasted else None,
        expected=float(np.clip(expected.mean[0], 0, 10)),
        reasons=tuple(reasons),
        confounded_sets=tuple(tuple(group) for group in sets),
    )


def smooth_batches(model: TasteModel, row: int) -> tuple[np.ndarray, str]:
    """Return the other batches to compare with and what they are called.

    Those whose harshness, tasters taken out, is under the logbook's `harsh_from`; where there are
    fewer than three, the softer half of the tasted.
    """
    measured, _ = model.measured("harshness")
    rows = tasted_rows(model)
    rows = rows[np.isfinite(measured[rows]) & (rows != row)]
    smooth = rows[measured[rows] < model.harsh_from]
    if smooth.size >= FEWEST_SMOOTH:
        return smooth, f"your {smooth.size} smooth batches"
    if rows.size >= FEWEST_SMOOTH:
        softer = rows[measured[rows] <= np.median(measured[rows])]
        return softer, f"the softer {softer.size} of your batches"
    everyone = np.delete(np.arange(len(model.musts)), row)
    if everyone.size == 0:
        return np.array([row]), "itself: there is no other batch"
    if everyone.size == 1:
        return everyone, "your one other batch"
    return everyone, f"all {everyone.size} other batches"


def confounded_sets(model: TasteModel, shares: Shares | None = None) -> list[list[str]]:
    """Return sets of factors that the logbook cannot tell apart."""
    rows = tasted_rows(model)
    pairs = design_pairs(logged(model.musts, model.inputs, model.usual, rows))
    if shares is not None and model.harshness.regressor is not None:
        pairs += posterior_pairs(shares)
    return joined(pairs)


def _reason(
    model: TasteModel,
    row: int,
    shares: Shares,
    k: int,
    smooth: np.ndarray,
    called: str,
    sets: list[list[str]],
) -> Reason:
    factor = BY_NAME[shares.names[k]]
    own = told(factor, model.inputs, model.musts, row)
    usual = told_usual(factor, model.inputs, model.musts, smooth)
    doubts = (*batch_doubts(model, factor, row), *shared_doubts(model, factor, sets))
    return Reason(
        factor=factor.name,
        contribution=_points(model, float(shares.value[k]), float(shares.sd()[k])),
        compared_with=f"{own}; {called}: {usual}",
        # Of two doubts of one kind the general one, which comes last, says more.
        doubts=tuple({doubt.code: doubt for doubt in doubts}.values()),
    )


def _taster_reason(model: TasteModel, row: int, smooth: np.ndarray, called: str) -> Reason:
    value, sd = taster_share(model, row, smooth)
    tasters = model.harshness.tasters
    doubts = []
    if tasters is None or len(tasters.names) < 2:
        doubts.append(Doubt("no_variation", "all glasses were tasted by one person"))
    return Reason(
        factor="taster",
        contribution=_points(model, value, sd),
        compared_with=f"who marked its glasses; {called}: who marked theirs",
        doubts=tuple(doubts),
    )


def _points(model: TasteModel, value: float, sd: float) -> Estimate:
    found = estimate_from(value, sd, POINTS, model.batches, model.harshness.degrees)
    assert found is not None  # every input is complete, so that nothing here can be NaN
    return found


def _own_harshness(
    model: TasteModel, row: int, measured: np.ndarray, weight: np.ndarray
) -> Estimate | None:
    """Weigh what the glasses of a batch say against what its inputs lead one to expect."""
    fit = model.harshness
    expected = model.expected_harshness(model.inputs.take(np.array([row])))
    before = float(expected.sd[0] ** 2 + fit.batch_sd() ** 2)
    glass = fit.pours.glass_sd if fit.pours is not None else fit.terms.glass_sd
    noise = glass**2 / max(float(weight[row]), 1e-9)
    share = before / (before + noise)
    value = expected.mean[0] + share * (measured[row] - expected.mean[0])
    sd = float(np.sqrt(share * noise))
    return estimate_from(float(value), sd, POINTS, model.batches, fit.degrees, (0.0, 10.0))
