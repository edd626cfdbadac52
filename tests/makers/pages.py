"""Batches, readings and transfers: header and rows of text."""

from __future__ import annotations

import numpy as np

from makers import quantities
from makers.catalogue import EXTRACTIONS, PRESSED
from makers.maker import Maker, ordinals_to_dates
from makers.measured import Dates, Readings
from makers.world import Bools, Floats

Page = tuple[tuple[str, ...], list[tuple[str, ...]]]

BATCH_COLUMNS = (
    "batch_id",
    "name",
    "started_on",
    "recipe",
    "yeast",
    "target_volume",
    "gallon",
    "extraction",
    "status",
    "notes",
)
READING_COLUMNS = (
    "batch_id",
    "taken_on",
    "gravity",
    "instrument",
    "temperature",
    "must_temperature",
    "ph",
    "ta",
    "ta_as",
    "free_so2",
    "volume",
    "notes",
)
TRANSFER_COLUMNS = (
    "batch_id",
    "moved_on",
    "step",
    "pressed",
    "volume_after",
    "topped_up",
    "topped_up_with",
    "bottles",
    "notes",
)


def batch_rows(maker: Maker, dates: Dates, rng: np.random.Generator) -> Page:
    """Return batches.csv; a fifth of the yeasts stand only among the additions."""
    plans = maker.run.plans
    is_named = rng.random(len(plans)) < 0.8
    starts = ordinals_to_dates(maker.started)
    is_bottled = maker.started + dates.bottle <= maker.until
    return BATCH_COLUMNS, [
        (
            maker.batch_ids[row],
            maker.batch_recipes[row].rstrip(" 0123456789").capitalize(),
            starts[row],
            maker.batch_recipes[row],
            maker.world.yeasts.names[plans.yeast[row]] if is_named[row] else "",
            quantities.target(float(plans.target_l[row]), bool(plans.is_imperial[row])),
            _other_gallon(maker, row),
            EXTRACTIONS[plans.extraction[row]],
            "bottled" if is_bottled[row] and row % 2 else "",
            "",
        )
        for row in range(len(plans))
    ]


def _other_gallon(maker: Maker, row: int) -> str:
    """Return the gallon where a batch does not follow the logbook's."""
    is_imperial = bool(maker.run.plans.is_imperial[row])
    if is_imperial == maker.world.habits.imperial:
        return ""
    return "imperial" if is_imperial else "us"


def as_text(values: Floats, form: str) -> list[str]:
    return ["" if np.isnan(value) else format(value, form) for value in values.tolist()]


def reading_rows(maker: Maker, readings: Readings) -> Page:
    """Return readings.csv, by batch and day."""
    days = maker.started[readings.row] + readings.day.astype(np.int64)
    fahrenheit = maker.world.habits.fahrenheit

    def warmth(values: Floats) -> list[str]:
        return [
            "" if np.isnan(value) else quantities.temperature(value, fahrenheit)
            for value in values.tolist()
        ]

    columns = zip(
        [maker.batch_ids[row] for row in readings.row.tolist()],
        ordinals_to_dates(days),
        as_text(readings.gravity, ".4f"),
        warmth(readings.temperature_c),
        warmth(readings.must_temperature_c),
        as_text(readings.ph, ".2f"),
        as_text(readings.ta_g_l, ".1f"),
        as_text(readings.free_so2_mg_l, ".0f"),
        strict=True,
    )
    rows = [
        (batch, day, gravity.removesuffix("0"), "", sample, must, ph, ta, "", so2, "", "")
        for batch, day, gravity, sample, must, ph, ta, so2 in columns
    ]
    order = np.lexsort((days, readings.row))
    return READING_COLUMNS, [rows[k] for k in order.tolist() if days[k] <= maker.until]


def _volumes(maker: Maker, volume_l: Floats, rng: np.random.Generator) -> list[str]:
    """Return volumes as read off a jug: a little wrong, to the mark nearest."""
    plans = maker.run.plans
    shown = volume_l * (1.0 + 0.006 * rng.normal(size=len(plans)))
    is_litres = plans.water_style == 0
    variants = rng.integers(0, 6, len(plans))
    return [
        quantities.litres(value, 2)
        if litre
        else quantities.pints(value, bool(imperial), int(variant))
        for value, litre, imperial, variant in zip(
            np.maximum(shown, 0.2), is_litres, plans.is_imperial, variants, strict=True
        )
    ]


def transfer_rows(maker: Maker, dates: Dates, rng: np.random.Generator) -> Page:
    """Return transfers.csv, by batch and day."""
    run, n = maker.run, len(maker.run.plans)
    empty = [""] * n
    topped = run.bottled.topped_l > 0.1
    top = [
        text if flag else ""
        for text, flag in zip(_volumes(maker, run.bottled.topped_l, rng), topped, strict=True)
    ]
    top_with = [
        ("wine" if wine else "water") if flag else ""
        for wine, flag in zip(run.plans.is_topped_with_wine, topped, strict=True)
    ]
    pressed = [PRESSED[k] for k in run.plans.pressed]
    bottles, by_count = _bottles(run.bottled.bottled_l, rng)
    in_bottle = _volumes(maker, run.bottled.bottled_l, rng)
    in_bottle = ["" if counted else text for text, counted in zip(in_bottle, by_count, strict=True)]
    strained = _volumes(maker, run.bottled.strained_l, rng)
    is_strained = np.where(rng.random(n) < 0.05, np.nan, dates.strain)
    steps = [(is_strained, "strain", pressed, strained, empty, empty, empty)]
    for k in range(3):
        volume = _volumes(maker, run.bottled.racked_l[:, k], rng)
        first = (top, top_with) if k == 0 else (empty, empty)
        steps.append((dates.racks[:, k], "rack", empty, volume, *first, empty))
    steps.append((dates.chill, "chill", empty, empty, empty, empty, empty))
    steps.append((dates.bottle, "bottle", empty, in_bottle, empty, empty, bottles))
    found = []
    for day, step, *cells in steps:
        filled = np.nan_to_num(day, nan=1e6).astype(np.int64) + maker.started
        rows = np.flatnonzero(filled <= maker.until).tolist()
        written = ordinals_to_dates(np.minimum(filled, maker.until))
        found += [
            (
                row,
                int(filled[row]),
                (maker.batch_ids[row], written[row], step, *[c[row] for c in cells], ""),
            )
            for row in rows
        ]
    found.sort(key=lambda entry: entry[:2])
    return TRANSFER_COLUMNS, [entry[2] for entry in found]


def _bottles(bottled_l: Floats, rng: np.random.Generator) -> tuple[list[str], Bools]:
    """Return bottle counts for some, and who wrote nothing else."""
    draw = rng.random(len(bottled_l))
    counts = np.floor(bottled_l / 0.75 + 0.15).astype(int)
    by_count = (draw < 0.06) & (counts > 0)
    return [str(c) if d < 0.4 and c else "" for c, d in zip(counts, draw, strict=True)], by_count
