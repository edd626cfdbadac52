"""What a recipe leaves open, and what is taken instead: each default by name."""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl

from pipeline.advice.own_units import days, temperature, volume
from pipeline.counts import times
from pipeline.learning import Models
from pipeline.learning.estimate import Doubt
from pipeline.learning.forecast import Forecast
from pipeline.learning.musts import typical_values
from pipeline.learning.volume import USUAL_RACKINGS

# Between these values of a way of working lies no way that somebody works.
_HEAT = {0.0: "cold", 0.5: "hot water over the fruit", 1.0: "steaming or simmering it"}
_PRESSING = {0.0: "drained", 0.5: "squeezed by hand", 1.0: "pressed"}
_PAID_FOR = ("fruit", "juice", "sugar", "honey", "yeast")
# Sum of `musts` that cannot be known: what that is to a maker.
_UNKNOWN = {
    "fruit_kg": "how much fruit",
    "sugar_g": "how much sugar",
    "acid_g": "how much acid",
    "nitrogen_g": "how much nitrogen for the yeast",
    "tannin_g": "how much tannin",
    "so2_g": "how much sulphur dioxide",
    "sorbic_g": "how much sorbate",
    "poured_l": "how much water",
    "juice_l": "how much juice",
}


def taken_doubts(
    models: Models, expected: Forecast, row: int, must: dict[str, Any], show: str
) -> list[Doubt]:
    """Return what a planned recipe does not say, with what is taken instead.

    Parameters
    ----------
    models : Models
    expected : Forecast
        Of the recipe, among others.
    row : int
        Its place there.
    must : dict
        Its row of `musts`.
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    """
    usual = typical_values(models.musts)
    target = float(expected.musts["target_l"][row])
    told = {
        "target_volume_l": f"the volume aimed at: {volume(target, show)}, "
        f"{'the mark' if must['to_mark_l'] else 'what should strain off'}, is taken",
        "yeast": "the yeast: an average one of yours is taken",
        "contact_days": "how long the fruit stays in: your usual "
        f"{_or_time(usual.get('contact_days'))} is taken",
        "skins_share": "skins on or off: your usual mix is taken",
        "crushed_share": "whether the fruit is whole, sliced or crushed: your usual mix is taken",
        "ferment_temperature_c": "the fermenting temperature: "
        f"{_or_warmth(float(expected.musts['must_temperature_c'][row]), show)} is taken",
        "rackings": f"how often it is racked: {times(USUAL_RACKINGS)} is taken",
        "taste_day": f"the age at tasting: {days(models.taste.taste_day)}, your usual, is taken",
    }
    is_fruity = bool(must["fruits"])
    of_fruit = ("contact_days", "skins_share", "crushed_share")
    return [
        Doubt("default_value", f"the recipe does not say {text}")
        for column, text in told.items()
        if must[column] is None and (is_fruity or column not in of_fruit)
    ] + [*(_ways(expected, row) if is_fruity else []), *_sweetened(must)]


def _sweetened(must: dict[str, Any]) -> list[Doubt]:
    """Say which numbers are of the wine as it ferments out, where it is to be sweetened."""
    if not must["sweeten_to_g_l"]:
        return []
    text = (
        "sugar left, finished gravity, strength and volume are those before it is sweetened to "
        f"{must['sweeten_to_g_l']:g} g/L; score and harshness are of the sweetened wine"
    )
    return [Doubt("default_value", text)]


def _or_time(count: float | None) -> str:
    return "time" if count is None else days(count)


def _or_warmth(degrees: float, show: str) -> str:
    if not np.isfinite(degrees):
        return "an ordinary one"
    return f"{temperature(degrees, show)}, the mean of your batches,"


def _ways(expected: Forecast, row: int) -> list[Doubt]:
    """Say how the fruit is taken to be heated and pressed, which recipes.csv has no column for."""
    parts = [
        _way(float(expected.musts[name][row]), float(expected.musts[f"{name}_doubt"][row]), ways)
        for name, ways in (("heat", _HEAT), ("pressing", _PRESSING))
    ]
    heat, pressing = parts
    text = (
        f"no column of recipes.csv says cold or hot extraction ({heat}) or how the fruit is "
        f"pressed ({pressing})"
    )
    return [Doubt("default_value", text)]


def _way(value: float, doubt: float, ways: dict[float, str]) -> str:
    if not np.isfinite(value):
        return "your batches do not say either: an average way is taken"
    if value in ways and doubt == 0:
        return f"{ways[value]}, your usual, is taken"
    nearest = min(ways, key=lambda way: abs(way - value))
    return f"you do it more than one way: mostly {ways[nearest]} is taken, and the range is wider"


def missing_doubts(must: dict[str, Any], lines: pl.DataFrame) -> list[Doubt]:
    """Return what cannot be known of a planned recipe, and which of its lines is to blame.

    Parameters
    ----------
    must : dict
        Its row of `musts`.
    lines : polars.DataFrame
        Its lines, with the columns of `staged_recipes`.
    """
    things = [_UNKNOWN[name] for name in must["unknown"] if name in _UNKNOWN]
    if not things:
        return []
    unweighed = lines.filter(
        pl.col("amount_kg").is_null(), pl.col("amount_l").is_null(), pl.col("kind") != "yeast"
    )
    named = [
        f"'{row['ingredient']}' ({row['amount']}, recipes.csv line {row['line']})"
        for row in unweighed.iter_rows(named=True)
    ]
    blame = (
        f"nothing says what {' and '.join(named)} weighs; weigh it once and write that"
        if named
        else "a line of it could not be read; `hedgerow check` says which"
    )
    return [Doubt("missing_input", f"{' and '.join(things)} goes in is not known: {blame}")]


def unpriced_doubts(must: dict[str, Any], lines: pl.DataFrame) -> list[Doubt]:
    """Return what counts as costing nothing because no cost is written, where other lines have one.

    Parameters
    ----------
    must : dict
        The recipe's row of `musts`.
    lines : polars.DataFrame
        Its lines, with the columns of `staged_recipes`.
    """
    if must["cost"] is None:
        return []
    free = lines.filter(pl.col("kind").is_in(list(_PAID_FOR)), pl.col("cost").is_null())
    names = list(dict.fromkeys(free["ingredient"]))
    if not names:
        return []
    text = f"no cost is written for {' and '.join(names)}: counted as costing nothing"
    return [Doubt("default_value", text)]
