"""Simulation-based calibration: what is drawn from a model's own beliefs falls evenly in its own
intervals, from the lowest to the highest.

Talts, Betancourt, Simpson, Vehtari and Gelman, Validating Bayesian inference algorithms with
simulation-based calibration (2018), arXiv 1804.06788, algorithm 1: the rank of the true value among
draws from the posterior is uniform. With a normal or Student posterior the rank is the
distribution function at the true value, and no draws are needed.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy import stats
from threadpoolctl import threadpool_limits
from unit.learning.simulated import mart

from pipeline.learning.mixed.curved import Fitting, fit_curve
from pipeline.learning.mixed.spreads import Grouped
from pipeline.learning.musts import typical_values
from pipeline.learning.pooled import PooledRegressor
from pipeline.learning.usual import as_usually_done
from pipeline.learning.volume import (
    BATCH,
    FEWEST_BATCHES,
    RESIDUAL,
    StageCurve,
    VolumeModel,
    _precision,
)
from pipeline.learning.volume.release import Release
from pipeline.learning.volume.stages import planned_stages, read_stages

UNLIKELY = 1e-3  # how seldom sound ranks may be taken for uneven ones
POOLED_ROUNDS, VOLUME_ROUNDS = 200, 40


@dataclass(frozen=True)
class Told:
    """True values beside what a fit told of them: mean, deviation and degrees of freedom (n, k)."""

    true: np.ndarray
    mean: np.ndarray
    sd: np.ndarray
    degrees: np.ndarray

    def ranks(self, widened: float = 1.0) -> np.ndarray:
        away = (self.true - self.mean) / (widened * self.sd)
        return np.asarray(stats.t.cdf(away, np.minimum(self.degrees, 1e6)))

    @classmethod
    def of(cls, rounds: Iterable[tuple]) -> "Told":
        with threadpool_limits(limits=1, user_api="blas"):
            return cls(*(np.array(part) for part in zip(*rounds, strict=True)))


def evenly_spread(ranks: np.ndarray) -> bool:
    """Whether ranks from 0 to 1 may come from a uniform distribution, by place and by width."""
    by_place = stats.kstest(ranks, "uniform").pvalue
    # Intervals too narrow put ranks to both ends, too wide ones into the middle: folded at a half
    # these fall to one side, where the first test is weak.
    by_width = stats.kstest(np.abs(2 * ranks - 1), "uniform").pvalue
    return min(by_place, by_width) > UNLIKELY


def one_pooled(random: np.random.Generator) -> tuple:
    """Draw a world of fruits and fit it: what is told of a slope, a fruit and a new row."""
    fruit = random.integers(0, 12, 90)
    between, residual = 0.6 * np.exp(0.3 * random.normal()), 0.4 * np.exp(0.3 * random.normal())
    slope, effect = random.normal(), random.normal(0, between, 12)
    x = random.normal(size=90)
    y = 1.0 + slope * x + effect[fruit] + random.normal(0, residual, 90)
    design = np.hstack([x[:, None], np.eye(12)[fruit]])
    grouped = [Grouped("fruit", tuple(range(1, 13)), 0.6, 0.3)]
    model = PooledRegressor(grouped, residual=(0.4, 0.3)).fit(design, y)
    rows = np.zeros((3, 13))
    rows[[0, 2], 0], rows[[1, 2], 1] = 1.0, 1.0
    found = model.posterior(rows)
    new = random.normal(1.0 + slope + effect[0], residual)
    true = [1.0 + slope, 1.0 + effect[0], new]
    return true, found.mean, np.hypot(found.sd, [0, 0, model.residual_sd_]), [model.degrees_] * 3


def one_tasting(random: np.random.Generator) -> tuple:
    """Draw a tasting and fit it: what is told of a cause, a taster, a glass of a new batch."""
    batch, taster = np.repeat(np.arange(30), 3), random.integers(0, 6, 90)
    spread = {
        name: sd * np.exp(0.3 * random.normal())
        for name, sd in (("batch", 0.6), ("taster", 0.6), ("glass", 0.4))
    }
    cause, of_taster = random.normal(), random.normal(0, spread["taster"], 6)
    of_batch, x = random.normal(0, spread["batch"], 30), random.normal(size=30)[batch]
    y = 1.0 + cause * x + of_taster[taster] + of_batch[batch]
    model = PooledRegressor(
        [Grouped("taster", tuple(range(1, 7)), 0.6, 0.3)],
        Grouped("batch", (), 0.6, 0.3),
        residual=(0.4, 0.3),
    ).fit(
        np.hstack([x[:, None], np.eye(6)[taster]]),
        y + random.normal(0, spread["glass"], 90),
        batch,
    )
    rows = np.zeros((3, 7))
    rows[[0, 2], 0], rows[[1, 2], 1] = 1.0, 1.0
    found = model.posterior(rows)
    new = 1.0 + cause + of_taster[0] + random.normal(0, np.hypot(spread["batch"], spread["glass"]))
    apart = np.hypot(model.residual_sd_, model.group_sd_["batch"])
    true = [1.0 + cause, 1.0 + of_taster[0], new]
    return true, found.mean, np.hypot(found.sd, [0, 0, apart]), [model.degrees_] * 3


@pytest.mark.slow
def test_what_is_claimed_of_batches_tasted_by_many_holds_as_often_as_it_says() -> None:
    random = np.random.default_rng(20261125)
    told = Told.of(one_tasting(random) for _ in range(POOLED_ROUNDS))
    for at, what in enumerate(("cause", "taster", "glass of a new batch")):
        assert evenly_spread(told.ranks()[:, at]), what
        assert not evenly_spread(told.ranks(0.5)[:, at]), what


@pytest.fixture(scope="module")
def pooled() -> Told:
    random = np.random.default_rng(20261125)
    return Told.of(one_pooled(random) for _ in range(POOLED_ROUNDS))


@pytest.mark.slow
def test_what_a_pooled_regression_claims_holds_as_often_as_it_says(pooled: Told) -> None:
    ranks = pooled.ranks()
    for at, what in enumerate(("slope", "fruit", "new row")):
        assert evenly_spread(ranks[:, at]), what
    inside = np.mean((ranks > 0.05) & (ranks < 0.95), axis=0)
    assert inside == pytest.approx([0.9] * 3, abs=0.07)


@pytest.mark.slow
@pytest.mark.parametrize("widened", [0.6, 1.7])
def test_intervals_too_narrow_or_too_wide_would_be_found(pooled: Told, widened: float) -> None:
    assert not evenly_spread(pooled.ranks(widened)[:, 2])


class Volumes:
    """The volume model over the musts of a logbook whose volumes are drawn from its own beliefs."""

    def __init__(self) -> None:
        musts, steps = mart().logged(), mart().steps
        self.planned = as_usually_done(mart().planned(musts.fruits), musts)
        typical = typical_values(musts)
        self.model = VolumeModel(Release(musts.fruits, typical), typical, FEWEST_BATCHES)
        stages = read_stages(musts, steps)
        poured = musts["poured"] + musts["strained_reference"]
        self.stages = stages.take(np.isfinite(poured[stages.must]) & np.isfinite(stages.net))
        self.curve = StageCurve(self.model, musts, self.stages)
        self.precision = _precision(self.stages)

    def one(self, random: np.random.Generator) -> tuple:
        """Draw a world, fit it, and tell the expected share of two planned recipes."""

        def drawn(sd: float | None, doubt: float) -> float:
            return float((sd or 0.0) * np.exp(doubt * random.normal()))

        true = np.zeros(self.curve.width)
        for group in self.curve.grouped():
            spread = drawn(group.sd, group.doubt)
            true[list(group.columns)] = random.normal(0, spread, len(group.columns))
        mean, _, reach = self.curve(true)
        of_batch = random.normal(0, drawn(BATCH.sd, BATCH.doubt), self.stages.must.max() + 1)
        residual = drawn(*RESIDUAL) / np.sqrt(self.precision)
        shares = mean + reach * of_batch[self.stages.must] + random.normal(0, residual)
        fit = fit_curve(
            self.curve,
            shares,
            Fitting(self.curve.grouped(), RESIDUAL, BATCH),
            lambda *_: self.precision,
            self.stages.must,
        )
        chosen = random.choice(len(self.planned), 2, replace=False)
        some = self.planned.take(np.sort(chosen))
        truth = StageCurve(self.model, some, planned_stages(some, np.full(2, 2.0)))(true)[0]
        found = replace(self.model, fit=fit).expected(some, np.full(2, 2.0))
        return truth, found.mean, found.sd, [fit.regressor.degrees_] * 2


@pytest.mark.slow
def test_what_the_volume_model_claims_holds_as_often_as_it_says() -> None:
    random = np.random.default_rng(20261125)
    volumes = Volumes()
    told = Told.of(volumes.one(random) for _ in range(VOLUME_ROUNDS))
    ranks = told.ranks().ravel()
    assert evenly_spread(ranks)
    assert 0.8 < np.mean((ranks > 0.05) & (ranks < 0.95)) < 0.97
    assert not evenly_spread(told.ranks(0.4).ravel())
