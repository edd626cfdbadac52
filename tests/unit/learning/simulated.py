"""One simulated maker's mart and truth, made once for the tests of the models."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import makers
import numpy as np
import polars as pl

from pipeline.cellar import load_cellar
from pipeline.learning.gravity import GravityModel, fit_gravity
from pipeline.learning.musts import Musts, read_musts


@dataclass(frozen=True)
class Mart:
    maker: makers.Maker
    batches: pl.DataFrame
    musts: pl.DataFrame
    must_fruits: pl.DataFrame
    steps: pl.DataFrame

    def logged(self, batches: pl.DataFrame | None = None) -> Musts:
        made = self.must_fruits.filter(~pl.col("is_planned"))
        return read_musts(self.batches if batches is None else batches, made)

    def planned(self, fruits: tuple[str, ...]) -> Musts:
        kept = pl.col("is_planned")
        return read_musts(self.musts.filter(kept), self.must_fruits.filter(kept), fruits)

    def truth(self, musts: Musts, name: str) -> np.ndarray:
        rows = pl.DataFrame({"recipe": musts.ids})
        planned = self.maker.truth.planned
        found = rows.join(planned, on="recipe", how="left", maintain_order="left")
        return found[name].cast(pl.Float64).to_numpy()


@cache
def mart(seed: int = 3, batches: int = 120) -> Mart:
    maker = makers.simulate(seed, batches, draws=40)
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        names = ("batches", "musts", "must_fruits", "steps")
        return Mart(maker, *(cellar.table(name) for name in names))


@cache
def gravity_of(seed: int = 3, batches: int = 120) -> GravityModel:
    its = mart(seed, batches)
    return fit_gravity(its.logged(), its.batches, its.steps)
