"""Tasters with a glass and a sheet: severity, use of the scale, sessions, noise and outliers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.taste import ATTRIBUTES, HARSH, Drivers, latents, score
from makers.world import Bools, Floats, Ints, World

EVENING_DAYS = 28
PRECISION = 36.0


@dataclass
class Glasses:
    """One entry per glass; ``sweetened_g_l`` is NaN for a glass as it is."""

    batch: Ints
    day: Ints
    age_days: Floats
    taster: Ints
    sweetened_g_l: Floats
    is_blind: Bools
    intensities: dict[str, Floats]
    score: Floats

    @property
    def harshness(self) -> Floats:
        return np.mean([self.intensities[name] for name in HARSH], axis=0)


def pour(
    drivers: Drivers, taster: Ints, session: Floats, world: World, rng: np.random.Generator
) -> tuple[dict[str, Floats], Floats]:
    """Return the intensities and the score each taster writes down for each glass."""
    n, tasters = len(taster), world.tasters
    written = {}
    for name, latent in latents(drivers).items():
        is_harsh = name in HARSH
        slope = tasters.harsh_scale[taster] if is_harsh else 1.0
        offset = tasters.harsh_offset[taster] if is_harsh else 0.0
        share = 1.0 / (1.0 + np.exp(-(slope * latent + offset + 0.16 * session)))
        share = np.clip(share, 0.02, 0.98)
        drawn = rng.beta(PRECISION * share, PRECISION * (1 - share))
        written[name] = np.round(20.0 * drawn) / 2
    merit = score(drivers)
    marks = 13.0 + tasters.scale[taster] * (merit - 13.0) - tasters.severity[taster]
    marks = marks - 0.4 * session + tasters.noise[taster] * rng.standard_t(7, n)
    odd = rng.random(n) < 0.008
    marks = np.where(odd, rng.uniform(3.0, 19.0, n), marks)
    return written, np.round(2.0 * np.clip(marks, 0.0, 20.0)) / 2


def one_each(drivers: Drivers, world: World, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Return the mean harshness and score of one glass from each taster, per batch."""
    n, tasters = len(drivers.age), len(world.tasters.names)
    taster = np.tile(np.arange(tasters), n)
    session = np.repeat(rng.normal(0.0, 0.5, n), tasters)
    written, marks = pour(
        drivers.take(np.repeat(np.arange(n), tasters)), taster, session, world, rng
    )
    rough = np.mean([written[name] for name in HARSH], axis=0)
    return rough.reshape(n, tasters).mean(axis=1), marks.reshape(n, tasters).mean(axis=1)


def hold_tastings(
    drivers: Drivers,
    started: Ints,
    until: int,
    world: World,
    rng: np.random.Generator,
    always: Ints,
) -> Glasses:
    """Taste the batches on club evenings: some twice, some also sweetened, some never."""
    n, tasters = len(started), len(world.tasters.names)
    is_tasted = rng.random(n) < 0.87
    is_tasted[always] = True
    first = np.flatnonzero(is_tasted)
    again = first[rng.random(len(first)) < 0.22]
    batch = np.concatenate([first, again])
    wanted = started[batch] + drivers.age[batch]
    wanted[len(first) :] += rng.uniform(90, 260, len(again))
    day = (np.ceil(wanted / EVENING_DAYS) * EVENING_DAYS).astype(np.int64)
    is_over = day <= until
    batch, day = batch[is_over], day[is_over]
    sweet = np.where(
        rng.random(len(batch)) < 0.2, rng.choice([10.0, 15.0, 20.0, 30.0], len(batch)), np.nan
    )
    sweet = np.where(sweet > drivers.residual_sugar[batch] + 5, sweet, np.nan)
    pairs = np.flatnonzero(~np.isnan(sweet))
    batch, day = np.append(batch, batch[pairs]), np.append(day, day[pairs])
    sweet = np.append(np.full(len(sweet), np.nan), sweet[pairs])

    rows = np.repeat(np.arange(len(batch)), tasters)
    taster = np.tile(np.arange(tasters), len(batch))
    # A taster who misses an evening misses all of its glasses.
    evening = np.unique(day, return_inverse=True)[1]
    came = rng.random((evening.max(initial=0) + 1, tasters)) < 0.88
    rows, taster = (part[came[evening[rows], taster]] for part in (rows, taster))
    session = rng.normal(0.0, 0.5, evening.max(initial=0) + 1)[evening[rows]]
    return _write(
        drivers, started, batch[rows], day[rows], taster, sweet[rows], session, world, rng
    )


def _write(
    drivers: Drivers,
    started: Ints,
    batch: Ints,
    day: Ints,
    taster: Ints,
    sweet: Floats,
    session: Floats,
    world: World,
    rng: np.random.Generator,
) -> Glasses:
    age = (day - started[batch]).astype(np.float64)
    poured = drivers.take(batch)
    sugar = np.where(np.isnan(sweet), poured.residual_sugar, sweet)
    written, marks = pour(
        poured.changed(age=age, residual_sugar=sugar), taster, session, world, rng
    )
    assert tuple(written) == ATTRIBUTES
    blind = rng.random(len(batch)) < 0.6
    return Glasses(batch, day, age, taster, sweet, blind, written, marks)
