"""Numbers in the units a maker thinks in, rounded to what is known.

Inside hedgerow everything is SI; this is the only place where it is turned into the logbook's
`show` units for reading. JSON and tables for other programs stay SI.
"""

import re
from dataclasses import dataclass
from typing import Literal

from pipeline.enology.units import (
    KG_PER_LB,
    L_PER_IMPERIAL_GALLON,
    L_PER_US_GALLON,
)

Show = Literal["metric", "us", "imperial"]

NOT_KNOWN = "–"
_LOAD = re.compile(r"(\d+(?:\.\d+)?) kg/L")
_WARMTH = re.compile(r"(-?\d+(?:\.\d+)?) °C")


@dataclass(frozen=True)
class Units:
    """How one logbook wants its quantities written.

    Parameters
    ----------
    show : {"metric", "us", "imperial"}
        The logbook's setting.
    currency : str
        Written before amounts of money; may be empty.
    """

    show: Show = "metric"
    currency: str = ""

    @property
    def gallon_l(self) -> float:
        """Litres in this logbook's gallon; only meaningful when it shows gallons."""
        return L_PER_US_GALLON if self.show == "us" else L_PER_IMPERIAL_GALLON

    @property
    def volume_unit(self) -> str:
        """Name of the unit that `volume_number` counts in."""
        return {"metric": "L", "us": "US gal", "imperial": "imp gal"}[self.show]

    @property
    def load_unit(self) -> str:
        """Name of the unit that `load_number` counts in."""
        return "kg/L" if self.show == "metric" else f"lb/{self.volume_unit}"

    @property
    def mass_unit(self) -> str:
        """Name of the unit that `mass_number` counts in."""
        return "kg" if self.show == "metric" else "lb"

    @property
    def yield_unit(self) -> str:
        """Name of the unit that `yield_number` counts in, for each `mass_unit` of fruit."""
        return "L" if self.show == "metric" else "fl oz"

    @property
    def temperature_unit(self) -> str:
        """Name of the unit that `temperature_number` counts in."""
        return "°F" if self.show == "us" else "°C"

    def volume_number(self, volume_l: float) -> float:
        """Return litres in the logbook's unit of volume."""
        return volume_l if self.show == "metric" else volume_l / self.gallon_l

    def load_number(self, load_kg_l: float) -> float:
        """Return a fruit load, kg per L of target, in the logbook's unit."""
        return load_kg_l if self.show == "metric" else load_kg_l / KG_PER_LB * self.gallon_l

    def mass_number(self, mass_kg: float) -> float:
        """Return a weight in the logbook's unit, pounds as a decimal number."""
        return mass_kg if self.show == "metric" else mass_kg / KG_PER_LB

    def yield_number(self, litres_per_kg: float) -> float:
        """Return what a weight of fruit gives, L/kg, in fluid ounces of this gallon per pound."""
        if self.show == "metric":
            return litres_per_kg
        ounces_per_gallon = 128 if self.show == "us" else 160
        return litres_per_kg / self.gallon_l * ounces_per_gallon * KG_PER_LB

    def temperature_number(self, temperature_c: float) -> float:
        """Return a temperature in the unit this logbook shows."""
        return temperature_c * 9 / 5 + 32 if self.show == "us" else temperature_c

    def volume(self, volume_l: float | None) -> str:
        """Write a volume, e.g. ``3.75 L`` or ``0.82 imp gal``."""
        return _written(volume_l, self.volume_number, 2, f" {self.volume_unit}")

    def load(self, load_kg_l: float | None) -> str:
        """Write a fruit load, e.g. ``0.33 kg/L`` or ``3.3 lb/imp gal``."""
        return _written(
            load_kg_l, self.load_number, 2 if self.show == "metric" else 1, f" {self.load_unit}"
        )

    def mass(self, mass_kg: float | None) -> str:
        """Write a weight, e.g. ``1.50 kg``, ``850 g`` or ``3 lb 5 oz``."""
        if mass_kg is None:
            return NOT_KNOWN
        if self.show == "metric":
            return f"{mass_kg:.2f} kg" if mass_kg >= 1 else f"{mass_kg * 1000:.0f} g"
        ounces = round(mass_kg / KG_PER_LB * 16)
        pounds, ounces = divmod(ounces, 16)
        parts = [f"{pounds} lb"] * bool(pounds) + [f"{ounces} oz"] * bool(ounces or not pounds)
        return " ".join(parts)

    def temperature(self, temperature_c: float | None) -> str:
        """Write a temperature, ``18 °C`` or ``64 °F``."""
        return _written(temperature_c, self.temperature_number, 0, f" {self.temperature_unit}")

    def told(self, text: str) -> str:
        """Write the fruit loads and temperatures inside a sentence in the logbook's units.

        Parameters
        ----------
        text : str
            With loads in kg/L and temperatures in °C, such as ``per 0.1 kg/L more``.
        """
        if self.show == "metric":
            return text
        text = _LOAD.sub(lambda found: self.load(float(found[1])), text)
        return _WARMTH.sub(lambda found: self.temperature(float(found[1])), text)

    def money(self, amount: float | None) -> str:
        """Write a sum of money in the logbook's currency."""
        return NOT_KNOWN if amount is None else f"{self.currency} {amount:.2f}".strip()


def gravity(value: float | None) -> str:
    """Write a specific gravity with the three decimals a hydrometer shows."""
    return _written(value, float, 3, "")


def percent(share: float | None) -> str:
    """Write a share 0–1 as a whole percentage."""
    return _written(share, lambda x: 100 * x, 0, " %")


def alcohol(abv: float | None) -> str:
    """Write a strength in % by volume; a tenth is already more than any formula knows."""
    return _written(abv, float, 1, " % vol")


def number(value: float | None, decimals: int = 1, unit: str = "") -> str:
    """Write a plain number, or a dash where it is not known."""
    return _written(value, float, decimals, unit)


def _written(value, convert, decimals: int, unit: str) -> str:  # type: ignore[no-untyped-def]
    if value is None or value != value:
        return NOT_KNOWN
    text = f"{convert(value):.{decimals}f}"
    # "-0.00" says no more than "0.00" and reads like a fault.
    return (text.lstrip("-") if float(text) == 0 else text) + unit
