"""What is read off in the cellar: gravities at the temperature of the day, acidity, dates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.brew import Run
from makers.must import sugar_gravity
from makers.world import Floats, Ints

FIRST, MIDDLE, LAST = 0, 1, 2


@dataclass
class Dates:
    """Days from the start: solids out, rackings (n, 3), into the cold, bottled; NaN = not done."""

    strain: Floats
    racks: Floats
    chill: Floats
    bottle: Floats


@dataclass
class Readings:
    """One entry per reading; NaN = not measured."""

    row: Ints
    day: Floats
    gravity: Floats
    temperature_c: Floats
    must_temperature_c: Floats
    ph: Floats
    ta_g_l: Floats
    free_so2_mg_l: Floats


def draw_dates(run: Run, rng: np.random.Generator) -> Dates:
    """Return when each batch was strained, racked, chilled and bottled."""
    plans, n = run.plans, len(run.plans)
    first = plans.contact_days + np.round(rng.uniform(18, 34, n))
    gaps = np.round(rng.uniform(25, 50, (n, 2)))
    racks = np.stack([first, first + gaps[:, 0], first + gaps.sum(axis=1)], axis=1)
    last = racks[np.arange(n), plans.rackings - 1]
    racks[np.arange(3)[None, :] >= plans.rackings[:, None]] = np.nan
    return Dates(
        strain=plans.contact_days,
        racks=racks,
        chill=np.where(plans.is_chilled, first + 3.0, np.nan),
        bottle=np.maximum(np.round(plans.bottle_day), last + 20.0),
    )


def as_read(gravity: Floats, sample_c: Floats, calibrated_at_c: float) -> Floats:
    """Return what a hydrometer shows in a sample at this temperature."""

    def water(celsius: Floats | float) -> Floats | float:
        warm = celsius - 20.0
        return 1.0 - 2.1e-4 * warm - 4.6e-6 * warm**2

    glass = 1.0 + 2.5e-5 * (sample_c - calibrated_at_c)
    shown: Floats = gravity * water(sample_c) / water(calibrated_at_c) * glass
    return shown


def _blank(values: Floats, share: float, rng: np.random.Generator) -> Floats:
    return np.where(rng.random(len(values)) < share, np.nan, values)


def take_readings(
    run: Run, dates: Dates, calibrated_at_c: float, rng: np.random.Generator
) -> Readings:
    """Return the readings: a first one with the yeast, some on the way, one or more at the end."""
    plans, wine, n = run.plans, run.wine, len(run.plans)
    end = dates.racks[:, 0]
    feed = np.where(plans.feed_kg > 0, plans.feed_day, np.nan)
    pace = 2.6 * 1.08 ** (21.0 - plans.must_temperature_c)

    def on_the_way(day: Floats) -> Floats:
        share = np.exp(-np.maximum(day - plans.yeast_day - 0.5, 0.0) / pace)
        fed_g_l = np.where(day <= feed, 1000 * plans.feed_kg / run.must.strained_l, 0.0)
        full = sugar_gravity(wine.hexose_g_l / 1.0526 - fed_g_l)
        return wine.gravity + (full - wine.gravity) * share

    settled = wine.gravity
    moments = [
        (plans.yeast_day, run.must.start_gravity, _chosen(rng, n, 0.93), FIRST),
        (feed, on_the_way(feed), ~np.isnan(feed), MIDDLE),
        (plans.contact_days, on_the_way(plans.contact_days), _chosen(rng, n, 0.55), MIDDLE),
        (end, settled, _chosen(rng, n, 0.95), LAST),
        # Only what seems stuck is watched for more than a week.
        (end + 5, settled, ~wine.is_stuck & _chosen(rng, n, 0.3), LAST),
        (end + 9, settled, wine.is_stuck, LAST),
        (end + 19, settled, wine.is_stuck, LAST),
    ]
    parts = [_moment(run, *moment, calibrated_at_c, rng) for moment in moments]
    joined = {
        name: np.concatenate([getattr(part, name) for part in parts]) for name in vars(parts[0])
    }
    return Readings(**joined)


def _chosen(rng: np.random.Generator, n: int, share: float) -> np.ndarray:
    return rng.random(n) < share


def _moment(
    run: Run,
    day: Floats,
    gravity: Floats,
    is_taken: np.ndarray,
    when: int,
    calibrated_at_c: float,
    rng: np.random.Generator,
) -> Readings:
    rows = np.flatnonzero(is_taken)
    n, true = len(rows), gravity[rows]
    sample_c = np.round(2 * rng.normal(20.0, 2.5, n)) / 2
    is_told = rng.random(n) < 0.75
    # Who does not write the temperature down seldom measures far from the calibration.
    sample_c = np.where(is_told, sample_c, calibrated_at_c + rng.normal(0, 1.0, n))
    shown = as_read(true, sample_c, calibrated_at_c) + 0.0004 * rng.normal(size=n)
    is_last = when == LAST
    acid = run.must.acid_g[rows] / run.must.strained_l[rows]
    titrated = acid + 0.25 * rng.normal(size=n)
    ph = 3.95 - 0.095 * acid + 0.06 * rng.normal(size=n)
    sulphite = 0.35 * run.drivers.sulphite[rows] * np.exp(0.2 * rng.normal(size=n))
    return Readings(
        row=rows,
        day=day[rows],
        gravity=np.round(2000 * shown) / 2000,
        temperature_c=np.where(is_told, sample_c, np.nan),
        must_temperature_c=_blank(
            run.plans.must_temperature_c[rows] + rng.normal(0, 0.7, n), 1.0 if is_last else 0.3, rng
        ),
        ph=_blank(np.clip(ph, 2.6, 4.6), 0.45, rng),
        ta_g_l=_blank(np.maximum(titrated, 0.3), 0.45 if is_last else 0.85, rng),
        free_so2_mg_l=_blank(np.where(sulphite > 3, sulphite, np.nan), 0.8, rng),
    )
