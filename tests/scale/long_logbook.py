"""An invented logbook of any length with all that a long one holds: vectorised and seeded.

Per batch 30 readings, 7 additions, 3 transfers and 4 glasses. Units are as makers mix them (pounds,
spoons, fractions, Fahrenheit, Brix, gallons of both kinds), dates come in four forms, a few notes
run over two lines, and about one row in a hundred has a fault.
"""

from pathlib import Path

import numpy as np
import polars as pl

READINGS, ADDITIONS, TRANSFERS, GLASSES = 30, 7, 3, 4
SETTINGS = """gallon = "us"

[counts]
"yeast packet" = "5 g"
"sulphite tablet" = "0.44 g"
"""
FRUITS = ("damson", "plums", "Blackberry", "elderberries", "rhubarb", "bananas", "moonberry")
YEASTS = ("Lantern", "Millrace", "Sexton", "Hobnail", "Wherry")
TASTERS = ("Ada", "Bo", "Cass", "Dov", "Eve", "Fay")
DAY = np.timedelta64(1, "D")
FAULT_SHARE = 0.01
ORIGINAL, FINAL = (1.07, 1.105), (0.990, 0.9995)
# What stands in a cell at fault, by file and column.
FAULTS = {
    "batches": {"started_on": "03/04/2024", "target_volume": "a jar"},
    "additions": {"amount": "3-4 lb", "added_on": "05/06/2024", "kind": "friut", "batch_id": "B?"},
    "readings": {"gravity": "1090", "temperature": "20", "taken_on": "3/4/24", "ph": "34"},
    "transfers": {"volume_after": "?", "moved_on": "2124-05-01", "step": "racked"},
    "tastings": {"score": "7/10", "taster": "", "warmth": "11", "batch_id": "none"},
}

Chance = np.random.Generator
Starts = np.ndarray


def write_long_logbook(folder: Path, batches: int, seed: int = 3) -> int:
    """Write the logbook's files and return how many bytes its tables have."""
    chance = np.random.default_rng(seed)
    started = np.datetime64("2015-01-01") + chance.integers(0, 3300, batches).astype("m8[D]")
    frames = {
        "batches": _batches(started, chance),
        "additions": _additions(started, chance),
        "readings": _readings(started, chance),
        "transfers": _transfers(started, chance),
        "tastings": _tastings(started, chance),
    }
    paths = [folder / f"{name}.csv" for name in frames]
    for (name, frame), path in zip(frames.items(), paths, strict=True):
        _with_faults(name, frame, chance).write_csv(path)
    (folder / "logbook.toml").write_text(SETTINGS, encoding="utf-8")
    return sum(path.stat().st_size for path in paths)


def _names(started: Starts, times: int) -> tuple[pl.Series, np.ndarray]:
    """Return the batch_id of every row, and the batch it belongs to."""
    which = np.repeat(np.arange(len(started)), times)
    names = pl.select(pl.int_range(len(started)).cast(pl.String).str.zfill(6)).to_series()
    return ("B" + names).gather(which).alias("batch_id"), which


def _dates(days: np.ndarray, form: np.ndarray) -> pl.Series:
    """Write days, or moments where the form has a clock, each in its batch's form."""
    forms = ("%Y-%m-%d %H:%M", "%Y-%m-%d", "%d %b %Y", "%b %d, %Y")
    at = pl.DataFrame({"at": days.astype("M8[ms]"), "form": form})
    text = pl.coalesce(
        pl.when(pl.col("form") == number).then(pl.col("at").dt.strftime(pattern))
        for number, pattern in enumerate(forms)
    )
    return at.select(text).to_series()


def _forms(chance: Chance, batches: int, *, has_clock: bool) -> np.ndarray:
    shares = [0.5, 0.3, 0.15, 0.05] if has_clock else [0, 0.8, 0.15, 0.05]
    return chance.choice(4, batches, p=shares)


def _number(values: np.ndarray, digits: int, unit: str = "") -> pl.Series:
    text = pl.Series(values.round(digits)).cast(pl.Decimal(12, digits)).cast(pl.String)
    return text + unit


def _some(values: pl.Series, share: float, chance: Chance) -> pl.Series:
    kept = pl.Series(chance.random(len(values)) < share)
    return values.zip_with(kept, pl.Series([None], dtype=pl.String))


def _picked(chance: Chance, choices: tuple[str, ...], size: int) -> pl.Series:
    return pl.Series(choices).gather(chance.integers(0, len(choices), size))


def _either(is_first: np.ndarray, first: pl.Series, second: pl.Series) -> pl.Series:
    return first.zip_with(pl.Series(is_first), second)


def _frame(columns: dict[str, pl.Series]) -> pl.DataFrame:
    return pl.DataFrame([values.alias(name) for name, values in columns.items()])


def _batches(started: Starts, chance: Chance) -> pl.DataFrame:
    rows = len(started)
    names, _ = _names(started, 1)
    return _frame(
        {
            "batch_id": names,
            "name": "Wine of jar " + names,
            "started_on": _dates(started, _forms(chance, rows, has_clock=False)),
            "recipe": _picked(chance, ("Hedge red", "Root white", "Orchard", "Flower"), rows),
            "yeast": _picked(chance, YEASTS, rows),
            "target_volume": _picked(
                chance, ("1 gal", "4.5 L", "5 gal", "~9 L", "2 1/2 gal"), rows
            ),
            "gallon": _some(pl.repeat("imperial", rows, eager=True), 0.1, chance),
            "extraction": _some(_picked(chance, ("cold", "hot", "steamed"), rows), 0.8, chance),
        }
    )


def _additions(started: Starts, chance: Chance) -> pl.DataFrame:
    """Seven rows a batch, in this order of kinds."""
    kinds = ("fruit", "water", "sugar", "acid", "nutrient", "yeast", "sulphite")
    rows = len(started) * ADDITIONS
    names, which = _names(started, ADDITIONS)
    at = np.tile(np.arange(ADDITIONS), len(started))
    day = np.array([0, 0, 0, 1, 2, 1, 60])[at] + (at == 2) * chance.choice([0, 0, 0, 5], rows)
    named = [
        _picked(chance, FRUITS, rows),
        pl.repeat("water", rows, eager=True),
        _picked(chance, ("white sugar", "sugar", "honey"), rows),
        _picked(chance, ("citric acid", "tartaric acid"), rows),
        _picked(chance, ("DAP", "yeast nutrient"), rows),
        _picked(chance, YEASTS, rows),
        _picked(chance, ("sulphite tablet", "potassium metabisulphite"), rows),
    ]
    amounts = [
        _weights(chance, rows),
        _picked(chance, ("to 1 gal", "4 L", "3 1/2 qt", "to 4.5 L"), rows),
        _weights(chance, rows),
        _picked(chance, ("1/2 tsp", "4 g", "1 tsp", "¾ tsp", "5 g"), rows),
        _picked(chance, ("½ tsp", "2 g", "1 1/2 g", "~3 g"), rows),
        _picked(chance, ("1 packet", "5 g", "1 tsp"), rows),
        _picked(chance, ("1 tablet", "0.4 g", "1/16 tsp"), rows),
    ]
    form = np.repeat(_forms(chance, len(started), has_clock=False), ADDITIONS)
    is_fruit = pl.Series(at == 0)
    no_text = pl.Series([None], dtype=pl.String)
    removed = _dates(started[which] + chance.integers(4, 12, rows) * DAY, form)
    forms = _picked(chance, ("crushed", "whole", "sliced", "whole frozen"), rows)
    skins = _picked(chance, ("on", "off"), rows)
    return _frame(
        {
            "batch_id": names,
            "added_on": _dates(started[which] + day * DAY, form),
            "kind": pl.Series(kinds).gather(at),
            "ingredient": _by_place(named, at),
            "amount": _by_place(amounts, at),
            "form": forms.zip_with(is_fruit, no_text),
            "skins": skins.zip_with(is_fruit, no_text),
            "removed_on": removed.zip_with(is_fruit, no_text),
            "cost": _some(_number(chance.uniform(0, 9, rows), 2), 0.5, chance),
        }
    )


def _weights(chance: Chance, rows: int) -> pl.Series:
    """Return weights from 0.6 to 3 kg: pounds and ounces, pounds and halves, or kilograms."""
    ounces = chance.integers(24, 106, rows)
    pounds = pl.Series(ounces // 16).cast(pl.String) + " lb "
    mixed = pounds + pl.Series(ounces % 16).cast(pl.String) + " oz"
    halves = pl.Series(ounces // 16).cast(pl.String) + " 1/2 lb"
    kilograms = _number(ounces * 0.02835, 2, " kg")
    way = chance.integers(0, 3, rows)
    return _either(way == 0, mixed, _either(way == 1, halves, kilograms))


def _by_place(columns: list[pl.Series], at: np.ndarray) -> pl.Series:
    """Take every row from the column that its place in the batch says."""
    rows = np.arange(len(at))
    return pl.concat(columns).gather(at * len(at) + rows)


def _readings(started: Starts, chance: Chance) -> pl.DataFrame:
    names, which = _names(started, READINGS)
    rows = len(which)
    hours = np.tile(np.arange(READINGS) * 37, len(started))
    at = started[which].astype("M8[m]") + (60 * hours).astype("m8[m]")
    first, last = (chance.uniform(*ends, len(started))[which] for ends in (ORIGINAL, FINAL))
    gravity = last + (first - last) * np.exp(-hours / 144) + chance.normal(0, 0.0003, rows)
    warmth = chance.integers(12, 28, rows)
    is_old = which % 3 == 0
    brix = _number(250 * np.clip(gravity - 1, 0, None), 1, " Bx")
    fahrenheit = pl.Series(np.round(warmth * 1.8 + 32).astype(int)).cast(pl.String) + " F"
    celsius = pl.Series(warmth).cast(pl.String) + " C"
    volume = _picked(chance, ("5 L", "~5 L", "5 1/4 qt"), rows)
    is_early = pl.Series(hours < 180)
    remarks = ("smells of pears", "clearing, slowly", "a skin\nof yeast", "foam down")
    return _frame(
        {
            "batch_id": names,
            "taken_on": _dates(at, _forms(chance, len(started), has_clock=True)[which]),
            "gravity": _either(is_old, brix, _number(gravity, 4)),
            "temperature": _either(is_old, fahrenheit, celsius),
            "must_temperature": _some(celsius, 0.3, chance),
            "ph": _some(_number(chance.uniform(3, 3.8, rows), 2), 0.2, chance),
            "ta": _some(_number(chance.uniform(4, 8, rows), 1), 0.1, chance),
            "free_so2": _some(_number(chance.uniform(5, 60, rows), 0), 0.05, chance),
            "volume": _some(volume, 0.2, chance).zip_with(
                is_early, pl.Series([None], dtype=pl.String)
            ),
            "notes": _some(_picked(chance, remarks, rows), 0.03, chance),
        }
    )


def _transfers(started: Starts, chance: Chance) -> pl.DataFrame:
    names, which = _names(started, TRANSFERS)
    rows = len(which)
    at = np.tile(np.arange(TRANSFERS), len(started))
    is_bottling = at == TRANSFERS - 1
    day = np.array([8, 40, 160])[at] + chance.integers(0, 5, rows)
    size = chance.uniform(4.4, 4.9, len(started))[which] - 0.25 * at
    volume = _either(which % 2 == 0, _number(size, 2, " L"), _number(size / 3.785411784, 2, " gal"))
    topped = _number(chance.uniform(0.1, 0.4, rows), 2, " L")
    is_topped = pl.Series((at == 1) & (chance.random(rows) < 0.3))
    no_text = pl.Series([None], dtype=pl.String)
    return _frame(
        {
            "batch_id": names,
            "moved_on": _dates(
                started[which] + day * DAY, _forms(chance, len(started), has_clock=False)[which]
            ),
            "step": pl.Series(("strain", "rack", "bottle")).gather(at),
            "pressed": pl.Series(["squeezed"]).gather(at * 0).zip_with(pl.Series(at == 0), no_text),
            "volume_after": volume,
            "topped_up": topped.zip_with(is_topped, no_text),
            "topped_up_with": _picked(chance, ("wine", "water"), rows).zip_with(is_topped, no_text),
            "bottles": _number(size / 0.75, 0).zip_with(pl.Series(is_bottling), no_text),
        }
    )


def _tastings(started: Starts, chance: Chance) -> pl.DataFrame:
    names, which = _names(started, GLASSES)
    rows = len(which)
    day = 250 + 90 * np.tile(np.arange(GLASSES) // 2, len(started))
    form = _forms(chance, len(started), has_clock=False)[which]
    scales = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")
    columns = {
        "batch_id": names,
        "tasted_on": _dates(started[which] + day * DAY, form),
        "taster": _picked(chance, TASTERS, rows),
        "sweetened_to": _some(_picked(chance, ("10", "20 g/L", "3 %"), rows), 0.2, chance),
        "blind": _picked(chance, ("yes", "no"), rows),
    }
    for name in scales:
        columns[name] = _number(chance.integers(0, 21, rows) / 2, 1)
    columns["score"] = _number(chance.integers(16, 39, rows) / 2, 1)
    columns["faults"] = _some(_picked(chance, ("hazy", "sulphury; hazy"), rows), 0.05, chance)
    return _frame(columns)


def _with_faults(name: str, frame: pl.DataFrame, chance: Chance) -> pl.DataFrame:
    """Put a fault into about one row in a hundred, spread over the columns."""
    share = FAULT_SHARE / len(FAULTS[name])
    return frame.with_columns(
        pl.when(pl.Series(chance.random(frame.height) < share))
        .then(pl.lit(cell))
        .otherwise(column)
        .alias(column)
        for column, cell in FAULTS[name].items()
    )
