"""What each factor adds to the difference between two wines.

A factor's share is what the wine would lose if that factor alone were as in the other wine: for a
straight line coefficient × difference. Fruit, its load, its skins, the days, crushing and added
tannin act together, so that each of them is credited with what it does in the company it is in
(skins matter more to a tannic fruit left on them for long), and taken together their shares may
come to more than the whole difference. Every share is a fixed combination of the coefficients, so
its interval is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from pipeline.cellar.notes import keep
from pipeline.learning.explain.factors import BY_NAME, FACTORS, MATRICES
from pipeline.learning.taste.fit import AnswerFit, prior_deviations
from pipeline.learning.taste.inputs import TasteInputs


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
    """Say how far each factor alone sets one wine apart from a usual one.

    Parameters
    ----------
    fit : AnswerFit
    this, usual : TasteInputs
        One row each.
    """
    names = tuple(factor.name for factor in FACTORS)
    changes = [names, *(tuple(other for other in names if other != name) for name in names)]
    mixing = np.hstack([np.ones((len(names), 1)), -np.eye(len(names))])
    before, columns = fit.design(mixtures(usual, this, changes))
    rows = mixing @ columns.matrix().toarray()
    value = mixing @ before
    covariance = np.diag(prior_deviations(columns) ** 2)
    prior = np.diag(covariance).copy()
    if fit.regressor is not None:
        value = value + rows @ fit.regressor.coef_
        covariance = fit.regressor.covariance_[1:, 1:]
    return keep(Shares(names, value, rows, _blur(fit, this, names), covariance, prior))


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
