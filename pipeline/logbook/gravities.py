"""The hydrometer readings of a logbook, corrected for temperature and instrument."""

import numpy as np
import polars as pl

from pipeline.enology.gravity import corrected_gravity
from pipeline.enology.sucrose import gravity_from_brix
from pipeline.logbook.settings import Settings


def corrected_gravities(readings: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """Return every hydrometer reading, corrected.

    Parameters
    ----------
    readings : polars.DataFrame
        Loaded rows of readings.csv.
    settings : Settings
        For the hydrometer. A sample without a temperature counts as taken at the hydrometer's own.

    Returns
    -------
    polars.DataFrame
        One row per reading in the order of batch and time: `line`, `batch_id`, `taken_at`,
        `taken_on`, `gravity` [specific gravity].
    """
    is_read = pl.col("gravity_sg").is_not_null() | pl.col("gravity_brix").is_not_null()
    rows = readings.filter((pl.col("instrument") == "hydrometer") & is_read)
    made_for = settings.hydrometer_calibrated_at_c
    warmth = rows["temperature_c"].fill_null(made_for).clip(0, 100)
    shown = as_gravity(rows) - settings.hydrometer_offset
    corrected = shown * temperature_factors(warmth, made_for)
    return (
        rows.select("line", "batch_id", "taken_at", "taken_on")
        .with_columns(gravity=pl.Series(corrected))
        .filter(pl.col("gravity").is_finite())
        .sort("batch_id", "taken_at", maintain_order=True)
    )


def as_gravity(rows: pl.DataFrame) -> np.ndarray:
    """Return readings as specific gravity, those in Brix turned into it; NaN where none was read.

    Parameters
    ----------
    rows : polars.DataFrame
        With `gravity_sg` and `gravity_brix`.
    """
    gravity = rows["gravity_sg"].to_numpy().copy()
    is_brix = np.isnan(gravity)
    if is_brix.any():
        gravity[is_brix] = gravity_from_brix(rows["gravity_brix"].to_numpy()[is_brix])
    return gravity


def temperature_factors(warmth_c: pl.Series, calibrated_at_c: float) -> np.ndarray:
    """Return what each reading is multiplied by for its temperature.

    The correction is one factor per temperature, and a long logbook has few temperatures.

    Parameters
    ----------
    warmth_c : polars.Series
        Temperature of each sample [°C], none null; the factor is NaN below 0 and above 100.
    calibrated_at_c : float
        Temperature at which the hydrometer reads true [°C].
    """
    distinct = warmth_c.unique()
    ones = np.ones(len(distinct))
    factor = np.asarray(corrected_gravity(ones, distinct.to_numpy(), calibrated_at_c))
    return warmth_c.replace_strict(distinct, pl.Series(factor)).to_numpy()
