"""How fruit, yeast and vessel behave in a simulated world, the same for all its makers.

Two worlds with different laws: a model that only fits the one has learnt the simulator, not wine.
Neither has the pipeline's own formulas.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def hill(ratio: Floats) -> Floats:
    """Return the share given up after so many half times: half at one, and a long tail."""
    steep = ratio**1.3
    given: Floats = steep / (1.0 + steep)
    return given


def diffusing(ratio: Floats) -> Floats:
    """Return the same as out of a slab: with the root of time at first, then nearly all."""
    given: Floats = np.tanh(0.5493 * np.sqrt(ratio) * ratio**0.25)
    return given


def blended(potential: Floats, tolerance: Floats) -> Floats:
    """Return the smaller of the two, a little less where they are near each other."""
    low = np.minimum(potential, tolerance)
    ratio = low / np.maximum(potential, tolerance)
    smaller: Floats = low * (1.0 + ratio**22.0) ** (-1.0 / 22.0)
    return smaller


def flagging(potential: Floats, tolerance: Floats) -> Floats:
    """Return the same of a yeast that slows down long before it stops."""
    gap = (potential - tolerance) / 0.7
    smaller: Floats = tolerance - 0.7 * np.logaddexp(0.0, -gap)
    return smaller


def sigmoid_shortage(ratio: Floats) -> Floats:
    """Return how short of nitrogen the yeast is, 0 to 1, by a logistic curve in log supply."""
    short: Floats = 1.0 / (1.0 + (ratio / 0.6) ** 4.5)
    return short


def straight_shortage(ratio: Floats) -> Floats:
    """Return the same as what is missing of the demand."""
    short: Floats = np.clip(0.9 - ratio, 0.0, 1.0)
    return short


def _array(*values: float) -> Callable[[], Floats]:
    return lambda: np.array(values)


@dataclass(frozen=True)
class Nature:
    """The laws of one world.

    Arrays are by form (whole, sliced, crushed, pureed), extraction (cold, hot, steamed, simmered)
    or pressing (drained, squeezed, pressed). Spreads are standard deviations of logarithms;
    `*_noise` is between two batches of one must, `*_spread` between a maker's fruits.
    """

    given: Callable[[Floats], Floats] = hill
    form_pace: Floats = field(default_factory=_array(0.55, 1.0, 1.9, 2.6))
    heat_pace: Floats = field(default_factory=_array(1.0, 1.6, 2.0, 2.3))
    frozen_pace: float = 1.9
    enzyme_pace: float = 1.5
    form_hold: Floats = field(default_factory=_array(1.0, 1.0, 1.08, 1.25))
    press_hold: Floats = field(default_factory=_array(1.18, 0.82, 0.55))
    frozen_hold: float = 0.92
    enzyme_hold: float = 0.74
    heat_hold: float = 1.15  # without the enzyme
    hold_noise: float = 0.06
    evaporated_a_day: float = 0.0015
    first_loss: tuple[float, float, float] = (0.022, 0.055, 0.012)  # always, × load, if crushed
    later_loss: tuple[float, float, float] = (0.018, 0.028, 0.012)  # second, chilled, third
    last_loss: float = 0.022
    dregs: float = 0.012  # [L/L] of small vessels, at every racking and at bottling
    loss_noise: float = 0.22
    smaller: Callable[[Floats, Floats], Floats] = blended
    shortage: Callable[[Floats], Floats] = sigmoid_shortage
    shortage_cost: float = 2.4
    alcohol_noise: float = 0.014
    sugar_noise: float = 0.06
    hold_spread: float = 0.22
    pace_spread: float = 0.20
    sugar_spread: float = 0.10
    class_hold: float = 1.0  # how much of what sets one kind of fruit apart from another is so

    def held(self, usual: Floats) -> Floats:
        """Return what kinds of fruit hold back in this world: all alike if `class_hold` is 0."""
        kinds = usual[usual > 0]
        middle = float(np.exp(np.log(kinds).mean()))
        drawn = middle * (np.maximum(usual, 1e-9) / middle) ** self.class_hold
        return np.where(usual > 0, drawn, 0.0)


# As the demo logbook was made: batches of one must are nearly alike.
EVEN = Nature()
# A maker leaves now more, now less on the lees and in the pulp: two batches of one recipe differ by
# some 2 % of the target when bottled. So uneven that the mean of all batches errs about thirteen
# times as much as the true expectation does, which is the yardstick the models are asked to meet.
EVERYDAY = Nature(hold_noise=0.07, loss_noise=0.27)
# Other curves, other treatments, and fruits that do not hold back as their kind would suggest.
ELSEWHERE = Nature(
    given=diffusing,
    form_pace=np.array([0.4, 1.0, 1.5, 1.7]),
    heat_pace=np.array([1.0, 1.2, 2.6, 3.0]),
    frozen_pace=1.4,
    enzyme_pace=1.9,
    form_hold=np.array([0.9, 1.0, 1.15, 1.1]),
    press_hold=np.array([1.3, 0.95, 0.7]),
    frozen_hold=0.8,
    enzyme_hold=0.85,
    heat_hold=0.95,
    hold_noise=0.06,
    evaporated_a_day=0.0004,
    first_loss=(0.040, 0.030, 0.0),
    later_loss=(0.012, 0.020, 0.016),
    last_loss=0.015,
    dregs=0.018,
    loss_noise=0.26,
    smaller=flagging,
    shortage=straight_shortage,
    shortage_cost=3.2,
    alcohol_noise=0.010,
    sugar_noise=0.08,
    hold_spread=0.30,
    pace_spread=0.35,
    sugar_spread=0.13,
    class_hold=0.4,
)
NATURES = {"even": EVEN, "everyday": EVERYDAY, "elsewhere": ELSEWHERE}
