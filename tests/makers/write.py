"""Write a simulated maker down as a logbook folder, in the words of the contract."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from makers.doses import Line, lines
from makers.maker import Maker, ordinals_to_dates
from makers.measured import draw_dates, take_readings
from makers.pages import Page, batch_rows, reading_rows, transfer_rows
from makers.sheets import recipe_rows, tasting_rows

ADDITION_COLUMNS = (
    "batch_id",
    "added_on",
    "kind",
    "ingredient",
    "amount",
    "form",
    "skins",
    "ripeness",
    "removed_on",
    "cost",
    "notes",
)
UNREADABLE = ("a big bag", "?", "some", "1-2 lb", "02-Jan")


def pages_of(maker: Maker) -> dict[str, Page]:
    """Return header and rows of every page, by the name of its file."""
    rng = np.random.default_rng([maker.seed, 1])
    dates = draw_dates(maker.run, rng)
    readings = take_readings(maker.run, dates, maker.world.habits.calibrated_at_c, rng)
    pages = {
        "batches": batch_rows(maker, dates, rng),
        "additions": addition_rows(maker, rng),
        "readings": reading_rows(maker, readings),
        "transfers": transfer_rows(maker, dates, rng),
        "tastings": tasting_rows(maker),
    }
    if maker.planned_recipes:
        pages["recipes"] = recipe_rows(maker, rng)
    return pages


def write(maker: Maker, folder: Path) -> Path:
    """Write the logbook into the folder (made if missing) and return it."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "logbook.toml").write_text(settings_text(maker), encoding="utf-8")
    for name, page in pages_of(maker).items():
        save(folder / f"{name}.csv", *page)
    return folder


def save(path: Path, header: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Write one comma-separated file."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def settings_text(maker: Maker) -> str:
    """Return logbook.toml."""
    habits = maker.world.habits
    gallon = "imperial" if habits.imperial else "us"
    calibrated = "20 C" if habits.calibrated_at_c == 20.0 else "60 F"
    return (
        f'gallon = "{gallon}"\n'
        f'currency = "{"GBP" if habits.imperial else "USD"}"\n'
        f'show = "{gallon}"\n\n'
        f'[hydrometer]\ncalibrated_at = "{calibrated}"\n\n'
        '[counts]\n"yeast packet" = "5 g"\n"sulphite tablet" = "0.44 g"\n'
    )


def addition_rows(maker: Maker, rng: np.random.Generator) -> Page:
    """Return additions.csv; with ``lost`` some amounts are not readable."""
    every = lines(maker.run.plans, maker.world, rng)
    start = maker.started[[line.row for line in every]]
    added = start + np.array([line.day for line in every]).astype(np.int64)
    removed = start + np.array([line.removed or 0 for line in every]).astype(np.int64)
    is_lost = rng.random(len(every)) < maker.lost
    written = zip(
        every,
        added,
        ordinals_to_dates(added),
        removed,
        ordinals_to_dates(removed),
        is_lost,
        strict=True,
    )
    rows = []
    for line, day, added_on, out, removed_on, is_gone in written:
        if day > maker.until:
            continue
        removed_text = removed_on if line.removed is not None and out <= maker.until else ""
        rows.append(_addition(maker, line, added_on, removed_text, bool(is_gone)))
    return ADDITION_COLUMNS, rows


def _addition(
    maker: Maker, line: Line, added_on: str, removed_on: str, is_lost: bool
) -> tuple[str, ...]:
    is_dose = line.kind not in {"yeast", "water"}
    amount = UNREADABLE[line.row % len(UNREADABLE)] if is_lost and is_dose else line.amount
    return (
        maker.batch_ids[line.row],
        added_on,
        line.kind,
        line.ingredient,
        amount,
        line.form,
        line.skins,
        line.ripeness,
        removed_on,
        line.cost,
        "",
    )
