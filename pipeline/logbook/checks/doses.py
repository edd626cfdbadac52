"""Doses over the usual ceilings, and doses whose weight is uncertain or unknown.

The ceilings bind commercial makers and stand in `pipeline.enology.limits` with their sources.
"""

import polars as pl

from pipeline.enology.limits import limit
from pipeline.logbook.loaded import Loaded
from pipeline.logbook.quantity_cells import SPOON_ERROR
from pipeline.reference import additives

SINGLE_SO2_MG_L = 100  # [mg/L] one dose beyond this is a slip of the spoon; common practice
_MG_PER_KG = 1e6


def _doses(loaded: Loaded, kind: str) -> pl.DataFrame:
    """Return the additions of a kind with `dose_g_l` [g/L] and the share that acts, `active`."""
    shares = additives().select(
        ingredient_key="additive", active=pl.col("active_fraction").cast(pl.Float64)
    )
    return (
        loaded.doses.filter(kind=kind)
        .join(shares, on="ingredient_key", how="left")
        .with_columns(dose_g_l=1e3 * pl.col("amount_kg") / pl.col("vessel_l"))
        .sort("added_at", "line")
    )


def sulphite_in_one_dose(loaded: Loaded) -> pl.DataFrame:
    """Find single sulphite doses that are likely slips: a dose for five gallons put into one."""
    dose = _doses(loaded, "sulphite").with_columns(so2=1e3 * pl.col("dose_g_l") * pl.col("active"))
    return loaded.warn(
        dose.filter(pl.col("so2") > SINGLE_SO2_MG_L),
        "additions",
        "amount",
        "sulphite-dose",
        pl.format(
            "STOP: this one dose is about {} mg/L sulphur dioxide in {} L; more than {} mg/L at "
            "once "
            "is almost always a slip of the spoon or of the volume",
            pl.col("so2").round(0).cast(pl.Int64),
            pl.col("vessel_l").round(2),
            pl.lit(SINGLE_SO2_MG_L),
        ),
        "weigh it, or use a 10 % solution; do not drink it before it has been measured: sulphite "
        "can "
        "set off asthma",
    )


def sulphite_in_total(loaded: Loaded) -> pl.DataFrame:
    """Find batches whose sulphite doses add up to more than the usual legal total."""
    ceiling = limit("total so2 us")
    dose = _running_total(loaded, "sulphite")
    return loaded.warn(
        _first_over(dose, ceiling.value),
        "additions",
        "amount",
        "sulphite-total",
        pl.format(
            "with this dose about {} mg/L sulphur dioxide have gone in; the usual ceiling is {}",
            pl.col("total").round(0).cast(pl.Int64),
            pl.lit(ceiling.sentence()),
        ),
        "measure the total before adding more; sulphite can set off asthma",
    )


def _running_total(loaded: Loaded, kind: str) -> pl.DataFrame:
    """Return the doses of a kind with the mg/L of what works in it, so far, as `total`."""
    return _doses(loaded, kind).with_columns(
        total=(1e3 * pl.col("dose_g_l") * pl.col("active")).cum_sum().over("batch_id")
    )


def _first_over(dose: pl.DataFrame, ceiling: float) -> pl.DataFrame:
    """Keep the dose of each batch that first takes the running `total` over the ceiling."""
    return dose.filter(pl.col("total") > ceiling).unique(
        "batch_id", keep="first", maintain_order=True
    )


def sorbate_in_total(loaded: Loaded) -> pl.DataFrame:
    """Find batches with more sorbate than the usual ceiling: more does not help."""
    ceiling = limit("sorbic acid oiv")
    dose = _running_total(loaded, "sorbate")
    return loaded.warn(
        _first_over(dose, ceiling.value),
        "additions",
        "amount",
        "sorbate-total",
        pl.format(
            "about {} mg/L sorbic acid; the usual ceiling is {}",
            pl.col("total").round(0).cast(pl.Int64),
            pl.lit(ceiling.sentence()),
        ),
        "sorbate needs sulphite beside it, and does not stop a working ferment",
    )


def nutrient_in_total(loaded: Loaded) -> pl.DataFrame:
    """Find nutrients beyond their usual ceiling: what the yeast leaves feeds spoilage."""
    ceilings = additives().select(
        ingredient_key="additive",
        ceiling=pl.col("legal_limit_g_per_L").cast(pl.Float64),
        basis="legal_limit_basis",
    )
    dose = (
        _doses(loaded, "nutrient")
        .join(ceilings, on="ingredient_key", how="inner")
        .with_columns(total=pl.col("dose_g_l").cum_sum().over("batch_id", "ingredient_key"))
        .filter(pl.col("total") > pl.col("ceiling"))
        .unique(["batch_id", "ingredient_key"], keep="first", maintain_order=True)
    )
    return loaded.warn(
        dose,
        "additions",
        "amount",
        "nutrient-total",
        pl.format(
            "about {} g/L of this nutrient; the usual ceiling is {} g/L ({}); check your local "
            "rules",
            pl.col("total").round(2),
            "ceiling",
            "basis",
        ),
        "check the amount; the yeast cannot use more, and what it leaves feeds spoilage",
    )


def spoon_weight(loaded: Loaded) -> pl.DataFrame:
    """Find powders measured by the spoon: grinds differ by a fifth and more."""
    return pl.concat(_spooned(loaded, name) for name in ("additions", "recipes"))


def _spooned(loaded: Loaded, name: str) -> pl.DataFrame:
    is_spooned = pl.col("amount_kg").is_not_null() & (pl.col("amount_error") >= SPOON_ERROR)
    return loaded.warn(
        loaded[name].filter(is_spooned).with_columns(grams=(1e3 * pl.col("amount_kg")).round(2)),
        name,
        "amount",
        "spoon-weight",
        pl.format("about {} g by the spoon, ±20 %: grinds and spoons differ", "grams"),
        "a scale is surer, such as the amount in g",
    )
