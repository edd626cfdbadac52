"""Blind serving orders: which coded glasses each taster gets, in which order.

Every order is used as often as every other, as far as the number of tasters allows, so that what
comes first gains nothing; which taster gets which is drawn by lot from a seed, so that a lost
sheet can be printed again.
"""

import itertools
import random
from typing import Any

from pipeline.enology.sensory import Test

_ORDERS: dict[str, tuple[str, ...]] = {
    "triangle": ("AAB", "ABA", "BAA", "BBA", "BAB", "ABB"),
    "paired": ("AB", "BA"),
    "preference": ("AB", "BA"),
}
_CODES = range(101, 1000)  # three digits, as ISO 4120 has them; no code says anything


def serving_order(test: Test, tasters: int, seed: int) -> list[dict[str, Any]]:
    """Return one row per taster.

    Parameters
    ----------
    test : {'triangle', 'paired', 'preference'}
    tasters : int
        1 to 200.
    seed : int
        The same seed gives the same sheet.

    Returns
    -------
    list of dict
        ``taster`` (number), ``codes`` (on the glasses, left to right), ``wines`` (``A`` or ``B``
        behind each code) and ``odd_code`` (triangle only): the last two are for the one who pours.

    Raises
    ------
    ValueError
        If the test is not known or there are too many or no tasters.
    """
    if test not in _ORDERS:
        raise ValueError(f"test must be one of {', '.join(_ORDERS)}, got {test!r}")
    if not 1 <= tasters <= 200:
        raise ValueError(f"tasters must be between 1 and 200, got {tasters}")
    lot = random.Random(seed)
    orders = list(itertools.islice(_blocks(_ORDERS[test], lot), tasters))
    glasses = len(orders[0])
    codes = lot.sample(_CODES, tasters * glasses)
    return [
        _row(number, order, codes[glasses * number : glasses * (number + 1)], test)
        for number, order in enumerate(orders)
    ]


def _blocks(orders: tuple[str, ...], lot: random.Random) -> itertools.chain[str]:
    """Return all orders, shuffled, then all of them again, and so on."""
    return itertools.chain.from_iterable(
        lot.sample(orders, len(orders)) for _ in itertools.repeat(None)
    )


def _row(number: int, order: str, codes: list[int], test: str) -> dict[str, Any]:
    odd = min(set(order), key=order.count)
    return {
        "taster": number + 1,
        "codes": codes,
        "wines": list(order),
        "odd_code": codes[order.index(odd)] if test == "triangle" else None,
    }
