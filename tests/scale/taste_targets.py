"""Measure the taste model on simulated makers: errors, intervals, causes of harshness, aliases.

Run from the project's folder: `python tests/scale/taste_targets.py --batches 40 --makers 5`;
`--makers 0 --aliases 10` plants each pair of factors that never vary apart in ten makers each.
Not a test: it prints what is measured, beside what is asked for.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import polars as pl

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

import makers  # noqa: E402  # found through the path just set

from pipeline.cellar import Cellar, load_cellar  # noqa: E402
from pipeline.learning.explain import BatchReasons, explain_batch  # noqa: E402
from pipeline.learning.forecast import forecast  # noqa: E402
from pipeline.learning.models import Models, fit_models  # noqa: E402

ASKED = {  # ratio to the oracle's error at 40, 150 and 600 batches
    "score": {40: 1.75, 150: 1.6, 600: 1.45},
    "harshness": {40: 2.15, 150: 1.6, 600: 1.5},
}
ALIASES = (
    ("fruit", "skins"),
    ("enzyme", "freezing"),
    ("skins", "crushing"),
    ("tannin_added", "sulphite"),
)
HARSH = 5.0


@dataclass
class Planned:
    """Errors of planned recipes, one entry a maker."""

    error: list[float] = field(default_factory=list)
    oracle: list[float] = field(default_factory=list)
    inside: list[float] = field(default_factory=list)
    width: list[float] = field(default_factory=list)

    def add(self, truth: pl.DataFrame, name: str, low: np.ndarray, high: np.ndarray) -> None:
        realised = truth[f"realised_{name}"].to_numpy()
        self.error.append(float(np.abs(realised - (low + high) / 2).mean()))
        self.oracle.append(float(np.abs(realised - truth[f"expected_{name}"].to_numpy()).mean()))
        self.inside.append(float(((low <= realised) & (realised <= high)).mean()))
        self.width.append(float((high - low).mean()))

    def line(self, name: str, batches: int) -> str:
        ratio = np.sum(self.error) / np.sum(self.oracle)
        asked = ASKED[name].get(batches)
        return (
            f"{name:9} {batches:4} batches: {ratio:.2f} of the oracle's error (asked {asked}), "
            f"{np.mean(self.inside):.0%} inside, {np.mean(self.width):.2f} wide"
        )


def fitted(maker: makers.Maker) -> tuple[Cellar, Models]:
    with tempfile.TemporaryDirectory() as folder:
        makers.write(maker, Path(folder))
        cellar = load_cellar(Path(folder))
        for name in ("musts", "must_fruits"):
            cellar.table(name)
        return cellar, fit_models(cellar)


def measure_planned(
    maker: makers.Maker, cellar: Cellar, models: Models, found: dict[str, Planned]
) -> None:
    kept = pl.col("is_planned")
    musts = cellar.table("musts").filter(kept)
    told = forecast(models, musts, cellar.table("must_fruits").filter(kept))
    truth = maker.truth.planned
    truth = musts.select("recipe").join(truth, on="recipe", how="left", maintain_order="left")
    for name, planned in found.items():
        bounds = [told[name].new_batch(row) for row in range(musts.height)]
        low, high = (np.array([getattr(b, side) for b in bounds]) for side in ("low", "high"))
        planned.add(truth, name, low, high)


def named(reasons: BatchReasons) -> list[str]:
    return [reason.factor for reason in reasons.reasons if reason.factor != "taster"]


def own_harsh(maker: makers.Maker, models: Models) -> Iterator[tuple[bool, int]]:
    """Yield, per harsh batch, whether its truly largest reason is named first; and the sets."""
    measured, _ = models.taste.measured("harshness")
    truth = {row.pop("batch_id"): row for row in maker.truth.contributions.to_dicts()}
    for row in np.flatnonzero(measured >= HARSH)[:25]:
        batch = models.musts.ids[row]
        reasons = explain_batch(models.taste, batch)
        owed = truth[batch]
        yield named(reasons)[0] == max(owed, key=owed.__getitem__), len(reasons.confounded_sets)


def planted(seed: int, batches: int, cause: str) -> int | None:
    """Return at which place the planted cause is named; None where it could not be planted."""
    try:
        maker = makers.simulate(seed, batches, planned=0, cause=cause)
    except ValueError:
        return None
    _, models = fitted(maker)
    assert maker.truth.cause is not None
    return named(explain_batch(models.taste, maker.truth.cause[0])).index(cause)


def alias_found(seed: int, batches: int, alias: tuple[str, str]) -> bool:
    _, models = fitted(makers.simulate(seed, batches, planned=0, alias=alias))
    measured, _ = models.taste.measured("harshness")
    harshest = models.musts.ids[int(np.nanargmax(measured))]
    sets = explain_batch(models.taste, harshest).confounded_sets
    return any(set(alias) <= set(group) for group in sets)


def measure_aliases(batches: int, seeds: range) -> None:
    """Print in how many logbooks a planted pair is reported, and which were missed."""
    told = {(alias, seed): alias_found(seed, batches, alias) for alias in ALIASES for seed in seeds}
    missed = [
        f"{' + '.join(alias)} of maker {seed}"
        for (alias, seed), is_told in told.items()
        if not is_told
    ]
    print(f"aliases reported: {sum(told.values())} of {len(told)} at {batches} batches")
    for pair in missed:
        print(f"  not reported: {pair}")


def run(batches: int, count: int, first: int, causes: int) -> None:
    found = {"score": Planned(), "harshness": Planned()}
    own: list[tuple[bool, int]] = []
    for seed in range(first, first + count):
        maker = makers.simulate(seed, batches)
        cellar, models = fitted(maker)
        measure_planned(maker, cellar, models, found)
        own += own_harsh(maker, models)
    for name, planned in found.items() if count else ():
        print(planned.line(name, batches))
    if own:
        hits, sets = np.array(own, dtype=float).T
        print(
            f"own harsh batches: first in {hits.mean():.0%} of {len(own)}, {sets.mean():.2f} sets"
        )
    seeds = range(first, first + causes)
    places = [planted(seed, batches, cause) for seed in seeds for cause in makers.CAUSES]
    known = np.array([place for place in places if place is not None])
    if known.size:
        first_share, two = (known == 0).mean(), (known < 2).mean()
        print(f"planted: first {first_share:.0%}, first two {two:.0%} of {known.size}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=150)
    parser.add_argument("--makers", type=int, default=5)
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--causes", type=int, default=0, help="makers with each cause planted")
    parser.add_argument("--aliases", type=int, default=0, help="makers with each pair planted")
    given = parser.parse_args()
    run(given.batches, given.makers, given.first, given.causes)
    if given.aliases:
        measure_aliases(given.batches, range(given.first, given.first + given.aliases))
