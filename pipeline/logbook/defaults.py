"""What a row means where it is silent: the contract's defaults, filled in after checking."""

import polars as pl

from pipeline.logbook.contract import RECIPE_WIDE
from pipeline.logbook.settings import Settings
from pipeline.logbook.typed_contract import in_contract_form

_RECIPE_WIDE_TYPED = {
    "target_volume": "target_volume_l",
    "ferment_temperature": "ferment_temperature_c",
    "sweeten_to": "sweeten_to_g_l",
}


def with_defaults(name: str, frame: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """Return the loaded rows of a file with the contract's defaults, in the contract's form.

    Parameters
    ----------
    name : str
        The contract's name of the file.
    frame : polars.DataFrame
        Its typed rows.
    settings : Settings
        For the logbook's gallon.
    """
    match name:
        case "batches":
            frame = frame.with_columns(_gallon(pl.col("gallon"), settings))
        case "readings":
            frame = frame.with_columns(
                pl.col("instrument").fill_null("hydrometer"),
                ta_as=pl.when(pl.col("ta_g_l").is_not_null()).then(
                    pl.col("ta_as").fill_null("tartaric")
                ),
            )
        case "recipes":
            frame = _recipe_wide(frame).with_columns(_gallon(pl.col("gallon"), settings))
    return in_contract_form(name, frame)


def _gallon(column: pl.Expr, settings: Settings) -> pl.Expr:
    return column.fill_null(pl.lit(settings.gallon, dtype=pl.String))


def _recipe_wide(frame: pl.DataFrame) -> pl.DataFrame:
    """Repeat what one line says for the whole recipe on all its lines; the first line counts."""
    names = [_RECIPE_WIDE_TYPED.get(name, name) for name in RECIPE_WIDE]
    return frame.with_columns(pl.col(name).drop_nulls().first().over("recipe") for name in names)
