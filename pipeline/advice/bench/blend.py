"""Blending wines toward targets, and thinning one with water.

The shares come from a bounded least-squares fit: each target's miss is counted in steps that a
taster just notices, shares are between none and all, and no wine gives more than there is of it.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear

from pipeline.advice.bench.amounts import scaled_span
from pipeline.advice.bench.sweetening import GLASS_L
from pipeline.advice.bench.wine import Refusal, Wine, known
from pipeline.enology.blending import blend, blend_alcohol, water_to_dilute
from pipeline.enology.limits import limit

# What a taster just notices, common practice, no source; also how far a target may be missed.
NOTICED = {"alcohol": 0.3, "acidity": 0.3, "sugar": 3.0}
_UNITS = {"alcohol": "% vol", "acidity": "g/L", "sugar": "g/L"}
_WHOLE = 1e4  # weight of "the shares add up to one": heavier than any target
_TIE = 1e-3  # where targets leave the shares open, use each wine as there is of it
_LEAST_SHARE = 0.005  # less than this of a wine is left out


def blend_wines(
    wines: Sequence[Wine], targets: dict[str, float], volume_l: float | None = None
) -> dict[str, Any] | Refusal:
    """Return the shares of two or more wines that come nearest to the targets.

    Parameters
    ----------
    wines : sequence of Wine
        The batch at the bench first.
    targets : dict of str to float
        Of `alcohol` [% vol], `acidity` [g/L as tartaric] and `sugar` [g/L]; at least one.
    volume_l : float, optional
        How much blend is wanted [L]; otherwise as much as the wines give.

    Returns
    -------
    dict or Refusal
    """
    if not targets:
        return Refusal(
            "blend",
            "a blend needs something to aim at",
            "Say it with --alcohol, --acidity or --sweeten-to.",
        )
    for wine in wines:
        if refusal := wine.lacks("blend", "volume", *targets):
            return refusal
    amounts = np.array([known(wine.volume).value for wine in wines])
    if volume_l is not None and volume_l > amounts.sum():
        return Refusal(
            "blend",
            f"{volume_l:.1f} L were asked for, and there are {amounts.sum():.1f} L in all",
            "Ask for less, or name another batch with --blend.",
        )
    shares = blend_shares(_contents(wines, targets), list(targets.values()), amounts, volume_l)
    return _described(wines, targets, shares, amounts, volume_l)


def _contents(wines: Sequence[Wine], targets: dict[str, float]) -> dict[str, NDArray[np.float64]]:
    return {
        name: np.array([known(getattr(wine, name)).value for wine in wines]) for name in targets
    }


def blend_shares(
    contents: dict[str, NDArray[np.float64]],
    targets: Sequence[float],
    amounts: NDArray[np.float64],
    volume_l: float | None = None,
) -> NDArray[np.float64]:
    """Return the share of each wine in the blend.

    Parameters
    ----------
    contents : dict of str to array
        Per target (a key of `NOTICED`) what each wine holds.
    targets : sequence of float
        In the same order.
    amounts : array
        What there is of each wine [L].
    volume_l : float, optional
        Blend wanted [L]: no share may then take more than there is.

    Returns
    -------
    array
        Shares, adding up to 1.
    """
    wines = len(amounts)
    misses = [
        (content - target) / NOTICED[name]
        for (name, content), target in zip(contents.items(), targets, strict=True)
    ]
    rows = np.vstack([*misses, np.full(wines, _WHOLE), _TIE * np.eye(wines)])
    wanted = np.concatenate(
        [np.zeros(len(misses)), [_WHOLE], _TIE * amounts / amounts.sum()],
    )
    most = np.ones(wines) if volume_l is None else np.minimum(amounts / volume_l, 1.0)
    shares = np.asarray(lsq_linear(rows, wanted, bounds=(0.0, most), method="bvls").x)
    shares = np.where(shares < _LEAST_SHARE, 0.0, shares)
    return np.asarray(np.minimum(shares / shares.sum(), most), dtype=np.float64)


def _described(
    wines: Sequence[Wine],
    targets: dict[str, float],
    shares: NDArray[np.float64],
    amounts: NDArray[np.float64],
    volume_l: float | None,
) -> dict[str, Any]:
    used = shares > 0
    made = float((amounts[used] / shares[used]).min()) if volume_l is None else volume_l
    reached = {name: _reached(name, shares, wines) for name in targets}
    return {
        "volume_l": made,
        "parts": [
            {
                "batch": wine.batch_id,
                "share": float(share),
                "volume_l": float(share * made),
                "glass_ml": float(1000 * GLASS_L * share),
                "left_l": float(amount - share * made),
            }
            for wine, share, amount in zip(wines, shares, amounts, strict=True)
        ],
        "targets": [
            {
                "name": name,
                "unit": _UNITS[name],
                "wanted": target,
                "reached": reached[name],
                "is_reached": abs(reached[name] - target) <= NOTICED[name],
            }
            for name, target in targets.items()
        ],
    }


def _reached(name: str, shares: NDArray[np.float64], wines: Sequence[Wine]) -> float:
    contents = [known(getattr(wine, name)).value for wine in wines]
    if name == "alcohol":
        return blend_alcohol(shares, contents)[0]
    return blend(shares, contents, name)


def thin(wine: Wine, target_percent: float) -> dict[str, Any] | Refusal:
    """Return the water that brings a wine down to a strength.

    Parameters
    ----------
    wine : Wine
    target_percent : float
        Strength wanted [% vol].

    Returns
    -------
    dict or Refusal
    """
    if refusal := wine.lacks("alcohol", "alcohol", "volume"):
        return refusal
    strength, volume = known(wine.alcohol), known(wine.volume)
    if target_percent >= strength.value:
        return Refusal(
            "alcohol",
            f"{wine.batch_id} has about {strength.value:.1f} % vol, and nothing at the bench makes "
            f"it {target_percent:g}",
            "Blend it with a stronger wine (--blend), or start the next one with more sugar.",
        )
    water = float(water_to_dilute(strength.value, target_percent, volume.value))
    kept = volume.value / (volume.value + water)
    return {
        "alcohol_now_percent": strength.as_dict(),
        "target_percent": target_percent,
        "water_l": scaled_span(water, volume, "L"),
        "volume_after_l": volume.value + water,
        "share_of_wine": kept,
        "acidity_after_g_l": None if wine.acidity is None else wine.acidity.value * kept,
        "glass_water_ml": 1000 * GLASS_L * (1 - kept),
        "limits": [f"water: {limit('amelioration us').sentence()}"],
    }
