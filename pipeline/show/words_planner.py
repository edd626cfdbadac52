"""The planner of a vessel: its sliders in the maker's units, and what it says."""

from dataclasses import dataclass

from pipeline.show.listing import Listing
from pipeline.show.measures import capital, chance, measure_of
from pipeline.show.units import Units

_LITRES_AIMED_AT = (2.0, 25.0)
_LOADS, _WATERS = (0.05, 1.0), (0.4, 1.5)  # for each litre of target


@dataclass(frozen=True)
class Slider:
    """A slider in the maker's units: where it begins, ends and stands, and how far a step is."""

    label: str
    low: float
    high: float
    value: float
    step: float
    factor: float  # SI for each unit shown

    def in_si(self, shown: float) -> float:
        """Return a place of the slider in litres or kilograms."""
        return shown * self.factor


def target_slider(units: Units, usual_l: float) -> Slider:
    """Return the slider of the volume aimed at."""
    step = 0.5 if units.show == "metric" else 0.25
    factor = 1 / units.volume_number(1.0)
    return _slider(f"Wine wanted, {units.volume_unit}", _LITRES_AIMED_AT, usual_l, step, factor)


def fruit_slider(units: Units, fruit: str, target_l: float, usual_load: float) -> Slider:
    """Return the slider of the fruit's weight for a target."""
    step = 0.1 if units.show == "metric" else 0.25
    factor = 1 / units.mass_number(1.0)
    bounds = (_LOADS[0] * target_l, _LOADS[1] * target_l)
    return _slider(
        f"{capital(fruit)}, {units.mass_unit}", bounds, usual_load * target_l, step, factor
    )


def water_slider(units: Units, target_l: float, usual_share: float) -> Slider:
    """Return the slider of the water beside the fruit for a target."""
    step = 0.1 if units.show == "metric" else 0.05
    factor = 1 / units.volume_number(1.0)
    bounds = (_WATERS[0] * target_l, _WATERS[1] * target_l)
    label = f"Water beside the fruit, {units.volume_unit}"
    return _slider(label, bounds, usual_share * target_l, step, factor)


def _slider(
    label: str, bounds: tuple[float, float], value: float, step: float, factor: float
) -> Slider:
    low, high = (_stepped(bound / factor, step) for bound in bounds)
    stands = min(max(_stepped(value / factor, step), low), high)
    return Slider(label, low, high, stands, step, factor)


def _stepped(value: float, step: float) -> float:
    return round(max(round(value / step), 1) * step, 6)


def planner_answer(found: dict, units: Units) -> str:
    """Say what comes out, how sure the vessel is to be filled, and what it takes."""
    volume = measure_of("finished_volume", units)
    if found["finished_volume"] is None:
        return "Your logbook cannot say: a weight or a volume of this fruit is missing."
    parts = [
        f"{units.mass(found['fruit_kg'])} of {found['fruit']} and {units.volume(found['water_l'])} "
        f"of water give {volume.full(found['finished_volume'])} of finished wine."
    ]
    if found["chance_full"] is not None:
        parts.append(
            f"The chance of {units.volume(found['target_l'])} or more is "
            f"{chance(found['chance_full'])}."
        )
    return " ".join(parts)


def planner_listing(found: dict, units: Units) -> Listing:
    """Return what to have ready."""
    return Listing(
        ("to have ready", "how much"),
        [
            (found["fruit"], units.mass(found["fruit_kg"])),
            ("water", units.volume(found["water_l"])),
            ("sugar, as you usually take", units.mass(found["sugar_kg"])),
            ("bucket, at least (fruit and foam)", units.volume(found["vessel_l"])),
        ],
        left=("to have ready",),
    )
