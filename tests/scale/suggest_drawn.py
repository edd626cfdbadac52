"""What a logbook cannot tell of changes: the best of drawn worlds beside the best on average.

Effects on score, vessel and strength are drawn from what the models do not know of their own
coefficients. In each drawn world the best set of changes is known; nobody who has only the logbook
can do better than the set that is worth most on average. What that one loses to the best of each
world is the regret that no advice could avoid, if the models' curves were those of nature.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipeline.advice.edits import Edit
from pipeline.advice.suggest.searching import MAY_COST, Found
from pipeline.advice.suggest.yardstick import FULL, SHORT_COSTS, STRENGTH_MAY_MOVE
from pipeline.learning.departures import DEPARTURES
from pipeline.learning.models import Models
from pipeline.learning.pooled import PooledRegressor

DRAWN = 100  # worlds to choose in, and as many to judge in
GRANTED = 0.5  # [% vol] by which the strength may truly leave what was chosen
EMPTIER = 0.02  # of the target, by which a vessel may truly end up emptier


@dataclass(frozen=True)
class Drawn:
    """Mean gain of the best set of each world, and of the set chosen beforehand for all of them."""

    best: float
    chosen: float


def drawn_gains(found: Found, models: Models, edits: list[Edit], is_in: np.ndarray) -> Drawn:
    """Return what is gained in worlds drawn from the models' doubt; sets reckoned by adding.

    Parameters
    ----------
    found : Found
    models : Models
    edits : list of Edit
        Every single change.
    is_in : array (sets, edits)
        Which edits each set is of, as noughts and ones.
    """
    _, score = _worlds(found, edits, "score", models.taste.score.regressor)
    share_base, share = _worlds(found, edits, "finished_fraction", _of(models.volume.fit))
    base, strength = _worlds(found, edits, "alcohol", _of(models.gravity.fit))
    share = share_base + is_in @ share
    moved = np.abs(base * np.expm1(is_in @ np.log(np.maximum((base + strength) / base, 0.01))))
    tastes = is_in @ score
    short = np.maximum(FULL - share_base, 0.0) - np.maximum(FULL - share, 0.0)
    gain = tastes + SHORT_COSTS * short
    emptier = np.maximum(np.minimum(FULL, share_base) - share, 0.0)
    is_fair = (moved <= STRENGTH_MAY_MOVE) & (emptier <= 0.005)
    is_fair &= tastes >= np.where(share_base < FULL, -MAY_COST, 0.0)
    is_kept = (moved <= STRENGTH_MAY_MOVE + GRANTED) & (emptier <= EMPTIER)
    worth = np.where(is_kept, gain, np.minimum(gain, 0.0))
    row = int(np.argmax(worth[:, :DRAWN].mean(axis=1)))
    best = np.where(is_fair, gain, -np.inf).max(axis=0)[DRAWN:]
    return Drawn(float(np.maximum(best, 0.0).mean()), float(worth[row, DRAWN:].mean()))


def _of(fit: object) -> PooledRegressor | None:
    return getattr(fit, "regressor", None)


def _worlds(
    found: Found, edits: list[Edit], name: str, regressor: PooledRegressor | None
) -> tuple[np.ndarray, np.ndarray]:
    """Return an outcome of the base (worlds,) and what each edit adds to it (edits, worlds)."""
    expected = found.singles.forecast[name]
    assert regressor is not None
    assert expected.slope is not None
    rows = [found.singles.sets.index((edit,)) for edit in edits]
    spread = DEPARTURES[name].misfit ** 2 * regressor.covariance_[1:, 1:]
    rng = np.random.default_rng(0)
    drawn = rng.multivariate_normal(np.zeros(spread.shape[0]), spread, 2 * DRAWN, method="svd")
    base = expected.mean[0] + expected.slope[0] @ drawn.T
    steps = (expected.slope[rows] - expected.slope[0]) @ drawn.T
    steps += (expected.mean[rows] - expected.mean[0])[:, None]
    return base, steps.astype(np.float32)
