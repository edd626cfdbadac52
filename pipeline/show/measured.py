"""Amounts as somebody can measure them in a kitchen: scales, jugs, level spoons, a syringe.

Weights of powders are written in grams whatever the logbook shows: no kitchen scale reads a
fortieth of an ounce. A spoon stands beside them with how far it can be out.
"""

import math

from pipeline.enology.units import KG_PER_OZ, LITRES
from pipeline.show.units import NOT_KNOWN, Units

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_TEASPOONS_PER_TABLESPOON = 3
_SPOON_ROUNDING = 0.1  # a spoon further off than this is not offered
_SYRINGE_ML = 25.0  # more solution than this is weighed out more easily as powder
_SPOON_FROM, _SPOON_UP_TO = 1 / 16, 12  # level teaspoons worth measuring by the spoon
_POWDER_UP_TO_KG = 0.060  # lighter than this is weighed in grams by everybody


def weight(mass_kg: float | None, units: Units) -> str:
    """Write a weight to what a kitchen scale shows: ``1.35 kg``, ``4 lb 8 oz``, ``3½ oz``.

    Parameters
    ----------
    mass_kg : float or None
        [kg]
    units : Units
        The logbook's.
    """
    if mass_kg is None or not math.isfinite(mass_kg):
        return NOT_KNOWN
    if mass_kg < _POWDER_UP_TO_KG:
        return grams(1000 * mass_kg)
    if units.show == "metric":
        rounded = round(1000 * mass_kg / 5) * 5
        return f"{rounded / 1000:.2f} kg" if rounded >= 1000 else f"{rounded} g"
    if mass_kg < 16 * KG_PER_OZ:
        return f"{in_parts(mass_kg / KG_PER_OZ, 4)} oz"
    pounds, ounces = divmod(round(2 * mass_kg / KG_PER_OZ), 32)
    text = f"{pounds} lb"
    return f"{text} {in_parts(ounces / 2, 2)} oz" if ounces else text


def sugar(mass_kg: float, units: Units) -> str:
    """Write a weight of sugar in grams, and in ounces or pounds where the logbook shows those.

    Parameters
    ----------
    mass_kg : float
        [kg]
    units : Units
        The logbook's.
    """
    metric = weight(mass_kg, Units("metric"))
    if units.show == "metric" or mass_kg < KG_PER_OZ / 2:
        return metric
    if mass_kg < _POWDER_UP_TO_KG:
        return f"{metric} ({in_parts(mass_kg / KG_PER_OZ, 4)} oz)"
    return f"{metric} ({weight(mass_kg, units)})"


def grams(value: float) -> str:
    """Write grams as a small scale shows them: hundredths below 1, tenths below 20."""
    decimals = 2 if value < 1 else 1 if value < 20 else 0
    return f"{value:.{decimals}f} g"


def liquid(volume_l: float | None, units: Units) -> str:
    """Write a volume to what a jug shows: ``3.75 L``, ``350 mL``, ``1 gal 3 pt 4 fl oz``.

    Parameters
    ----------
    volume_l : float or None
        [L]
    units : Units
        The logbook's; gallons, pints and fluid ounces are of its gallon.
    """
    if volume_l is None or not math.isfinite(volume_l):
        return NOT_KNOWN
    country = "imperial" if units.show == "imperial" else "us"
    ounce_l = LITRES[f"{country} fluid ounce"]
    if units.show == "metric" or volume_l < ounce_l:
        return f"{volume_l:.2f} L" if volume_l >= 0.995 else millilitres(1000 * volume_l)
    pint = round(LITRES[f"{country} pint"] / ounce_l)
    gallons, ounces = divmod(round(volume_l / ounce_l), 8 * pint)
    pints, ounces = divmod(ounces, pint)
    name = "imp gal" if country == "imperial" else "US gal"
    parts = [(gallons, name), (pints, "pt"), (ounces, "fl oz")]
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or f"0 {name}"


def millilitres(value: float) -> str:
    """Write millilitres as a syringe or a jug shows them."""
    if value < 0.05:
        return "none"
    if value < 10:
        return f"{value:.1f} mL"
    return f"{value:.0f} mL" if value < 100 else f"{round(value / 5) * 5} mL"


def spoons(level_teaspoons: float | None, error: float) -> str:
    """Write level spoons in eighths, ``¾ tsp, ± 20%``; empty if no spoon comes near enough.

    Parameters
    ----------
    level_teaspoons : float or None
        None where no spoon may be used.
    error : float
        Relative half-width of a spoonful; what the rounding adds is added.
    """
    if level_teaspoons is None or not _SPOON_FROM <= level_teaspoons <= _SPOON_UP_TO:
        return ""
    eighths = round(8 * level_teaspoons)
    rounding = eighths / 8 / level_teaspoons - 1
    if abs(rounding) > _SPOON_ROUNDING:
        return ""
    tablespoons, rest = divmod(eighths, 8 * _TEASPOONS_PER_TABLESPOON)
    parts = [f"{tablespoons} tbsp"] * bool(tablespoons)
    parts += [f"{in_parts(rest / 8, 8)} tsp"] * bool(rest)
    return f"{' + '.join(parts)} level, ± {math.hypot(error, rounding):.0%}"


def in_parts(value: float, parts: int) -> str:
    """Write a number in halves, quarters or eighths: ``2¼``, ``½``, ``0``."""
    whole, rest = divmod(round(value * parts), parts)
    fraction = _EIGHTHS[rest * 8 // parts]
    return f"{whole or ''}{fraction}" or "0"


def dose(amount: dict) -> str:
    """Write a powder's dose in every way it can be measured.

    Parameters
    ----------
    amount : dict
        As `pipeline.advice.bench.amounts.amount` gives it.

    Returns
    -------
    str
        Such as ``0.20 g (0.17 to 0.24), or 2.0 mL of a 10 % solution``.
    """
    estimate = amount["grams"]
    text = grams(estimate["value"])
    low, high = (grams(estimate[end]).removesuffix(" g") for end in ("low", "high"))
    if low != high:
        text += f" ({low} to {high})"
    ways = [text]
    if 0 < (amount["solution_10_percent_ml"] or 0) <= _SYRINGE_ML:
        ways.append(f"or {millilitres(amount['solution_10_percent_ml'])} of a 10 % solution")
    if by_spoon := spoons(amount["level_teaspoons"], amount["teaspoon_error"] or 0.0):
        ways.append(f"or {by_spoon}")
    return ", ".join(ways)
