"""Quantities inside a sentence of advice, in the units that the logbook shows.

A reason to doubt is a sentence, and a sentence in somebody else's units is a sum to do. Tables and
answers are written by `pipeline.show`; numbers for programs stay SI.
"""

from __future__ import annotations

from pipeline.counts import counted
from pipeline.enology.units import KG_PER_OZ, L_PER_IMPERIAL_GALLON, L_PER_US_GALLON

_GALLON_L = {"us": (L_PER_US_GALLON, "US gal"), "imperial": (L_PER_IMPERIAL_GALLON, "imp gal")}
_SCALES_KG = 0.060  # lighter than this is weighed in grams by everybody


def mass(mass_kg: float, show: str) -> str:
    """Write a weight: ``2.9 kg``, ``850 g``, ``6 lb 6 oz``; a powder's in grams everywhere.

    Parameters
    ----------
    mass_kg : float
        [kg]
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    """
    if mass_kg < _SCALES_KG:
        return f"{_short(1000 * mass_kg)} g"
    if show == "metric":
        return f"{_short(mass_kg)} kg" if mass_kg >= 1 else f"{round(1000 * mass_kg)} g"
    pounds, ounces = divmod(round(mass_kg / KG_PER_OZ), 16)
    parts = [f"{pounds} lb"] * bool(pounds) + [f"{ounces} oz"] * bool(ounces or not pounds)
    return " ".join(parts)


def volume(volume_l: float, show: str) -> str:
    """Write a volume: ``4.5 L``, ``1 imp gal``.

    Parameters
    ----------
    volume_l : float
        [L]
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    """
    if show == "metric":
        return f"{_short(volume_l)} L"
    gallon_l, name = _GALLON_L[show]
    return f"{_short(volume_l / gallon_l)} {name}"


def temperature(temperature_c: float, show: str) -> str:
    """Write a temperature: ``20 °C``, ``68 °F`` where the logbook shows US units."""
    if show == "us":
        return f"{temperature_c * 9 / 5 + 32:.0f} °F"
    return f"{temperature_c:.0f} °C"


def days(count: float) -> str:
    """Write a number of days."""
    return counted(round(count), "day")


def _short(value: float) -> str:
    """Write a number to three figures at most, two decimals at most, without idle noughts."""
    decimals = 2 if value < 10 else 1 if value < 100 else 0
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
