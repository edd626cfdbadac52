"""Measure how long a long logbook takes to read and check, beside a bare typed CSV read.

    python tests/scale/read_readings.py [ROWS]

Writes an invented logbook with messy units to a temporary folder; prints seconds and ratios.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import duckdb
import numpy as np
import polars as pl

from pipeline.logbook import read_logbook

READINGS_PER_BATCH = 150
TYPES = {
    "batch_id": "VARCHAR",
    "taken_on": "TIMESTAMP",
    "gravity": "VARCHAR",
    "temperature": "VARCHAR",
    "ph": "DOUBLE",
    "volume": "VARCHAR",
}


def write_long_logbook(folder: Path, rows: int) -> None:
    """Write a logbook with that many readings: every third batch in Brix, °F and gallons."""
    chance = np.random.default_rng(3)
    batches = rows // READINGS_PER_BATCH
    names = np.array([f"B{at:06}" for at in range(batches)])
    started = np.datetime64("2018-01-01") + chance.integers(0, 2500, batches).astype("m8[D]")
    days = np.datetime_as_string(started, unit="D")
    pl.DataFrame({"batch_id": names, "started_on": days}).write_csv(folder / "batches.csv")
    pl.DataFrame(
        {
            "batch_id": names,
            "added_on": days,
            "kind": "fruit",
            "ingredient": "plum",
            "amount": chance.choice(["2 kg", "4 lb 8 oz", "~2.5 kg", "1 1/2 lb"], batches),
        }
    ).write_csv(folder / "additions.csv")
    _readings(names, started, chance).write_csv(folder / "readings.csv")
    (folder / "logbook.toml").write_text('gallon = "us"\n', encoding="utf-8")


def _readings(names: np.ndarray, started: np.ndarray, chance: np.random.Generator) -> pl.DataFrame:
    which = np.repeat(np.arange(len(names)), READINGS_PER_BATCH)
    hours = np.tile(np.arange(READINGS_PER_BATCH) * 5, len(names))
    at = started[which].astype("M8[m]") + (60 * hours).astype("m8[m]")
    gravity = 1.09 - 0.095 * (1 - np.exp(-hours / 144)) + chance.normal(0, 0.0003, len(which))
    warmth = chance.integers(12, 28, len(which))
    is_old = which % 3 == 0
    brix = np.char.mod("%.1f Bx", 250 * np.clip(gravity - 1, 0, None))
    fahrenheit = np.char.mod("%d F", np.round(warmth * 1.8 + 32).astype(int))
    ph = np.char.mod("%.2f", chance.uniform(3, 3.8, len(which)))
    volume = chance.choice(["4 L", "1 gal", "4 1/2 qt", "~4 L"], len(names))[which]
    frame = pl.DataFrame(
        {
            "batch_id": names[which],
            "taken_on": np.char.replace(np.datetime_as_string(at, unit="m"), "T", " "),
            "gravity": np.where(is_old, brix, np.char.mod("%.4f", gravity)),
            "temperature": np.where(is_old, fahrenheit, np.char.mod("%d C", warmth)),
            "ph": np.where(hours % 25 == 0, ph, ""),
            "volume": np.where(hours % 250 == 0, volume, ""),
        }
    )
    return frame.with_columns(pl.col("ph", "volume").replace("", None))


def seconds(run: Callable[[], object], times: int = 3) -> tuple[float, float]:
    """Return the shortest wall time and the processor time of it."""
    best = (float("inf"), 0.0)
    for _ in range(times):
        wall, processor = time.perf_counter(), time.process_time()
        run()
        best = min(best, (time.perf_counter() - wall, time.process_time() - processor))
    return best


def main(rows: int) -> None:
    """Write, read and compare."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_long_logbook(folder, rows)
        path = str(folder / "readings.csv")
        connection = duckdb.connect()
        read = "create or replace table readings as select * from read_csv(?, columns = {})"
        bare = seconds(lambda: connection.execute(read.format(TYPES), [path]))
        checked = seconds(lambda: read_logbook(folder))
        print(f"{rows} readings        wall s  processor s")
        print(f"bare typed read      {bare[0]:6.2f}  {bare[1]:6.2f}")
        print(f"read and checked     {checked[0]:6.2f}  {checked[1]:6.2f}")
        print(f"ratio                {checked[0] / bare[0]:6.1f}  {checked[1] / bare[1]:6.1f}")
        print(read_logbook(folder).problems.group_by("level", "rule").len())


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3_000_000)
