"""What each factor adds to the difference between two wines.

For a straight line this is coefficient × difference. Fruit, its load, its skins, the days,
crushing and added tannin act together, so what they add together is divided by Shapley's rule: the
mean, over all orders in which the one wine could be turned into the other, of what each change
adds. Every share is a fixed combination of the coefficients, so its interval is exact.

References
----------
L. S. Shapley, "A value for n-person games", Contributions to the Theory of Games II, 1953,
doi:10.1515/9781400881970-018.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import factorial

import numpy as np
from scipy import sparse

from pipeline.learning.explain_factors import BY_NAME, FACTORS, MATRICES, TANNIC
from pipeline.learning.taste_fit import AnswerFit, prior_deviations
from pipeline.learning.taste_inputs import TasteInputs


@dataclass(frozen=True)
class Shares:
    """Per factor (in `names`): the share, and its row over the coefficients."""

    names: tuple[str, ...]
    value: np.ndarray
    row: np.ndarray  # (factors, p)
    blur: np.ndarray  # variance from inputs that are not surely known
    covariance: np.ndarray  # of the coefficients
    prior: np.ndarray  # variance of each coefficient before any glass

    def sd(self) -> np.ndarray:
        """Return the standard deviation of each share."""
        variance = ((self.row @ self.covariance) * self.row).sum(axis=1)
        return np.sqrt(np.maximum(variance, 0.0) + self.blur)


def share_out(fit: AnswerFit, this: TasteInputs, usual: TasteInputs) -> Shares:
    """Divide the expected difference of one wine from a usual one among the factors.

    Parameters
    ----------
    fit : AnswerFit
    this, usual : TasteInputs
        One row each.
    """
    subsets, weights = _orders(len(TANNIC))
    plain = [factor.name for factor in FACTORS if factor.name not in TANNIC]
    changes = [tuple(TANNIC[k] for k in subset) for subset in subsets]
    changes += [(name,) for name in plain]
    mixing = np.zeros((len(FACTORS), len(changes)))
    mixing[: len(TANNIC), : len(subsets)] = weights
    mixing[len(TANNIC) :, 0] = -1.0
    mixing[len(TANNIC) :, len(subsets) :] = np.eye(len(plain))
    before, columns = fit.design(mixtures(usual, this, changes))
    rows = mixing @ columns.matrix().toarray()
    value = mixing @ before
    covariance = np.diag(prior_deviations(columns) ** 2)
    prior = np.diag(covariance).copy()
    if fit.regressor is not None:
        value = value + rows @ fit.regressor.coef_
        covariance = fit.regressor.covariance_[1:, 1:]
    names = (*TANNIC, *plain)
    return Shares(names, value, rows, _blur(fit, this, names), covariance, prior)


def mixtures(
    usual: TasteInputs, this: TasteInputs, changes: Sequence[tuple[str, ...]]
) -> TasteInputs:
    """Return a row per set of factors: the usual wine with these factors as in this one."""
    both = _stack(usual, this)
    pick = {
        factor.name: np.array([factor.name in names for names in changes], int)
        for factor in FACTORS
    }
    number = {}
    for name in both.number:
        owner = _OWNER.get(name)
        # What no factor owns (how it was pressed, say) is left as it is in this wine.
        number[name] = both.number[name][pick[owner] if owner else np.ones(len(changes), int)]
    parts = {}
    for owner, names in MATRICES.items():
        for name in names:
            parts[name] = sparse.csr_array(getattr(both, name)[pick[owner]])
    doubt = {name: np.zeros(len(changes)) for name in both.doubt}
    return TasteInputs(number, doubt, parts["fruit"], parts["tannic"], parts["yeast"])


_OWNER = {name: factor.name for factor in FACTORS for name in factor.inputs}


def _stack(one: TasteInputs, other: TasteInputs) -> TasteInputs:
    def both(name: str) -> sparse.csr_array:
        return sparse.csr_array(sparse.vstack([getattr(one, name), getattr(other, name)]))

    return TasteInputs(
        {name: np.concatenate([values, other.number[name]]) for name, values in one.number.items()},
        {name: np.concatenate([values, other.doubt[name]]) for name, values in one.doubt.items()},
        both("fruit"),
        both("tannic"),
        both("yeast"),
    )


def _orders(players: int) -> tuple[list[tuple[int, ...]], np.ndarray]:
    """Return all subsets and Shapley's weight of each for each player, (players, subsets)."""
    subsets = [s for size in range(players + 1) for s in combinations(range(players), size)]
    place = {subset: k for k, subset in enumerate(subsets)}
    weights = np.zeros((players, len(subsets)))
    for subset in subsets:
        for player in set(range(players)) - set(subset):
            joined = tuple(sorted((*subset, player)))
            orders = factorial(len(subset)) * factorial(players - len(subset) - 1)
            weight = orders / factorial(players)
            weights[player, place[joined]] += weight
            weights[player, place[subset]] -= weight
    return subsets, weights


def _blur(fit: AnswerFit, this: TasteInputs, names: Sequence[str]) -> np.ndarray:
    """Return the variance that doubt about a factor's own inputs puts into its share."""
    here, found = fit.mean(this)[0], np.zeros(len(names))
    for k, name in enumerate(names):
        for key in BY_NAME[name].inputs:
            sd = this.doubt.get(key, np.zeros(1))
            if sd[0] > 0:
                there = fit.mean(this.changed(**{key: this.number[key] + sd}))[0]
                found[k] += (there - here) ** 2
    return found
