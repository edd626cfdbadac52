"""The frames that the first layer of `sql/` reads: the checked logbook and the reference tables."""

from dataclasses import asdict
from datetime import date

import polars as pl

from pipeline.cellar.bring import contributions
from pipeline.cellar.fruit_reference import fruit_reference
from pipeline.enology.acidity import GRAMS_PER_EQUIVALENT
from pipeline.logbook import CheckedLogbook, Settings
from pipeline.logbook.contract import KINDS
from pipeline.logbook.dates import read_date
from pipeline.logbook.gravities import as_gravity, temperature_factors
from pipeline.logbook.problems import Fault

_T = pl.String()
_LINE = {"line": pl.Int64()}


def sources_of(checked: CheckedLogbook) -> dict[str, pl.DataFrame]:
    """Return every frame that `sql/` starts from, by the name it is registered under.

    Parameters
    ----------
    checked : CheckedLogbook

    Returns
    -------
    dict of str to polars.DataFrame
        ``logbook_raw_<file>``: rows as written. ``logbook_<file>``: loaded rows, typed, SI;
        of readings see `readings_frame`.
        ``logbook_set_aside``, ``logbook_problems``, ``logbook_files``, ``logbook_settings``.
        ``reference_fruits``, ``reference_contributions``, ``reference_acids``.
    """
    # A file that is not there has no rows as written either.
    absent = pl.DataFrame(schema={"line": pl.Int64})
    raw = {f"logbook_raw_{name}": checked.raw.get(name, absent) for name in checked.typed}
    typed = {f"logbook_{name}": frame for name, frame in checked.typed.items()}
    return {
        **raw,
        **typed,
        "logbook_readings": readings_frame(checked.typed["readings"], checked.settings),
        "logbook_set_aside": set_aside_frame(checked),
        "logbook_problems": checked.problems,
        "logbook_files": _files(checked),
        "logbook_settings": settings_frame(checked.settings),
        **reference_sources(),
    }


def readings_frame(readings: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """Return the readings with their specific gravity, as shown and as a hydrometer's corrected.

    Here and not in `sql/` because there may be millions: SQL hands a function two thousand rows at
    a time, and that costs more than the formula.

    Returns
    -------
    polars.DataFrame
        ``shown_sg`` and ``corrected_sg`` added [specific gravity]: null where none was read, the
        second also where the sample was frozen or boiling.
    """
    made_for = settings.hydrometer_calibrated_at_c
    shown = as_gravity(readings)
    factors = temperature_factors(readings["temperature_c"].fill_null(made_for), made_for)
    corrected = (shown - settings.hydrometer_offset) * factors
    return readings.with_columns(
        pl.Series("shown_sg", shown, nan_to_null=True),
        pl.Series("corrected_sg", corrected, nan_to_null=True),
    )


def settings_frame(settings: Settings) -> pl.DataFrame:
    """Return the settings as one row; `[counts]` is used while reading and left out here."""
    values = {key: value for key, value in asdict(settings).items() if key != "counts"}
    numbers = {key for key, value in values.items() if isinstance(value, int | float)}
    return pl.DataFrame(
        {key: [float(value) if key in numbers else value] for key, value in values.items()},
        schema={key: pl.Float64 if key in numbers else pl.String for key in values},
    )


def set_aside_frame(checked: CheckedLogbook) -> pl.DataFrame:
    """Return what is beyond doubt of each row set aside, so that its sum counts as unknown.

    Returns
    -------
    polars.DataFrame
        ``contract_file`` (the contract's name of the file, without ending), ``line``, ``must_id``
        (batch or recipe), ``kind`` (null where it is none of the contract's kinds: it may have been
        anything), ``ingredient``, ``happened_on`` (null where the date cannot be read).
    """
    lost = checked.set_aside.rename({"table": "contract_file", "batch_id": "must_id"})
    for name, column in (("recipes", "recipe"), ("additions", "added_on")):
        raw = checked.raw.get(name, pl.DataFrame(schema=_LINE))
        found = column in raw.columns
        texts = raw.select("line", column) if found else pl.DataFrame(schema=_LINE | {column: _T})
        lost = lost.join(
            texts.with_columns(contract_file=pl.lit(name)), ["contract_file", "line"], how="left"
        )
    settings = checked.settings  # alone: what a function handed to polars holds stays in memory
    kind = pl.col("kind").str.to_lowercase()
    return lost.select(
        "contract_file",
        "line",
        pl.coalesce("must_id", pl.col("recipe").str.strip_chars()),
        pl.when(kind.is_in(KINDS)).then(kind).alias("kind"),
        "ingredient",
        happened_on=pl.col("added_on").map_elements(
            lambda text: _day(text, settings), return_dtype=pl.Date
        ),
    )


def _day(text: str, settings: Settings) -> date | None:
    read = read_date(text, settings.dates)
    return None if isinstance(read, Fault) else read[0]


def _files(checked: CheckedLogbook) -> pl.DataFrame:
    names = checked.sources.select("file", contract_file="table")
    return checked.files.join(names, on="file", how="left")


def reference_sources() -> dict[str, pl.DataFrame]:
    """Return the reference tables that `sql/` joins."""
    return {
        "reference_fruits": fruit_reference(),
        "reference_contributions": contributions(),
        "reference_acids": _acids(),
    }


def _acids() -> pl.DataFrame:
    """One row per acid a titration may be stated in: grams of tartaric worth a gram of it."""
    tartaric = GRAMS_PER_EQUIVALENT["tartaric"]
    return pl.DataFrame(
        [(acid, tartaric / grams) for acid, grams in GRAMS_PER_EQUIVALENT.items()],
        schema={"acid": pl.String, "factor": pl.Float64},
        orient="row",
    )
