"""A logbook after checking: what loaded, what was set aside, and why."""

from dataclasses import dataclass
from pathlib import Path

import polars as pl

from pipeline.logbook.settings import Settings


@dataclass(frozen=True)
class CheckedLogbook:
    """All frames of a logbook.

    Attributes
    ----------
    folder : pathlib.Path
        Where it was read from.
    settings : Settings
        From logbook.toml, with defaults.
    raw : dict of str to polars.DataFrame
        Per file that is there: one row per record as written, `line`, every column as text, and
        `is_set_aside`. A row whose cells could not be told apart has none; its text is the value of
        its problem.
    typed : dict of str to polars.DataFrame
        Per file of the contract: one row per loaded row, in the form of the typed contract; empty
        where the file is absent.
    set_aside : polars.DataFrame
        One row per row set aside: `file`, `line`, `batch_id`, `kind`, `ingredient`, `amount` as
        written, and `table` (the contract's name of the file).
    problems : polars.DataFrame
        One row per problem, sorted by file and line.
    files : polars.DataFrame
        One row per file: `file`, `rows_read`, `rows_loaded`, `rows_set_aside`.
    sources : polars.DataFrame
        One row per file: `file`, `table`, `encoding`, `delimiter`, `lines` (physical),
        `blank_lines`, `records`.
    """

    folder: Path
    settings: Settings
    raw: dict[str, pl.DataFrame]
    typed: dict[str, pl.DataFrame]
    set_aside: pl.DataFrame
    problems: pl.DataFrame
    files: pl.DataFrame
    sources: pl.DataFrame
