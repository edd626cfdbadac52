"""How likely a planned must is to stick, what is behind it, and whether that is known at all."""

from __future__ import annotations

from typing import Any

from pipeline.counts import counted, how_many
from pipeline.learning.estimate import Doubt
from pipeline.learning.sticking_chances import Chances

# A reason is worth a word if its absence takes so large a share of the chance away, and so much of
# it: common practice, no source.
WORTH_SHARE, WORTH = 0.33, 0.01


def stuck_reasons(chances: Chances, row: int) -> list[dict[str, Any]]:
    """Return what makes a must likelier to stick than the maker's usual one, the gravest first.

    Parameters
    ----------
    chances : Chances
    row : int
        Place of the must.

    Returns
    -------
    list of dict
        ``factor`` and ``chance_without``, were that one thing as in the usual must.
    """
    found = chances.chance(row)
    if found is None or not chances.batches:
        return []
    most = min((1 - WORTH_SHARE) * found.value, found.value - WORTH)
    without = sorted(chances.without(row).items(), key=lambda item: item[1])
    return [{"factor": name, "chance_without": left} for name, left in without if left <= most]


def sticking_doubts(chances: Chances, row: int) -> list[Doubt]:
    """Say if a chance of sticking rests on what is common among makers."""
    if not chances.is_little_known(row):
        return []
    seen = "no batch has ended"
    if chances.batches:
        ended = counted(chances.batches, "batch", "batches")
        seen = f"of {ended} {how_many(chances.stuck)} stuck"
    text = (
        f"{seen}, too few to know how often such a must sticks: what is common among makers speaks"
    )
    return [Doubt("few_batches", text)]
