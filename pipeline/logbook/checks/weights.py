"""Amounts that loaded though their weight is not known."""

import polars as pl

from pipeline.logbook.loaded import Loaded

_PIECE = r"(?i)\b(?:packets?|pkts?|packs?|sachets?|tablets?|tabs?)\b"


_TABLES = ("additions", "recipes")


def _unknown(loaded: Loaded, name: str) -> pl.DataFrame:
    """Return rows that say an amount which could not be turned into kilograms or litres."""
    return (
        loaded[name]
        .filter(pl.col("amount_kg").is_null() & pl.col("amount_l").is_null())
        .with_columns(is_piece=pl.col("amount").str.contains(_PIECE))
    )


def packet_weight_unknown(loaded: Loaded) -> pl.DataFrame:
    """Find packets and tablets that logbook.toml does not give a weight."""
    return pl.concat(_pieces(loaded, name) for name in _TABLES)


def _pieces(loaded: Loaded, name: str) -> pl.DataFrame:
    unit = (
        pl.when(pl.col("amount").str.contains(r"(?i)\btab"))
        .then(pl.lit("tablet"))
        .otherwise(pl.lit("packet"))
    )
    return loaded.warn(
        _unknown(loaded, name).filter("is_piece"),
        name,
        "amount",
        "packet-weight-unknown",
        pl.format("nothing says what one {} of this weighs, so the amount is unknown", unit),
        pl.format(
            'the weight under [counts] in logbook.toml, such as "{} {}" = "{}"',
            *(
                "kind",
                unit,
                pl.when(unit == "tablet").then(pl.lit("0.44 g")).otherwise(pl.lit("5 g")),
            ),
        ),
    )


def weight_unknown(loaded: Loaded) -> pl.DataFrame:
    """Find things measured by volume whose weight nobody can tell: plums by the quart."""
    return pl.concat(_unweighed(loaded, name) for name in _TABLES)


def _unweighed(loaded: Loaded, name: str) -> pl.DataFrame:
    is_fruit = pl.col("kind") == "fruit"
    return loaded.warn(
        _unknown(loaded, name).filter(~pl.col("is_piece")),
        name,
        "amount",
        "weight-unknown",
        pl.when(is_fruit)
        .then(
            pl.lit("how much a measure of this fruit weighs depends on how it lies; it is unknown")
        )
        .otherwise(
            pl.lit("what a spoon or cup of this weighs is not known, so the amount is unknown")
        ),
        "the weight, such as 2 lb or 900 g",
    )


def powder_or_solution(loaded: Loaded) -> pl.DataFrame:
    """Find powders given in millilitres: a stock solution may hold a tenth of the powder."""
    return pl.concat(_by_volume(loaded, name) for name in _TABLES)


def _by_volume(loaded: Loaded, name: str) -> pl.DataFrame:
    wet = loaded[name].filter(
        pl.col("amount_l").is_not_null()
        & pl.col("amount_kg").is_null()
        & ~pl.col("kind").is_in(["water", "juice", "other"])
    )
    return loaded.warn(
        wet,
        name,
        "amount",
        "powder-or-solution",
        "a volume of this may be powder, liquid or a solution, so how much of it there is is "
        "unknown",
        "the weight of what is dissolved, such as 2 g",
    )
