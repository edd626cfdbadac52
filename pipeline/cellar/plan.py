"""Describing recipes that nobody has made yet, by the same SQL that describes batches."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import duckdb
import polars as pl

from pipeline.cellar.build import run_sql
from pipeline.cellar.notes import keep
from pipeline.cellar.sources import reference_sources
from pipeline.logbook.contract import FILES
from pipeline.logbook.typed_contract import empty_frame

PLANNED_TABLES = (
    *("staged_batches", "staged_additions", "staged_transfers", "staged_recipes"),
    *("must_lines", "must_days", "must_targets", "contributions", "must_sums", "must_amounts"),
    *("must_liquids", "fruit_lines", "must_fruits", "musts"),
)
_NOTHING_SET_ASIDE = pl.DataFrame(
    schema=dict.fromkeys(("contract_file", "must_id", "kind", "ingredient"), pl.String)
    | {"line": pl.Int64, "happened_on": pl.Date}
)


@dataclass(frozen=True)
class PlannedLines:
    """The lines of hypothetical recipes, noted for whoever asks how an answer came about."""

    lines: pl.DataFrame


@dataclass(frozen=True)
class PlannedMusts:
    """Recipes described as batches are: the rows of `musts` and of `must_fruits`."""

    musts: pl.DataFrame
    must_fruits: pl.DataFrame

    def take(self, rows: Sequence[int]) -> "PlannedMusts":
        """Return some of the recipes, in the order of these rows of `musts`."""
        musts = self.musts[list(rows)]
        is_of_them = pl.col("must_id").is_in(musts["must_id"].to_list())
        return PlannedMusts(musts, self.must_fruits.filter(is_of_them))


def plan_musts(lines: pl.DataFrame, bottle_l: float) -> PlannedMusts:
    """Describe hypothetical recipes.

    Parameters
    ----------
    lines : polars.DataFrame
        One row per line of a recipe, with the columns of `staged_recipes`; many recipes at once
        are told apart by `recipe`.
    bottle_l : float
        Size of a bottle [L].

    Returns
    -------
    PlannedMusts
    """
    keep(PlannedLines(lines))
    tables = plan_tables(lines, bottle_l, ("musts", "must_fruits"))
    return PlannedMusts(tables["musts"], tables["must_fruits"])


def plan_tables(
    lines: pl.DataFrame, bottle_l: float, names: Iterable[str] = PLANNED_TABLES
) -> dict[str, pl.DataFrame]:
    """Return the tables of the mart that hypothetical recipes have.

    Parameters
    ----------
    lines, bottle_l
        As in `plan_musts`.
    names : iterable of str
        Which of them.
    """
    typed = {f"logbook_{name}": empty_frame(name) for name in FILES}
    sources = {
        **typed,
        **reference_sources(),
        "logbook_recipes": lines,
        "logbook_set_aside": _NOTHING_SET_ASIDE,
        "logbook_settings": pl.DataFrame({"bottle_l": [bottle_l]}),
    }
    # Recipes are few rows: to share them out among threads takes longer than to work them out.
    with duckdb.connect(config={"threads": 1}) as connection:
        run_sql(connection, sources, PLANNED_TABLES)
        return {name: connection.sql(f"select * from {name}").pl() for name in names}
