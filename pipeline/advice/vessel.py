"""The vessel a must takes: its water and juice, sugar and fruit, and room for the foam."""

from typing import Any

from pipeline.enology.fruit import vessel_for

_FILLS = ("water_l", "juice_l", "sugar_l", "fruit_displaced_l")


def smallest_vessel(must: dict[str, Any]) -> float | None:
    """Return the smallest vessel [L] for a must with its fruit; None if something is unknown.

    Parameters
    ----------
    must : dict
        Its row of `musts`.
    """
    parts = [must[name] for name in _FILLS]
    return None if None in parts else float(vessel_for(sum(parts)))
