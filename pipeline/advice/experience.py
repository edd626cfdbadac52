"""What a logbook has seen: the ranges within which its advice may stay."""

from dataclasses import dataclass

import polars as pl

RANGED = ("fruit_load_kg_l", "contact_days", "must_temperature_mean_c", "alcohol", "cost")
EDGES = (0.02, 0.98)  # the outermost batches are often slips
FEWEST_OF_A_KIND = 3


@dataclass(frozen=True)
class Experience:
    """Ranges and kinds that enough batches of a logbook show.

    Parameters
    ----------
    ranges : dict of str to (float, float)
        Column of `batches` to the range that nearly all batches lie in.
    yeasts : tuple of str
        Strains with at least three batches.
    both_skins : bool
        Whether fruit was used both with skins on and off.
    forms : frozenset
        (form, frozen) of at least three batches.
    """

    ranges: dict[str, tuple[float, float]]
    yeasts: tuple[str, ...]
    both_skins: bool
    forms: frozenset[tuple[str, bool]]

    def has(self, column: str, value: float) -> bool:
        """Tell whether a value lies within what the logbook has seen."""
        if column not in self.ranges:
            return False
        low, high = self.ranges[column]
        return low <= value <= high

    def knows_form(self, form: str, *, is_frozen: bool) -> bool:
        """Tell whether fruit was used in that form often enough."""
        return (form, is_frozen) in self.forms


def experience_of(batches: pl.DataFrame, additions: pl.DataFrame) -> Experience:
    """Return the experience of a logbook.

    Parameters
    ----------
    batches : polars.DataFrame
        The table `batches`.
    additions : polars.DataFrame
        The table `must_lines`.
    """
    fruit = additions.filter(pl.col("kind") == "fruit", ~pl.col("is_planned"))
    return Experience(
        ranges={name: edges for name in RANGED if (edges := _range(batches[name])) is not None},
        yeasts=tuple(_often(batches["yeast"].drop_nulls().to_frame(), "yeast")["yeast"].sort()),
        both_skins=len(_often(fruit.drop_nulls("skins"), "skins")) == 2,
        forms=frozenset(
            _often(fruit.drop_nulls("form"), "form", "is_frozen")
            .select("form", "is_frozen")
            .iter_rows()
        ),
    )


def _range(values: pl.Series) -> tuple[float, float] | None:
    known = values.drop_nulls()
    if known.len() < FEWEST_OF_A_KIND:
        return None
    low, high = (known.quantile(edge, "linear") for edge in EDGES)
    return (float(low), float(high)) if low is not None and high is not None else None


def _often(frame: pl.DataFrame, *columns: str) -> pl.DataFrame:
    counted = frame.group_by(columns).len()
    return counted.filter(pl.col("len") >= FEWEST_OF_A_KIND)
