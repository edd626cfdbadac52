"""Powders whose name leaves open what they are: never settled without a word."""

from functools import cache

import polars as pl

from pipeline.logbook.problems import Fault, Problem, problem_frame
from pipeline.reference import additive_of, additives, plain_name, powder_names

# What two powders of one name differ in: a column of the powder table, its scale and its unit.
_DIFFERENCES = {
    "sulphite": ("active_fraction", 100, "% sulphur dioxide"),
    "nutrient": ("nitrogen_mg_per_g", 1, "mg nitrogen a gram"),
    "enzyme": ("T_denature_C", 1, "°C before it fails"),
}
# Kinds that count by what is in them, so that an unknown name leaves the sum unknown.
_COUNTED = {
    "sulphite": "sulphur dioxide",
    "sorbate": "sorbic acid",
    "acid": "acid",
    "base": "acid it takes out",
    "nutrient": "nitrogen",
}


def powder_in_doubt(file: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Find names that may mean two powders, or none that is known: once each, where first met.

    Parameters
    ----------
    file : str
        The file as the maker knows it.
    rows : polars.DataFrame
        With `line`, `kind` and `ingredient`.
    """
    names = (
        rows.select("line", "kind", "ingredient")
        .drop_nulls()
        .group_by("kind", "ingredient")
        .agg(pl.col("line").min(), times=pl.len())
        .sort("line")
    )
    problems = [
        Problem(
            level="notice",
            file=file,
            line=line,
            column="ingredient",
            value=name,
            rule=doubt.rule,
            message=doubt.message + (f" (so in {times} rows)" if times > 1 else ""),
            hint=doubt.hint,
        )
        for kind, name, line, times in names.iter_rows()
        if (doubt := _doubt(kind, name)) is not None
    ]
    return problem_frame(problems)


@cache
def _doubt(kind: str, ingredient: str) -> Fault | None:
    names = powder_names().filter(kind=kind)
    named = names.filter(name=plain_name(ingredient))
    if not named.is_empty() and named["may_be"].item() is not None:
        return _two_powders(kind, *named["may_be"].item().split(" or "))
    if kind in _COUNTED and additive_of(ingredient) not in names["additive"]:
        return Fault(
            "powder-unknown",
            f"no table here knows this {kind}, so the {_COUNTED[kind]} it brings is unknown",
            "the chemical name, as the packet has it",
        )
    return None


def _two_powders(kind: str, taken: str, other: str) -> Fault:
    column, scale, unit = _DIFFERENCES[kind]
    one, two = (
        additives().filter(additive=additive_of(name))[column].cast(pl.Float64).item() * scale
        for name in (taken, other)
    )
    return Fault(
        "powder-unsure",
        f"the name may mean two powders, of {one:.3g} or {two:.3g} {unit}; it is reckoned as "
        f"{taken}",
        f"{taken} if it was that, else {other}",
    )
