"""A first gravity beside what went in: how much liquid it tells of, or how much sugar is astray."""

from __future__ import annotations

from typing import Any, NamedTuple

from pipeline.advice.own_units import mass, volume
from pipeline.enology.gravity import sugar_from_gravity
from pipeline.learning.estimate import Doubt


class Astray(NamedTuple):
    """What would reconcile a first gravity with what went in: one of the two.

    volume_l, volume_by_mass_l [L] are the liquid that the reading speaks of and that of the sum;
    sugar_kg [kg] is by how much the sugar of the sum is above that of the reading.
    """

    volume_l: float
    volume_by_mass_l: float
    sugar_kg: float


def astray(batch: dict[str, Any]) -> Astray | None:
    """Return what would reconcile a batch's first gravity, None where it need not be.

    Parameters
    ----------
    batch : dict
        Its row of the mart's `batches`.
    """
    if not batch["is_original_gravity_doubtful"]:
        return None
    added_g = 1000 * (batch["sugar_kg"] - batch["late_sugar_kg"])
    sugar_g = added_g + batch["juice_sugar_g"] + batch["fruit_sugar_g"]
    read = float(sugar_from_gravity(batch["original_gravity"]))
    by_mass = float(sugar_from_gravity(batch["original_gravity_by_mass"]))
    if min(read, by_mass, sugar_g) <= 0:
        return None
    expected_l = sugar_g / by_mass
    return Astray(sugar_g / read, expected_l, (by_mass - read) * expected_l / 1000)


def first_gravity_doubt(batch: dict[str, Any], show: str) -> Doubt | None:
    """Say what may be wrong with a first gravity that what went in does not come to.

    Parameters
    ----------
    batch : dict
        Its row of the mart's `batches`.
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    """
    found = astray(batch)
    if found is None:
        return None
    sugar = mass(abs(found.sugar_kg), show)
    why = (
        f"{sugar} of sugar was not dissolved, or not yet out of the fruit"
        if found.sugar_kg > 0
        else f"the fruit was sweeter, or more went in, by {sugar} of sugar"
    )
    text = (
        f"its first gravity was {batch['original_gravity']:.3f}, and what went in comes to "
        f"{batch['original_gravity_by_mass']:.3f}: either there was {volume(found.volume_l, show)} "
        f"of liquid and not {volume(found.volume_by_mass_l, show)}, or {why}"
    )
    return Doubt("missing_input", text)
