"""The frames that the first layer of `sql/` reads: the checked logbook and the reference tables."""

from dataclasses import asdict

import polars as pl

from pipeline.cellar.bring import contributions
from pipeline.cellar.fruit_reference import fruit_reference
from pipeline.enology.acidity import GRAMS_PER_EQUIVALENT
from pipeline.logbook import CheckedLogbook, Settings


def sources_of(checked: CheckedLogbook) -> dict[str, pl.DataFrame]:
    """Return every frame that `sql/` starts from, by the name it is registered under.

    Parameters
    ----------
    checked : CheckedLogbook

    Returns
    -------
    dict of str to polars.DataFrame
        ``logbook_raw_<file>``: rows as written. ``logbook_<file>``: loaded rows, typed, SI.
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
        "logbook_set_aside": checked.set_aside,
        "logbook_problems": checked.problems,
        "logbook_files": checked.files,
        "logbook_settings": settings_frame(checked.settings),
        **reference_sources(),
    }


def settings_frame(settings: Settings) -> pl.DataFrame:
    """Return the settings as one row; `[counts]` is used while reading and left out here."""
    values = {key: value for key, value in asdict(settings).items() if key != "counts"}
    numbers = {key for key, value in values.items() if isinstance(value, int | float)}
    return pl.DataFrame(
        {key: [float(value) if key in numbers else value] for key, value in values.items()},
        schema={key: pl.Float64 if key in numbers else pl.String for key in values},
    )


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
