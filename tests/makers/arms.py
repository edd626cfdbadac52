"""The two arms of a split batch, truly made and poured by the simulator, as rows of the mart."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import polars as pl

from makers.brew import brew
from makers.changes import SameLuck
from makers.glasses import pour
from makers.maker import Maker
from makers.plans import Plans
from makers.taste import ATTRIBUTES, HARSH, Drivers, bounded, latents
from makers.world import Floats, World

OWN_HARSH, OWN_SCORE = 0.10, 0.75  # a batch's own luck, as `brew` draws it
CAME = 0.88  # share of tasters who come to an evening


@dataclass(frozen=True)
class Luck:
    """What the two arms share (must, year) and what each has alone, by seed."""

    shared: int
    own: int


def true_difference(plans: Plans, world: World, draws: int = 16) -> Floats:
    """Return by how much the second of each two plans is harsher to the tasters on average."""
    total = np.zeros(len(plans))
    for draw in range(draws):
        drivers = _drivers(plans, world, draw)
        none = np.zeros(len(plans))
        total += _felt(drivers.changed(own_harsh=none), world)
    return (total[1::2] - total[::2]) / draws


def _drivers(plans: Plans, world: World, seed: int) -> Drivers:
    return brew(plans, world, SameLuck(seed)).drivers  # type: ignore[arg-type]


def _felt(drivers: Drivers, world: World) -> Floats:
    """Return the harshness that the tasters mark on average, without noise."""
    total, tasters = np.zeros(len(drivers.age)), world.tasters
    for name, latent in latents(drivers).items():
        if name in HARSH:
            for slope, offset in zip(tasters.harsh_scale, tasters.harsh_offset, strict=True):
                total += np.clip(bounded(slope * latent + offset), 0.2, 9.8)
    return total / len(HARSH) / len(tasters.names)


def pour_arms(
    maker: Maker,
    plans: Plans,
    luck: Luck,
    batch_ids: tuple[str, str],
    *,
    evenings: int = 1,
    is_one_wine: bool = False,
) -> pl.DataFrame:
    """Return the glasses of both arms (two plans), with the columns of the mart's `glasses`."""
    rng = np.random.default_rng(luck.own)
    world, tasters = maker.world, len(maker.world.tasters.names)
    drivers = _drivers(plans, world, luck.shared)
    harsh, score = OWN_HARSH * rng.standard_t(6, 2), OWN_SCORE * rng.standard_t(6, 2)
    if is_one_wine:
        harsh, score = np.repeat(harsh[:1], 2), np.repeat(score[:1], 2)
    drivers = drivers.changed(own_harsh=harsh, own_score=score)
    rows = []
    for evening in range(evenings):
        came = np.flatnonzero(rng.random(tasters) < CAME)
        came = came if came.size else np.array([0])
        taster, arm = np.tile(came, 2), np.repeat([0, 1], came.size)
        mood = np.full(taster.size, rng.normal(0.0, 0.5))
        written, marks = pour(drivers.take(arm), taster, mood, world, rng)
        day = date.fromordinal(maker.until) + timedelta(days=28 * evening)
        for k in range(taster.size):
            stirred = plans.sweeten_g_l[arm[k]] if is_one_wine and arm[k] else None
            row = {name: float(written[name][k]) for name in ATTRIBUTES}
            rows.append(
                row
                | {
                    "batch_id": batch_ids[arm[k]],
                    "tasted_on": day,
                    "age_days": int(drivers.age[0]),
                    "taster": world.tasters.names[taster[k]],
                    "sweetened_to_g_l": None if stirred is None else float(stirred),
                    "harshness": float(np.mean([written[name][k] for name in HARSH])),
                    "score": float(marks[k]),
                }
            )
    schema = {"sweetened_to_g_l": pl.Float64, "age_days": pl.Int64}
    return pl.DataFrame(rows, schema_overrides=schema)


def joined_to(frame: pl.DataFrame, more: pl.DataFrame) -> pl.DataFrame:
    """Return a table of the mart with rows more; columns that they lack are unknown."""
    known = [name for name in more.columns if name in frame.columns]
    same = more.select(pl.col(name).cast(frame.schema[name]) for name in known)
    return pl.concat([frame, same], how="diagonal")
