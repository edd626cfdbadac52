"""Acid up and down to a target, each with the glass to taste it in first."""

from typing import Any

from pipeline.advice.bench.amounts import amount, scaled_span
from pipeline.advice.bench.sweetening import GLASS_L
from pipeline.advice.bench.wine import Refusal, Wine, known
from pipeline.enology.acidity import Acid, acid_to_add, milliequivalents
from pipeline.enology.deacidification import DEACIDIFICATION_STEP_G_L, Base, base_to_remove
from pipeline.enology.limits import limit
from pipeline.enology.sulphite_doses import solution_ml

_ACIDS: dict[str, Acid] = {
    "citric acid (anhydrous)": "citric",
    "malic acid (DL)": "malic",
    "tartaric acid": "tartaric",
}
_BASES: tuple[Base, ...] = ("potassium bicarbonate", "calcium carbonate")
_WHEN = {
    "potassium bicarbonate": "late, in the finished wine: it fizzes, so add it little by little",
    "calcium carbonate": "early, in must or young wine: it works for weeks and may cloud it later",
}
_NEAR_G_L = 0.05  # [g/L] no titration at home tells less


def to_acidity(wine: Wine, target_g_l: float) -> dict[str, Any] | Refusal:
    """Return what brings the wine to an acidity.

    Parameters
    ----------
    wine : Wine
    target_g_l : float
        Titratable acidity wanted [g/L as tartaric].

    Returns
    -------
    dict or Refusal
        ``choices``: one of them is to be taken, not all. Of a large drop only the first step.
    """
    if refusal := wine.lacks("acidity", "acidity", "volume"):
        return refusal
    now = known(wine.acidity).value
    change = target_g_l - now
    if abs(change) < _NEAR_G_L:
        return Refusal(
            "acidity", f"{wine.batch_id} is at {now:.1f} g/L already", "Leave it as it is."
        )
    return _up(wine, now, change) if change > 0 else _down(wine, now, -change)


def _up(wine: Wine, now: float, rise: float) -> dict[str, Any]:
    volume = known(wine.volume)
    return {
        "acidity_now_g_l": now,
        "target_g_l": now + rise,
        "change_g_l": rise,
        "is_first_step_only": False,
        "choices": [
            {
                **amount(
                    scaled_span(float(acid_to_add(rise, volume.value, acid)), volume, "g"),
                    additive,
                ),
                "glass_solution_10_percent_ml": float(
                    solution_ml(float(acid_to_add(rise, GLASS_L, acid)))
                ),
                "when": None,
            }
            for additive, acid in _ACIDS.items()
        ],
        "limits": _rise_limits(rise),
    }


def _rise_limits(rise: float) -> list[str]:
    ceiling = limit("acidification oiv")
    is_past = float(milliequivalents(rise)) > ceiling.value
    past = "This rise is past the ceiling: " if is_past else ""
    return [
        f"{past}acid added: {ceiling.sentence()}",
        f"acid in all: {limit('fixed acid us').sentence()}",
        f"citric acid in all: {limit('citric acid oiv').sentence()}",
    ]


def _down(wine: Wine, now: float, drop: float) -> dict[str, Any]:
    volume = known(wine.volume)
    step = min(drop, DEACIDIFICATION_STEP_G_L)
    return {
        "acidity_now_g_l": now,
        "target_g_l": now - drop,
        "change_g_l": -step,
        "is_first_step_only": step < drop,
        "choices": [
            {
                **amount(
                    scaled_span(float(base_to_remove(step, volume.value, base)), volume, "g"),
                    base,
                    is_dissolved=base == "potassium bicarbonate",
                ),
                "glass_solution_10_percent_ml": (
                    float(solution_ml(float(base_to_remove(step, GLASS_L, base))))
                    if base == "potassium bicarbonate"
                    else None
                ),
                "when": _WHEN[base],
            }
            for base in _BASES
        ],
        "limits": [
            limit("calcium carbonate us").sentence(),
            limit("fixed acid floor us").sentence(),
        ],
    }
