"""An answer with its interval, and a reason to doubt it, in the shapes that commands print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scipy import special

Code = Literal[
    "few_batches",
    "outside_experience",
    "confounded",
    "no_variation",
    "missing_input",
    "default_value",
]
LEVEL = 0.9  # share of new batches that an interval is meant to hold


@dataclass(frozen=True)
class Estimate:
    """A value, the interval about it and how many batches it rests on.

    `low` and `high` bound what a new batch will show, or, where the key it stands under says
    so, the mean.
    """

    value: float
    low: float
    high: float
    unit: str
    batches: int
    level: float = LEVEL

    def as_dict(self) -> dict[str, float | int | str]:
        """Return the estimate as commands print it."""
        return {
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "level": self.level,
            "unit": self.unit,
            "batches": self.batches,
        }


@dataclass(frozen=True)
class Doubt:
    """A reason to doubt an answer: a fixed code and a sentence for the maker."""

    code: Code
    text: str

    def as_dict(self) -> dict[str, str]:
        """Return the doubt as commands print it."""
        return {"code": self.code, "text": self.text}


def interval_factor(degrees: float, level: float = LEVEL) -> float:
    """Half-width of a central interval in standard deviations, by Student's t.

    Parameters
    ----------
    degrees : float
        Degrees of freedom the standard deviation rests on; anything under 3 counts as 3, so
        that an interval from almost nothing stays finite.
    level : float
        Share of the distribution inside the interval.

    Examples
    --------
    >>> round(interval_factor(1e9), 3)
    1.645
    """
    return float(special.stdtrit(max(degrees, 3.0), 0.5 + level / 2))


def estimate_from(
    value: float,
    sd: float,
    unit: str,
    batches: int,
    degrees: float = math.inf,
    bounds: tuple[float, float] = (-math.inf, math.inf),
) -> Estimate | None:
    """Return value ± the interval that its standard deviation gives, or None if unknown.

    Parameters
    ----------
    value, sd : float
        The answer and its standard deviation, in `unit`. NaN means unknown.
    degrees : float
        Degrees of freedom the standard deviation rests on.
    bounds : (float, float)
        Physical limits, such as no volume below nought; value and interval are kept inside.
    """
    if not (math.isfinite(value) and math.isfinite(sd)):
        return None
    half = interval_factor(min(degrees, 1e6)) * sd
    low, high = bounds
    return Estimate(
        value=float(min(max(value, low), high)),
        low=float(min(max(value - half, low), high)),
        high=float(min(max(value + half, low), high)),
        unit=unit,
        batches=int(batches),
    )
