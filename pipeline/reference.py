"""The reference tables as frames: what fruits and powders are called and what they bring.

Every number in the tables has its source in the column beside it, and all of them stand with it in
`data/reference/PROVENANCE.md`. The frames are read once and cached; treat them as read-only.
"""

from functools import cache

import polars as pl

from pipeline.enology.acidity import GRAMS_PER_EQUIVALENT
from pipeline.files import project_file

_DRIED = pl.col("dried_water_g_per_100g")


def _read(name: str) -> pl.DataFrame:
    return pl.read_csv(project_file("data", "reference", name), infer_schema_length=None)


@cache
def fruits() -> pl.DataFrame:
    """Return one row per fruit, flower, leaf or root that has a name here.

    Returns
    -------
    polars.DataFrame
        ``fruit`` (the name used everywhere else), ``composition_of`` (key in fruit.csv; null if the
        composition is not known), ``group``, ``tannin_class`` (0 none … 3 very tannic; common
        practice), ``is_starchy``, ``is_stone_fruit``, ``is_flavouring_only``, ``refuse_fraction``
        [kg/kg of the fruit as bought], ``water_g_kg``, ``sugar_g_kg``, ``starch_g_kg``,
        ``acid_g_kg`` (as ``main_acid``), ``acid_tartaric_g_kg`` [all g per kg of the edible part],
        ``juice_brix`` [°Bx], ``juice_yield_fraction`` [kg/kg], ``ph_low``, ``ph_high``,
        ``cautions``, ``notes``.

    Notes
    -----
    Null means not known, with three exceptions: a flavouring (flower, leaf, zest) brings no sugar,
    acid or starch; a fruit that is not starchy brings no starch; refuse that was never recorded
    counts as none. Multiply by ``1 - refuse_fraction`` for fruit weighed with peel and stones.
    Dried forms are the fresh composition concentrated to the dried water content.
    Juice Brix counts acids, pectin and sorbitol too: not all of it ferments.
    """
    table = _read("fruit_traits.csv").join(
        _read("fruit.csv").rename({"fruit": "composition_of"}),
        on="composition_of",
        how="left",
        suffix="_fresh",
    )
    dried = (100 - _DRIED) / (100 - pl.col("water_g_per_100g"))
    per_kg = 10 * pl.when(_DRIED.is_null()).then(1.0).otherwise(dried)
    equivalent = pl.col("main_acid").replace_strict(
        {**GRAMS_PER_EQUIVALENT, "isocitric": GRAMS_PER_EQUIVALENT["citric"]},
        default=None,
        return_dtype=pl.Float64,
    )
    acid = pl.col("titratable_acid_g_per_100g") * per_kg
    return table.select(
        "fruit",
        "composition_of",
        "group",
        "tannin_class",
        "is_starchy",
        "is_stone_fruit",
        "is_flavouring_only",
        refuse_fraction=pl.when(_DRIED.is_null()).then("refuse_fraction").fill_null(0.0),
        water_g_kg=10 * pl.coalesce(_DRIED, "water_g_per_100g"),
        sugar_g_kg=_or_none(pl.col("sugars_g_per_100g") * per_kg),
        starch_g_kg=_starch(pl.col("starch_g_per_100g") * per_kg),
        acid_g_kg=_or_none(acid),
        acid_tartaric_g_kg=_or_none(acid * GRAMS_PER_EQUIVALENT["tartaric"] / equivalent),
        main_acid="main_acid",
        juice_brix=_juice_brix(),
        juice_yield_fraction=pl.when(_DRIED.is_null()).then("juice_yield_fraction"),
        ph_low="pH_low",
        ph_high="pH_high",
        cautions=pl.concat_str("cautions", "cautions_fresh", separator=" ", ignore_nulls=True),
        notes=pl.concat_str("notes", "notes_fresh", separator="; ", ignore_nulls=True),
    )


def _or_none(amount: pl.Expr) -> pl.Expr:
    """Count a flavouring's sugar and acid as none rather than unknown."""
    return pl.when("is_flavouring_only").then(0.0).otherwise(amount)


def _starch(amount: pl.Expr) -> pl.Expr:
    is_starch_free = pl.col("is_flavouring_only") | (
        ~pl.col("is_starchy") & pl.col("composition_of").is_not_null()
    )
    return pl.when(is_starch_free & amount.is_null()).then(0.0).otherwise(amount)


def _juice_brix() -> pl.Expr:
    """Average juice if there is one, else the legal minimum; for lemon and lime that is an acid."""
    is_brix = ~pl.col("composition_of").is_in(["lemon", "lime"])
    return pl.when(_DRIED.is_null()).then(
        pl.coalesce(
            "avg_brix_19cfr151_91",
            pl.when(is_brix).then("min_brix_21cfr101_30"),
        )
    )


@cache
def fruit_names() -> pl.DataFrame:
    """Return one row per spelling of a fruit: ``name`` and the columns of `fruits`."""
    return _read("fruit_names.csv").join(fruits(), on="fruit", how="left")


@cache
def additives() -> pl.DataFrame:
    """Return one row per powder, as in additives.csv: spoon weights, doses, limits, sources."""
    return _read("additives.csv")


@cache
def powder_names() -> pl.DataFrame:
    """Return one row per spelling of a powder: ``name``, ``additive``, ``kind``, ``may_be``.

    ``may_be`` is given where the spelling may mean two powders: what to write for the one it is
    reckoned as, "or", what to write for the other.
    """
    return _read("powder_names.csv")


@cache
def _fruit_spellings() -> dict[str, str]:
    return dict(_read("fruit_names.csv").iter_rows())


@cache
def _powder_spellings() -> dict[str, str]:
    return dict(powder_names().select("name", "additive").iter_rows())


def plain_name(name: str) -> str:
    """Return a name in lower case with single spaces, hyphens and underscores read as spaces."""
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


def fruit_of(name: str) -> str | None:
    """Return the fruit a spelling stands for, or None.

    Examples
    --------
    >>> fruit_of("Damsons"), fruit_of("rose-hips"), fruit_of("moonberry")
    ('damson', 'rose hip', None)
    """
    return _fruit_spellings().get(plain_name(name))


def additive_of(name: str) -> str | None:
    """Return the additive (key in additives.csv) a spelling stands for, or None.

    Examples
    --------
    >>> additive_of("DAP"), additive_of("white  sugar")
    ('diammonium phosphate (DAP)', 'sugar, granulated')
    """
    return _powder_spellings().get(plain_name(name))
