"""Named columns of a design: what a model's rows are described by, and which are pooled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy import sparse

from pipeline.learning.mixed.spreads import Grouped


@dataclass(frozen=True)
class Prior:
    """How large coefficients of a group are expected to be, and how doubtful that is."""

    sd: float | None = None
    doubt: float = 0.0


@dataclass
class Columns:
    """A design under construction: blocks of columns side by side.

    A block has a name; blocks that share a `group` are drawn from one distribution. A block without
    a group is a fixed effect.
    """

    rows: int
    blocks: list[sparse.csr_array] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    terms: dict[str, list[int]] = field(default_factory=dict)
    groups: dict[str, list[int]] = field(default_factory=dict)
    priors: dict[str, Prior] = field(default_factory=dict)

    def line(
        self,
        name: str,
        values: np.ndarray,
        prior: Prior | None = None,
        group: str | None = None,
        scale: float = 1.0,
    ) -> None:
        """Add one column.

        Parameters
        ----------
        name : str
            Also the term's name.
        values : array (rows,)
        prior : Prior, optional
            Expected size of the coefficient of values ÷ scale; None leaves it free.
        group : str, optional
            Group whose spread the column shares; its own where none is named.
        scale : float
            What one step of this column is, so that columns of one group are comparable.
        """
        column = np.asarray(values, dtype=float) / scale
        used = column != 0
        places = np.zeros(int(used.sum()), dtype=np.int32)
        starts = np.concatenate([[0], np.cumsum(used, dtype=np.int32)])
        matrix = sparse.csr_array((column[used], places, starts), shape=(column.size, 1))
        self.block(name, matrix, [name], prior, group)

    def block(
        self,
        name: str,
        matrix: sparse.csr_array,
        levels: Sequence[str],
        prior: Prior | None = None,
        group: str | None = None,
    ) -> None:
        """Add a column per level, drawn from one distribution."""
        first = len(self.names)
        places = list(range(first, first + matrix.shape[1]))
        self.blocks.append(matrix)
        self.names += [f"{name}:{level}" if len(levels) > 1 else level for level in levels]
        self.terms.setdefault(name, []).extend(places)
        if prior is not None:
            key = group or name
            self.groups.setdefault(key, []).extend(places)
            self.priors[key] = prior

    def levels(
        self, name: str, labels: Sequence[str | None], vocabulary: Sequence[str], prior: Prior
    ) -> None:
        """Add a column per label, and one for any label that the vocabulary does not have."""
        matrix = indicator(labels, vocabulary)
        self.block(name, matrix, [*vocabulary, UNSEEN], prior)

    def matrix(self) -> sparse.csr_array:
        """Return all columns, (rows, p)."""
        return sparse.csr_array(sparse.hstack(self.blocks, format="csr"))

    def grouped(self) -> list[Grouped]:
        """Return the groups as the regressor takes them."""
        return [
            Grouped(name, tuple(places), self.priors[name].sd, self.priors[name].doubt)
            for name, places in self.groups.items()
        ]


UNSEEN = "(not in the logbook)"


def indicator(labels: Sequence[str | None], vocabulary: Sequence[str]) -> sparse.csr_array:
    """Return a column per word of the vocabulary and a last one for any other label.

    A label that is None belongs to no column: what is unknown is taken as average.
    """
    place = {word: k for k, word in enumerate(vocabulary)}
    unseen = len(place)
    found = [(i, place.get(label, unseen)) for i, label in enumerate(labels) if label is not None]
    rows, columns = (np.array([pair[side] for pair in found], dtype=int) for side in (0, 1))
    shape = (len(labels), unseen + 1)
    return sparse.csr_array((np.ones(rows.size), (rows, columns)), shape=shape)


def scaled_rows(matrix: Any, by: np.ndarray) -> Any:
    """Return the matrix, dense or sparse, with each row multiplied by its own number."""
    by = np.asarray(by, dtype=float)
    if not sparse.issparse(matrix):
        return matrix * by[:, None]
    # A product with a diagonal matrix says the same, ten times as slowly for a small logbook.
    rows = sparse.csr_array(matrix)
    scaled = rows.data * np.repeat(by, np.diff(rows.indptr))
    return sparse.csr_array((scaled, rows.indices, rows.indptr), shape=rows.shape)


def scaled_columns(matrix: Any, by: np.ndarray) -> sparse.csr_array:
    """Return the sparse matrix with each column multiplied by its own number."""
    rows = sparse.csr_array(matrix)
    return sparse.csr_array((rows.data * by[rows.indices], rows.indices, rows.indptr), rows.shape)
