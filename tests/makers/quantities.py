"""Amounts as people write them: pounds and ounces, half pints, spoons, degrees."""

from __future__ import annotations

from makers.plans import GALLON_L, POUND_KG

_QUARTERS = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}
_SIGNS = {1: "¼", 2: "½", 3: "¾"}


def number(value: float, decimals: int) -> str:
    """Return a number without idle zeros."""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quarters(value: float, sign: bool = False) -> str:
    """Return a number in quarters, as ``2``, ``1/2`` or ``4 1/2`` (or ``4½``)."""
    whole, part = divmod(round(value * 4), 4)
    fraction = _SIGNS.get(part, "") if sign else _QUARTERS[part]
    if not whole:
        return fraction or "0"
    return f"{whole}{'' if sign or not fraction else ' '}{fraction}"


def weight(kg: float, style: int, variant: int = 0) -> str:
    """Return a weight in the style of the plan (``STYLES``), in one of several spellings."""
    if style <= 1 and (kg < 0.35 or style == 0):
        ounces = round(kg / (POUND_KG / 16) * 4) / 4
        pounds, rest = divmod(ounces, 16)
        if not rest:
            return f"{pounds:.0f} lb"
        small = f"{quarters(rest)} oz"
        return f"{pounds:.0f} lb {small}" if pounds else small
    if style == 1:
        pounds = kg / POUND_KG
        return (
            f"{(quarters(pounds), number(pounds, 2), quarters(pounds, sign=True))[variant % 3]} lb"
        )
    if style == 2 and kg >= 0.35:
        return f"{number(kg, 3)} kg"
    return f"{number(1000 * kg, 1)} g"


def litres(volume_l: float, decimals: int = 2) -> str:
    """Return a volume in litres."""
    return f"{number(volume_l, decimals)} L"


def pints(volume_l: float, is_imperial: bool, variant: int = 0) -> str:
    """Return a volume to the nearest quarter pint, or in gallons where it is large."""
    gallon = GALLON_L[is_imperial]
    if volume_l > 2.5 * gallon:
        return f"{number(volume_l / gallon, 2)} gal"
    if variant % 3 == 2:
        return f"{number(volume_l / gallon * 4, 1)} qt"
    return f"{quarters(volume_l / gallon * 8)} pt"


def target(volume_l: float, is_imperial: bool) -> str:
    """Return a target such as ``1 gal`` or ``4.5 L``."""
    gallons = volume_l / GALLON_L[is_imperial]
    if abs(gallons - round(gallons)) < 1e-6:
        return f"{gallons:.0f} gal"
    return litres(volume_l)


def powder(grams: float, is_spoons: bool, spoon_g: float) -> str:
    """Return a powder by the spoon or by weight."""
    if is_spoons:
        return f"{quarters(grams / spoon_g)} tsp"
    return f"{number(grams, 2)} g"


def temperature(celsius: float, fahrenheit: bool) -> str:
    """Return a temperature as read off the thermometer."""
    if fahrenheit:
        return f"{celsius * 1.8 + 32:.0f} F"
    return f"{number(round(celsius * 2) / 2, 1)} C"
