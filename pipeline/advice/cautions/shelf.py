"""The cautions that a logbook's own batches call for: each once, with the batches it concerns."""

from collections.abc import Collection
from typing import Any

from pipeline.advice.cautions import CAUTIONS, cautions_due
from pipeline.advice.cautions.circumstances_batch import circumstances_of_batches
from pipeline.cellar.origins import Tables

# What is true of nearly every wine is said where somebody does it, not over the whole shelf.
_OF_EVERY_WINE = frozenset({"glass", "strong_wine", "home_production", "caustic"})
# What concerns the fruit concerns the one who handles it: it is over once the fruit is out, but for
# what stays in the wine.
OF_THE_FRUIT = frozenset({"lookalike_plants", "rhubarb_leaves", "mould", "hot_liquid"})


def shelf_cautions(tables: Tables, batches: Collection[str] | None = None) -> list[dict[str, Any]]:
    """Return what must be said of the batches of a logbook, the gravest first.

    Parameters
    ----------
    tables : Tables
        The cellar.
    batches : collection of str, optional
        Only these.

    Returns
    -------
    list of dict
        ``code``, ``text``, ``defers_to`` as every command prints them, and ``batches``, in the
        logbook's order.
    """
    found: dict[str, list[str]] = {}
    for batch, now in circumstances_of_batches(tables, batches).items():
        is_working = "ferment" in now.steps
        for caution in cautions_due(now):
            is_over = caution.trigger in OF_THE_FRUIT and not is_working
            if caution.trigger not in _OF_EVERY_WINE and not is_over:
                found.setdefault(caution.trigger, []).append(batch)
    return [
        {**caution.as_dict(), "batches": found[name]}
        for name, caution in CAUTIONS.items()
        if name in found
    ]
