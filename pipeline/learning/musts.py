"""Musts as numbers: batches and planned recipes described the same way, from the mart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from scipy import sparse

from pipeline.learning.must_columns import OF_FRUIT, PLAIN_NUMBERS

# Extraction other than cold brings heat to the fruit, in this order of strength.
HEAT = {"cold": 0.0, "juice": 0.0, "hot": 0.5, "steamed": 1.0, "simmered": 1.0}
PRESSING = {"drained": 0.0, "squeezed": 0.5, "pressed": 1.0}


@dataclass(frozen=True)
class FruitLines:
    """One entry per fruit in a must: which must and fruit, kg per litre of target, treatment.

    number[name] (m,) is NaN where unknown; fruit is the place in the vocabulary, its length for
    a fruit that is not in it.
    """

    must: np.ndarray
    fruit: np.ndarray
    load: np.ndarray
    number: dict[str, np.ndarray]

    def take(self, musts: np.ndarray) -> FruitLines:
        """Return the lines of these musts, which are numbered anew."""
        order = np.argsort(self.must, kind="stable")
        sorted_must = self.must[order]
        first = np.searchsorted(sorted_must, musts, side="left")
        last = np.searchsorted(sorted_must, musts, side="right")
        counts = last - first
        anew = np.repeat(np.arange(musts.size), counts)
        within = np.arange(anew.size) - np.repeat(np.cumsum(counts) - counts, counts)
        rows = order[np.repeat(first, counts) + within]
        number = {name: values[rows] for name, values in self.number.items()}
        return FruitLines(anew, self.fruit[rows], self.load[rows], number)


@dataclass(frozen=True)
class Musts:
    """One entry per batch or planned recipe.

    number[name] is an array (n,), NaN where unknown; load (n, fruits + 1) is kg of each fruit per
    litre of target, fruits that the vocabulary does not have in the last column.
    """

    ids: list[str]
    recipe: list[str | None]
    yeast: list[str | None]
    yeast_as_typed: list[str | None]
    main_fruit: list[str | None]
    number: dict[str, np.ndarray]
    load: sparse.csr_array
    fruits: tuple[str, ...]
    lines: FruitLines

    @property
    def places(self) -> pl.DataFrame:
        """Where each batch stands: ``batch_id`` and ``must``, typed also where there is none."""
        ids = pl.Series("batch_id", self.ids, dtype=pl.String)
        return ids.to_frame().with_columns(must=pl.Series(np.arange(len(self))))

    def __len__(self) -> int:
        return len(self.ids)

    def __getitem__(self, name: str) -> np.ndarray:
        return self.number[name]

    def take(self, rows: np.ndarray) -> Musts:
        """Return some of the musts, in the order of these places."""
        places = np.asarray(rows, dtype=int)
        return replace(
            self,
            ids=[self.ids[i] for i in places],
            recipe=[self.recipe[i] for i in places],
            yeast=[self.yeast[i] for i in places],
            yeast_as_typed=[self.yeast_as_typed[i] for i in places],
            main_fruit=[self.main_fruit[i] for i in places],
            number={name: values[places] for name, values in self.number.items()},
            load=sparse.csr_array(self.load[places]),
            lines=self.lines.take(places),
        )

    def filled(self, name: str, typical: dict[str, float]) -> np.ndarray:
        """Return a quantity with what is unknown replaced by what is typical of the logbook."""
        values = self.number[name]
        return np.where(np.isfinite(values), values, typical.get(name, 0.0))


def read_musts(
    frame: pl.DataFrame, must_fruits: pl.DataFrame, fruits: Sequence[str] | None = None
) -> Musts:
    """Describe musts by what went in.

    Parameters
    ----------
    frame : polars.DataFrame
        Rows of `batches` (key `batch_id`) or of `musts` (key `must_id`).
    must_fruits : polars.DataFrame
        The fruits in them, one row per must and fruit.
    fruits : sequence of str, optional
        The fruits that have a column of their own; those of `must_fruits` where none are given.
    """
    key = "batch_id" if "batch_id" in frame.columns else "must_id"
    ids = frame[key].to_list()
    of_fruit = must_fruits.filter(pl.col("must_id").is_in(ids))
    known = tuple(sorted(of_fruit["fruit"].unique())) if fruits is None else tuple(fruits)
    number = {name: _numbers(frame, name) for name in PLAIN_NUMBERS}
    number["target_l"] = _target(frame)
    number["rackings"] = _first_known(frame, ("times_racked", "rackings"))
    number["must_temperature_c"] = _first_known(
        frame, ("must_temperature_mean_c", "ferment_temperature_c")
    )
    number["heat"] = _worded(frame, "extraction", HEAT)
    number["pressing"] = _worded(frame, "pressed", PRESSING)
    number["log_contact"] = np.log1p(number["contact_days"])
    number["is_to_mark"] = frame["made"].is_in(["to_mark", "both"]).cast(float).to_numpy()
    number["poured"] = poured_share(number)
    lines = _fruit_lines(ids, of_fruit, known, number["target_l"])
    shape = (len(ids), len(known) + 1)
    load = sparse.csr_array((lines.load, (lines.must, lines.fruit)), shape=shape)
    number["load"] = number["fruit_kg"] / number["target_l"]
    number["strained_reference"] = np.bincount(
        lines.must, lines.load * lines.number["strained_l_kg"], len(ids)
    )
    return Musts(
        ids=ids,
        recipe=[plain_label(name) for name in frame["recipe"]],
        yeast=[plain_label(name) for name in frame["yeast"]],
        yeast_as_typed=frame["yeast"].to_list(),
        main_fruit=frame["main_fruit"].to_list(),
        number=number,
        load=load,
        fruits=known,
        lines=lines,
    )


def poured_share(number: dict[str, np.ndarray]) -> np.ndarray:
    """Return water, juice and dissolved sugar, per litre of target."""
    return (number["water_l"] + number["juice_l"] + number["sugar_l"]) / number["target_l"]


def plain_label(name: str | None) -> str | None:
    """Return a name as it is compared: people write one yeast in several ways."""
    return None if name is None else " ".join(name.casefold().split())


def typical_values(musts: Musts) -> dict[str, float]:
    """Return the mean of every quantity over the musts that know it."""
    typical = {}
    for name, values in musts.number.items():
        known = values[np.isfinite(values)]
        if known.size:
            typical[name] = float(known.mean())
    return typical


def _numbers(frame: pl.DataFrame, name: str) -> np.ndarray:
    if name not in frame.columns:
        return np.full(frame.height, np.nan)
    return frame[name].cast(pl.Float64).fill_null(float("nan")).to_numpy().astype(float)


def _first_known(frame: pl.DataFrame, names: Sequence[str]) -> np.ndarray:
    found = np.full(frame.height, np.nan)
    for name in names:
        found = np.where(np.isfinite(found), found, _numbers(frame, name))
    return found


def _target(frame: pl.DataFrame) -> np.ndarray:
    """Litres aimed at; where none was set, the mark or what is expected to strain off."""
    return _first_known(frame, ("target_volume_l", "to_mark_l", "strained_expected_l"))


def _worded(frame: pl.DataFrame, name: str, values: dict[str, float]) -> np.ndarray:
    if name not in frame.columns:
        return np.full(frame.height, np.nan)
    words = frame[name].to_list()
    return np.array([values.get(word, np.nan) for word in words], dtype=float)


def _fruit_lines(
    ids: list[str], of_fruit: pl.DataFrame, fruits: tuple[str, ...], target_l: np.ndarray
) -> FruitLines:
    """Describe each fruit in each must; one of unknown weight counts nothing."""
    place = {must_id: i for i, must_id in enumerate(ids)}
    column = {fruit: k for k, fruit in enumerate(fruits)}
    number = {name: _numbers(of_fruit, name) for name in OF_FRUIT}
    number["cut_share"] = number["sliced_share"] + number["crushed_share"]
    must = np.array([place[must_id] for must_id in of_fruit["must_id"]], dtype=int)
    return FruitLines(
        must=must,
        fruit=np.array([column.get(name, len(fruits)) for name in of_fruit["fruit"]], dtype=int),
        load=np.nan_to_num(_numbers(of_fruit, "kg") / target_l[must]),
        number=number,
    )
