"""The checks that set rows of a long logbook aside, written plainly with pandas and pandera.

What somebody would write who needs it once: a regular expression a cell, a date form after the
other, a schema a file, and merges between files. It knows only what `long_logbook` writes, and
holds no warning; the numbers of rows it sets aside agree with hedgerow's. Needs `pandera[pandas]`.
"""

import re
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pandera.pandas as pa

NAMES = ("batches", "additions", "readings", "transfers", "tastings")
DATE_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%d", "%d %b %Y", "%b %d, %Y")
VULGAR = {"½": 0.5, "¼": 0.25, "¾": 0.75}
MASS_KG = {"kg": 1.0, "g": 1e-3, "lb": 0.45359237, "oz": 0.45359237 / 16}
VOLUME_L = {"L": 1.0, "mL": 1e-3, "gal": 3.785411784, "qt": 3.785411784 / 4, "tsp": 0.00493}
AMOUNTS = MASS_KG | VOLUME_L | {"packet": 0.005, "tablet": 0.00044}
STRENGTHS = {"g/L": 1.0, "mg/L": 1e-3, "%": 10.0}
TERM = re.compile(
    r"(?:(?P<whole>\d+) )?(?P<top>\d+)/(?P<bottom>\d+)"
    r"|(?P<plain>\d+(?:\.\d+)?)?(?P<vulgar>[½¼¾])?"
)
KINDS = [
    "fruit",
    "juice",
    "water",
    "sugar",
    "honey",
    "acid",
    "tannin",
    "nutrient",
    "enzyme",
    "yeast",
    "sulphite",
    "sorbate",
]
DAY_COLUMNS = {
    "batches": "started_on",
    "additions": "added_on",
    "readings": "taken_on",
    "transfers": "moved_on",
    "tastings": "tasted_on",
}
SCALES = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")


def quantity(text: str, units: dict[str, float], bare: float | None = None) -> float:
    """Return a quantity such as `1 lb 14 oz` in its base unit; not a number if it is none."""
    rest = text.removeprefix("to ").lstrip("~")
    total = 0.0
    while rest:
        match = TERM.match(rest)
        if match is None or not match[0]:
            return float("nan")
        unit, _, rest = rest[match.end() :].lstrip().partition(" ")
        factor = bare if not unit else units.get(unit)
        if factor is None:
            return float("nan")
        total += _number(match) * factor
    return total


def _number(match: re.Match[str]) -> float:
    if match["top"]:
        return int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return float(match["plain"] or 0) + VULGAR.get(match["vulgar"], 0.0)


def quantities(cells: pd.Series, units: dict[str, float], bare: float | None = None) -> pd.Series:
    """Return a column of quantities in their base unit."""
    return cells.map(lambda text: quantity(text, units, bare), na_action="ignore").astype(float)


def gravity(text: str) -> float:
    """Return a gravity; one in Brix by a rule of thumb, since only its bounds matter here."""
    brix = text.removesuffix(" Bx")
    return float(text) if brix == text else 1 + float(brix) / 250


def celsius(text: str) -> float:
    """Return a temperature; not a number without a unit."""
    number, _, unit = text.partition(" ")
    if unit not in ("C", "F"):
        return float("nan")
    return float(number) if unit == "C" else (float(number) - 32) / 1.8


def days(cells: pd.Series) -> pd.Series:
    """Return a column of dates, the first form that fits each."""
    found = pd.to_datetime(cells, format=DATE_FORMS[0], errors="coerce")
    for form in DATE_FORMS[1:]:
        found = found.fillna(pd.to_datetime(cells, format=form, errors="coerce"))
    return found


def _typed(name: str, raw: pd.DataFrame) -> pd.DataFrame:
    typed = raw.copy()
    typed[DAY_COLUMNS[name]] = days(raw[DAY_COLUMNS[name]])
    match name:
        case "batches":
            typed["target_volume"] = quantities(raw["target_volume"], VOLUME_L)
        case "additions":
            typed["amount"] = quantities(raw["amount"], AMOUNTS)
            typed["removed_on"] = days(raw["removed_on"])
        case "readings":
            typed["gravity"] = raw["gravity"].map(gravity, na_action="ignore").astype(float)
            for column in ("temperature", "must_temperature"):
                typed[column] = raw[column].map(celsius, na_action="ignore").astype(float)
            typed["volume"] = quantities(raw["volume"], VOLUME_L)
        case "transfers":
            for column in ("volume_after", "topped_up"):
                typed[column] = quantities(raw[column], VOLUME_L)
        case "tastings":
            typed["sweetened_to"] = quantities(raw["sweetened_to"], STRENGTHS, 1.0)
    for column in _numbers(name):
        typed[column] = pd.to_numeric(raw[column], errors="coerce")
    return typed


def _numbers(name: str) -> tuple[str, ...]:
    numbers = {
        "additions": ("cost",),
        "readings": ("ph", "ta", "free_so2"),
        "transfers": ("bottles",),
        "tastings": (*SCALES, "score"),
    }
    return numbers.get(name, ())


def _between(low: float, high: float) -> pa.Column:
    return pa.Column(float, pa.Check.in_range(low, high), nullable=True)


def _one_of(*choices: str, needed: bool = False) -> pa.Column:
    return pa.Column(checks=pa.Check.isin(choices), nullable=not needed)


def _schema(name: str) -> pa.DataFrameSchema:
    today = pd.Timestamp(date.today() + timedelta(days=1))
    positive = pa.Column(float, pa.Check.gt(0), nullable=True)
    columns = {
        "batches": {
            "target_volume": positive,
            "gallon": _one_of("us", "imperial"),
            "extraction": _one_of("cold", "hot", "steamed", "simmered", "juice"),
        },
        "additions": {
            "kind": _one_of(*KINDS, needed=True),
            "ingredient": pa.Column(nullable=False),
            "amount": pa.Column(float, pa.Check.gt(0), nullable=False),
            "form": _one_of("whole", "sliced", "crushed", "whole frozen"),
            "skins": _one_of("on", "off"),
            "cost": _between(0, float("inf")),
        },
        "readings": {
            "gravity": _between(0.980, 1.200),
            "temperature": _between(-10, 100),
            "must_temperature": _between(-10, 100),
            "ph": _between(2, 5),
            "ta": _between(0, 40),
            "free_so2": _between(0, 2000),
            "volume": positive,
        },
        "transfers": {
            "step": _one_of("strain", "rack", "chill", "bottle", needed=True),
            "pressed": _one_of("drained", "squeezed", "pressed"),
            "volume_after": positive,
            "topped_up": positive,
            "topped_up_with": _one_of("water", "wine", "juice"),
            "bottles": positive,
        },
        "tastings": {
            "taster": pa.Column(pa.String, pa.Check.str_length(min_value=1), nullable=False),
            "sweetened_to": _between(0, 400),
            "blind": _one_of("yes", "no"),
            **{scale: _between(0, 10) for scale in SCALES},
            "score": _between(0, 20),
        },
    }
    day = pa.Column(pd.api.types.pandas_dtype("datetime64[ns]"), pa.Check.lt(today), coerce=True)
    return pa.DataFrameSchema({"batch_id": pa.Column(), DAY_COLUMNS[name]: day, **columns[name]})


def _rows_at_fault(name: str, raw: pd.DataFrame, typed: pd.DataFrame) -> pd.Series:
    """Return which rows break a rule of their own."""
    at_fault = pd.Series(False, index=raw.index)
    try:
        _schema(name).validate(typed, lazy=True)
    except pa.errors.SchemaErrors as errors:
        at_fault.loc[errors.failure_cases["index"].dropna().astype(int).unique()] = True
    for column in raw.columns:
        # A cell that was written and could not be read.
        at_fault |= raw[column].notna() & typed[column].isna()
    if name == "additions":
        at_fault |= typed["removed_on"] < typed["added_on"].dt.normalize()
        fruit_only = raw[["form", "skins", "removed_on"]].notna().any(axis=1)
        at_fault |= fruit_only & (raw["kind"] != "fruit")
    if name == "transfers":
        has_volume = raw["volume_after"].notna() | (
            (raw["step"] == "bottle") & raw["bottles"].notna()
        )
        at_fault |= (raw["step"] != "chill") & raw["step"].notna() & ~has_volume
        at_fault |= raw["pressed"].notna() & (raw["step"] != "strain")
        at_fault |= raw["bottles"].notna() & (raw["step"] != "bottle")
    return at_fault


def validate(folder: Path) -> dict[str, int]:
    """Return how many rows of each file are set aside."""
    kept: pd.DataFrame | None = None
    aside = {}
    for name in NAMES:
        raw = pd.read_csv(folder / f"{name}.csv", dtype=str)
        typed = _typed(name, raw)
        at_fault = _rows_at_fault(name, raw, typed)
        if kept is None:
            at_fault |= raw["batch_id"].duplicated()
            kept = typed.loc[~at_fault, ["batch_id", "started_on"]]
        else:
            began = typed[["batch_id"]].merge(kept, on="batch_id", how="left")["started_on"]
            at_fault |= began.isna()
            early = typed[DAY_COLUMNS[name]].dt.normalize() < began - pd.Timedelta(days=2)
            at_fault |= early
        aside[name] = int(at_fault.sum())
    return aside
