"""Grams and litres of a written amount, as a span: the gallon and the spoon leave some room."""

from typing import NamedTuple

from pipeline.logbook.numerals import tidy
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import read_quantity
from pipeline.logbook.quantity_cells import SPOON_ERROR, expectation
from pipeline.reference import additive_of, additives


class Span(NamedTuple):
    """The least and the most an amount can be."""

    low: float
    high: float

    def times(self, factor: float) -> "Span":
        """Return the span scaled."""
        return Span(self.low * factor, self.high * factor)

    def both(self, other: "Span") -> "Span":
        """Return the span of the product."""
        return Span(self.low * other.low, self.high * other.high)

    def over(self, other: "Span") -> "Span":
        """Return the span of the quotient."""
        return Span(self.low / other.high, self.high / other.low)

    def text(self, digits: int = 0) -> str:
        """Return the span in words: its middle, and its ends if they differ."""
        middle = f"about {(self.low + self.high) / 2:.{digits}f}"
        if self.high - self.low < 0.01 * self.high:
            return middle
        return f"{middle} ({self.low:.{digits}f}–{self.high:.{digits}f})"


def volume_span(text: str) -> Span | None:
    """Return the litres of a volume, under either gallon."""
    found = read_quantity(tidy(text), expectation("amount", may_be_mark=True)) if text else None
    if found is None or isinstance(found, Fault) or found.dimension != "volume" or found.us <= 0:
        return None
    return Span(min(found.us, found.imperial), max(found.us, found.imperial))


def dose_span(text: str, ingredient: str, kind: str) -> Span | None:
    """Return the grams of a solid: weighed, or by the spoon at its bulk density ±20 %."""
    found = read_quantity(tidy(text), expectation("amount")) if text else None
    if found is None or isinstance(found, Fault) or found.us <= 0:
        return None
    if found.dimension == "mass":
        return Span(found.us * 1e3, found.us * 1e3)
    density = _density(ingredient, kind)
    if found.dimension != "volume" or not found.is_cup or density is None:
        return None
    middle = (found.us * density * 1e3, found.imperial * density * 1e3)
    return Span(min(middle) * (1 - SPOON_ERROR), max(middle) * (1 + SPOON_ERROR))


def _density(ingredient: str, kind: str) -> float | None:
    """Return the bulk density of a powder [kg/L]; both sulphite salts weigh the same."""
    name = "potassium metabisulphite" if kind == "sulphite" else ingredient
    rows = additives().filter(additives()["additive"] == (additive_of(name) or ""))
    if rows.is_empty() or rows["bulk_density_g_per_mL"][0] is None:
        return None
    return float(rows["bulk_density_g_per_mL"][0])
