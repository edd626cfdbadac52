"""Sweetening a finished wine: the ladder of glasses, and the dose that the chosen one means."""

from typing import Any

from scipy.optimize import brentq

from pipeline.advice.bench.amounts import amount, scaled_span, span
from pipeline.advice.bench.wine import Refusal, Wine, known
from pipeline.enology.blending import share_of_first
from pipeline.enology.carbonation import bottle_overpressure
from pipeline.enology.composition import invert_from_sucrose
from pipeline.enology.dissolving import (
    dissolved_sugar_volume,
    gravity_after_sugar,
    sugar_for_gravity,
)
from pipeline.enology.sulphite_doses import solution_ml
from pipeline.enology.sweetening import (
    bench_to_batch,
    diluted_by_sweetening,
    sugar_after_sweetening,
    sugar_to_gravity,
    sugar_to_sweeten,
)

GLASS_L = 0.1  # [L]
LADDER_G_L = (0.0, 5.0, 10.0, 20.0, 40.0)  # stirred into a litre of the wine as it is
SYRUP_PERCENT = 50.0  # [g per 100 mL] sugar made up to 100 mL: 1 mL holds half a gram
_SUGAR = "sugar, granulated"
_HEAVIEST = 1.3  # no sweetened wine is heavier
_MOST_G_L = 300.0  # as far as the pressure relation goes


def sweeten(wine: Wine, target_g_l: float | None = None) -> dict[str, Any] | Refusal:
    """Return the ladder of glasses and, for a target, the sugar for the whole wine.

    Parameters
    ----------
    wine : Wine
    target_g_l : float, optional
        Sugar wanted in the wine, its own counted in [g/L].

    Returns
    -------
    dict or Refusal
    """
    if wine.state == "fermenting":
        return Refusal(
            "sweeten",
            f"{wine.batch_id} still ferments: the yeast would eat the sugar",
            "Wait until the gravity has not moved for a fortnight; then ask again.",
        )
    if refusal := wine.lacks("sweeten", "volume"):
        return refusal
    rungs = [_rung(wine, step) for step in LADDER_G_L]
    dose = None if target_g_l is None else _to_sugar(wine, target_g_l)
    if isinstance(dose, Refusal):
        return dose
    return {
        "target_sugar_g_l": target_g_l,
        "glass_l": GLASS_L,
        "syrup_g_per_100_ml": SYRUP_PERCENT,
        "ladder": rungs,
        "dose": dose,
    }


def _rung(wine: Wine, step_g_l: float) -> dict[str, Any]:
    """One glass of the ladder, and the whole wine if that is the one that pleases."""
    glass_g = step_g_l * GLASS_L
    batch_kg = float(bench_to_batch(glass_g / 1000, GLASS_L, known(wine.volume).value))
    return {
        "stirred_in_g_l": step_g_l,
        "glass_sugar_g": glass_g,
        "glass_syrup_ml": float(solution_ml(glass_g, SYRUP_PERCENT)),
        **_after(wine, batch_kg),
    }


def _to_sugar(wine: Wine, target_g_l: float) -> dict[str, Any] | Refusal:
    if refusal := wine.lacks("sweeten", "sugar"):
        return refusal
    now, volume = known(wine.sugar), known(wine.volume)
    kg, least, most = (
        float(sugar_to_sweeten(sugar, target_g_l, volume.value))
        for sugar in (now.value, min(now.high, target_g_l), now.low)
    )
    if kg == 0:
        return Refusal(
            "sweeten",
            f"{wine.batch_id} holds about {now.value:.0f} g/L of sugar already, and "
            f"{target_g_l:g} g/L was asked for",
            "Ask for more, or taste it as it is.",
        )
    low, high = least * (1 - volume.error), most * (1 + volume.error)
    grams = span(1000 * kg, 1000 * low, 1000 * high, "g")
    return {**_after(wine, kg), **amount(grams, _SUGAR, is_dissolved=False)}


def _after(wine: Wine, sugar_kg: float) -> dict[str, Any]:
    """Return what the wine is then: volume, gravity, sweetness, strength, danger."""
    litres = known(wine.volume).value
    strength = wine.alcohol.value if wine.alcohol else None
    sugar = wine.sugar.value if wine.sugar else None
    return {
        "batch_sugar_kg": sugar_kg,
        "volume_after_l": litres + float(dissolved_sugar_volume(sugar_kg)),
        "sugar_after_g_l": (
            None if sugar is None else float(sugar_after_sweetening(sugar, litres, sugar_kg))
        ),
        "gravity_after": _gravity_after(wine, sugar_kg),
        "alcohol_after_percent": (
            None if strength is None else float(diluted_by_sweetening(strength, litres, sugar_kg))
        ),
        "pressure_if_it_ferments_bar": _pressure(wine, sugar_kg),
    }


def _gravity_after(wine: Wine, sugar_kg: float) -> float | None:
    """Return what the hydrometer should show then: `sugar_to_gravity` the other way round."""
    if wine.gravity is None or wine.volume is None:
        return None
    now, litres = wine.gravity.value, wine.volume.value
    if wine.state == "fermenting":
        return float(gravity_after_sugar(now, litres, sugar_kg))
    if sugar_kg >= float(sugar_to_gravity(now, _HEAVIEST, litres)):
        return None
    return float(
        brentq(lambda sg: float(sugar_to_gravity(now, sg, litres)) - sugar_kg, now, _HEAVIEST)
    )


def _pressure(wine: Wine, sugar_kg: float) -> float | None:
    """Return the pressure in a closed bottle if all the sugar fermented [bar]."""
    if wine.sugar is None or wine.alcohol is None or wine.volume is None:
        return None
    added = float(sugar_after_sweetening(0.0, wine.volume.value, sugar_kg))
    single = wine.sugar.value + float(invert_from_sucrose(added))
    return float(bottle_overpressure(min(single, _MOST_G_L), min(wine.alcohol.value, 30.0)))


def to_gravity(wine: Wine, target: float) -> dict[str, Any] | Refusal:
    """Return the sugar or the water that brings a wine or must to a gravity.

    Parameters
    ----------
    wine : Wine
    target : float
        Gravity wanted.

    Returns
    -------
    dict or Refusal
    """
    if refusal := wine.lacks("gravity", "gravity", "volume"):
        return refusal
    now = known(wine.gravity).value
    if target >= now:
        return {"target_gravity": target, "add": "sugar", "dose": _sugar_dose(wine, target)}
    if target <= 1.0:
        return Refusal(
            "gravity",
            f"{wine.batch_id} reads {now:.3f}, and water, at 1.000, cannot bring it "
            f"to {target:.3f}",
            "Only yeast can; or blend it with a drier wine (--blend).",
        )
    return {"target_gravity": target, "add": "water", "dose": _water_dose(wine, target)}


def _sugar_dose(wine: Wine, target: float) -> dict[str, Any]:
    now, volume = known(wine.gravity).value, known(wine.volume)
    # Before fermentation the sucrose table holds; in a wine alcohol upsets Brix, so mass is used.
    to_it = sugar_for_gravity if wine.state == "fermenting" else sugar_to_gravity
    kg = float(to_it(now, target, volume.value))
    grams = scaled_span(1000 * kg, volume, "g")
    return {**_after(wine, kg), **amount(grams, _SUGAR, is_dissolved=False)}


def _water_dose(wine: Wine, target: float) -> dict[str, Any]:
    volume = known(wine.volume)
    share = float(share_of_first(known(wine.gravity).value, 1.0, target))
    water = volume.value * (1 / share - 1)
    return {
        "water_l": scaled_span(water, volume, "L"),
        "volume_after_l": volume.value + water,
        "share_of_wine": share,
    }
