"""Keeping a finished wine: sulphite by its pH, sorbate by its strength and pH, inside limits."""

from typing import Any

from pipeline.advice.bench.amounts import amount, span
from pipeline.advice.bench.wine import Reading, Refusal, Wine, known
from pipeline.enology.limits import limit
from pipeline.enology.stabilising import sorbate_to_add, sorbic_needed
from pipeline.enology.sulphite import (
    MOLECULAR_TARGET_MG_L,
    SINGLE_DOSE_CAUTION_MG_L,
    free_so2_needed,
    molecular_so2,
)
from pipeline.enology.sulphite_doses import BOUND_FRACTION, so2_dose_for_free, sulphite_to_add
from pipeline.enology.validity import is_valid
from pipeline.learning.estimate import Doubt

# A third to a half of a dose binds within days; common practice, see BOUND_FRACTION.
_BOUND_LOW, _BOUND_HIGH = 1 / 3, 1 / 2
_SORBIC_SPREAD = 1 / 3  # the table behind `sorbic_needed` is good to about a third
_SULPHITE, _SORBATE = "potassium metabisulfite", "potassium sorbate"
_KEEP_COLD = "Keep it dry, or sweeten it at the table, or keep it in the cold and drink it soon."


def sulphite(wine: Wine) -> dict[str, Any] | Refusal:
    """Return the sulphite that protects the wine at its pH, or why none can be named.

    Parameters
    ----------
    wine : Wine

    Returns
    -------
    dict or Refusal
        A dose above `SINGLE_DOSE_CAUTION_MG_L` at once, or past the US ceiling, is refused: it is
        either a slip or a wine that wants acid first.
    """
    if refusal := _too_early(wine, "sulphite") or wine.lacks("sulphite", "ph", "volume"):
        return refusal
    ph = known(wine.ph).value
    needed = float(free_so2_needed(ph))
    free = None if wine.free_so2 is None else wine.free_so2.value
    rise = float(so2_dose_for_free(free or 0.0, needed))
    if rise > SINGLE_DOSE_CAUTION_MG_L:
        return _too_much(wine, ph, rise)
    before = wine.so2_added_mg_l
    if before is not None and before + rise > limit("total so2 us").value:
        return Refusal(
            "sulphite",
            f"{before:.0f} mg/L went in already, and {rise:.0f} more would pass "
            f"{limit('total so2 us').sentence()}",
            "Leave it, keep it cool and full, and drink it young.",
        )
    return {
        "ph": ph,
        "molecular_target_mg_l": MOLECULAR_TARGET_MG_L,
        "free_needed_mg_l": needed,
        "free_now_mg_l": free,
        "molecular_now_mg_l": None if free is None else float(molecular_so2(free, ph)),
        "rise_mg_l": rise,
        # A spoon of sulphite meant for five gallons in one is the usual slip: scales or solution.
        "dose": amount(
            _sulphite_grams(free or 0.0, needed, known(wine.volume)), _SULPHITE, is_spooned=False
        ),
        "is_most": free is None,
        "total_added_before_mg_l": before,
        "total_added_after_mg_l": None if before is None else before + rise,
        "limits": [limit(name).sentence() for name in ("total so2 us", "total so2 eu fruit")],
    }


def _sulphite_grams(free: float, needed: float, volume: Reading) -> dict[str, Any]:
    grams, low, high = (
        float(sulphite_to_add(float(so2_dose_for_free(free, needed, bound)), volume.value))
        for bound in (BOUND_FRACTION, _BOUND_LOW, _BOUND_HIGH)
    )
    return span(grams, low * (1 - volume.error), high * (1 + volume.error), "g")


def _too_much(wine: Wine, ph: float, rise: float) -> Refusal:
    return Refusal(
        "sulphite",
        f"at pH {ph:.2f} it would take {rise:.0f} mg/L of sulphite at once, and more than "
        f"{SINGLE_DOSE_CAUTION_MG_L:.0f} is nearly always a slip",
        f"Add acid first (hedgerow bench … {wine.batch_id} --acidity), measure the pH again, and "
        "check the volume.",
    )


def _too_early(wine: Wine, question: str) -> Refusal | None:
    if wine.state != "fermenting":
        return None
    return Refusal(
        question,
        f"{wine.batch_id} still ferments, which neither sulphite nor sorbate stops",
        "Wait until the gravity has not moved for a fortnight and the wine has been racked.",
    )


def sorbate(wine: Wine, beside: dict[str, Any] | Refusal) -> dict[str, Any] | Refusal:
    """Return the sorbate that keeps yeast from a sweetened wine, or why none can be named.

    Parameters
    ----------
    wine : Wine
    beside : dict or Refusal
        The answer of `sulphite`: sorbate without it turns to a geranium smell.

    Returns
    -------
    dict or Refusal
    """
    if refusal := _too_early(wine, "sorbate") or wine.lacks("sorbate", "ph", "alcohol", "volume"):
        return refusal
    if isinstance(beside, Refusal):
        return Refusal(
            "sorbate",
            "sorbate only goes in together with enough sulphite, and no dose of that can be named",
            beside.next_step,
        )
    ph, strength = known(wine.ph).value, min(known(wine.alcohol).value, 25.0)
    ceiling = limit("sorbic acid oiv")
    needed = float(sorbic_needed(strength, ph))
    before = wine.sorbic_added_mg_l
    rise = max(needed - (before or 0.0), 0.0)
    return {
        "sorbic_needed_mg_l": needed,
        "sorbic_added_before_mg_l": before,
        "rise_mg_l": rise,
        "dose": amount(_sorbate_grams(needed, before or 0.0, known(wine.volume)), _SORBATE),
        "is_enough": needed < ceiling.value,
        "if_not_enough": None if needed < ceiling.value else _KEEP_COLD,
        "limits": [ceiling.sentence(), limit("sorbic acid us").sentence()],
    }


def _sorbate_grams(needed: float, before: float, volume: Reading) -> dict[str, Any]:
    ceiling = limit("sorbic acid oiv").value
    rises = [
        max(min(needed * factor, ceiling) - before, 0.0)
        for factor in (1.0, 1 - _SORBIC_SPREAD, 1 + _SORBIC_SPREAD)
    ]
    grams, low, high = (float(sorbate_to_add(rise, volume.value)) for rise in rises)
    return span(grams, low * (1 - volume.error), high * (1 + volume.error), "g")


def stabilising_doubts(wine: Wine) -> list[Doubt]:
    """Return what stands against the doses of sulphite and sorbate."""
    found = []
    if wine.free_so2 is None:
        found.append(
            Doubt(
                "missing_input",
                "how much free sulphite it holds now is not known, so the dose of sulphite is for "
                "a wine with none left: the most it can need",
            )
        )
    if wine.so2_added_mg_l is None or wine.sorbic_added_mg_l is None:
        found.append(
            Doubt(
                "missing_input",
                "a row of its additions was set aside, so what went in so far may be more than "
                "counted here",
            )
        )
    found += _range_doubts(wine)
    found.append(
        Doubt(
            "default_value",
            f"{BOUND_FRACTION:.0%} of the sulphite is taken to bind within days; measure again "
            "after three",
        )
    )
    return found


def _range_doubts(wine: Wine) -> list[Doubt]:
    if wine.ph is None:
        return []
    texts = []
    if not is_valid("free_so2_needed", ph=wine.ph.value):
        texts.append(f"pH {wine.ph.value:.2f} is outside that of wines, so read it again")
    if wine.alcohol is not None and not is_valid(
        "sorbic_needed", abv=wine.alcohol.value, ph=wine.ph.value
    ):
        texts.append(
            f"sorbate is known for wines of 8 to 15 % vol and pH 2.9 to 3.8; this one, at "
            f"{wine.alcohol.value:.1f} % vol and pH {wine.ph.value:.2f}, is outside"
        )
    return [Doubt("outside_experience", text) for text in texts]
