"""Volumes as cells of recipes.csv, where no cell of the maker's is there to be like."""

from pipeline.advice.amounts import decimals_as_typed, poured
from pipeline.logbook.numerals import Decimal
from pipeline.logbook.units import IMPERIAL_GALLON_L, US_GALLON_L

_GALLON_L = {"us": US_GALLON_L, "imperial": IMPERIAL_GALLON_L}


def target_cell(volume_l: float, show: str, decimal: Decimal) -> str:
    """Write a target volume as a cell: litres, or gallons and pints where those are shown.

    Parameters
    ----------
    volume_l : float
        [L]
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    decimal : {".", ","}
        How the logbook writes decimals.
    """
    if show == "metric":
        return decimals_as_typed(f"{volume_l:.2f}".rstrip("0").rstrip("."), decimal) + " L"
    like = "1 us gal" if show == "us" else "1 imp gal"
    near = poured(like, _GALLON_L[show], 0.9 * volume_l, 1.1 * volume_l, decimal)
    return min(near, key=lambda amount: abs(amount.si - volume_l)).text
