"""What a must ferments to, as a function of a few numbers per must: the bend, in formulas only.

Alcohol is the smaller of what the sugar allows and what the yeast stands, less what a shortage of
nitrogen costs it; the corner between the two is rounded. Gravity follows from alcohol, sugar left
and the rest of the extract.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.polynomial import Polynomial
from scipy.special import expit

from pipeline.enology.ethanol import relative_density_from_alcohol
from pipeline.enology.sucrose import gravity_from_sugar

SUGAR_PER_PERCENT = 16.6  # [g/L hexose per % vol] between Balling (16.3 to 16.9) and OIV (16.83)
HEXOSE_PER_SUCROSE = 1.0526  # [g/g] water taken up on inversion, 360.31 / 342.30
CORNER = 0.4  # [% vol] how rounded the bend is; no source, learnt
NITROGEN_CORNER = 0.12  # the same of the nitrogen shortfall, as a share of the demand
DEMAND = 0.75  # [mg nitrogen per g sugar] from memory, soft; every yeast's own is learnt
SUGAR_L_PER_G = 0.000618  # [L/g] room of dissolved sugar, as enology.must
COST = 3.0  # [% vol] that a complete lack of nitrogen costs; no source, learnt
MOST_SUGAR = 900.0  # [g/L]
MOST_ALCOHOL = 25.0  # [% vol]
STEP = 1e-4  # relative step of the numerical slopes


@dataclass(frozen=True)
class Supply:
    """What is known of each must, per litre of target; arrays (n,)."""

    poured: np.ndarray  # [L] water, juice and dissolved sugar
    fruit: np.ndarray  # [kg]
    juice: np.ndarray  # [L] that the fruit is expected to add to what shares the sugar
    dried_off: np.ndarray  # [L] water that an open bucket loses; the sugar stays
    late_sugar: np.ndarray  # [g] sucrose fed after the first reading
    early_sugar: np.ndarray  # [g] sucrose
    juice_sugar: np.ndarray  # [g]
    fruit_sugar: np.ndarray  # [g] by the reference table, starch turned to sugar included
    nitrogen: np.ndarray  # [mg] added
    kept: np.ndarray  # share of the wine read last that is not topping up
    topping: np.ndarray  # gravity of what was topped up


@dataclass(frozen=True)
class Scalars:
    """The numbers per must that the models' coefficients move; arrays (n,)."""

    more_sugar: np.ndarray  # [g] beyond what the tables expect of the fruit
    litres: np.ndarray  # log of the fruit's juice ÷ what is expected
    early: np.ndarray  # logit of the share of the fruit's sugar in the first reading
    early_juice: np.ndarray  # by how much more of its juice is out by then, in logits
    more_nitrogen: np.ndarray  # [mg] from the fruit
    demand: np.ndarray  # log of the yeast's demand ÷ the usual
    tolerance: np.ndarray  # [% vol]
    cost: np.ndarray  # log of the cost of a shortfall ÷ the usual
    corner: np.ndarray  # log of how rounded the bend is ÷ the usual
    gain: np.ndarray  # log of alcohol per gram of sugar ÷ the convention
    residue: np.ndarray  # [g/L] sugar that the yeast leaves in any case
    extract: np.ndarray  # [g/L] dissolved and no sugar


@dataclass(frozen=True)
class State:
    """What comes of it; arrays (n,)."""

    original: np.ndarray  # first reading
    final: np.ndarray  # finished gravity, as read
    undiluted: np.ndarray  # finished gravity without topping up
    equivalent: np.ndarray  # original gravity had all sugar been in from the start
    alcohol: np.ndarray  # [% vol] without topping up
    residual: np.ndarray  # [g/L] sugar left
    shortfall: np.ndarray  # of nitrogen, as a share of the demand
    needed: np.ndarray  # [mg/L] nitrogen
    potential: np.ndarray  # [% vol] that the sugar allows
    excess: np.ndarray  # [% vol] of it that the yeast does not stand


@np.errstate(invalid="ignore")  # what is not known is NaN and passes through
def ferment(supply: Supply, at: Scalars) -> State:
    """Return what these musts ferment to."""
    juice = supply.juice * np.exp(np.clip(at.litres, -2, 2))
    litres = np.maximum(supply.poured + juice - supply.dried_off, 0.2)
    of_fruit = supply.fruit_sugar + at.more_sugar
    sucrose = (supply.early_sugar + supply.late_sugar) / litres
    hexose = HEXOSE_PER_SUCROSE * sucrose + (supply.juice_sugar + of_fruit) / litres
    hexose = np.maximum(hexose, 1.0)
    needed = DEMAND * np.exp(at.demand) * hexose
    supplied = (supply.nitrogen + at.more_nitrogen) / litres
    shortfall = _rounded(1.0 - supplied / needed, NITROGEN_CORNER)
    stands = np.maximum(at.tolerance - COST * np.exp(at.cost) * shortfall, 3.0)
    per_gram = np.exp(at.gain) / SUGAR_PER_PERCENT
    potential = np.maximum(hexose - at.residue, 0.5) * per_gram
    alcohol = potential - _rounded(potential - stands, CORNER * np.exp(np.clip(at.corner, -2, 2)))
    alcohol = np.clip(alcohol, 0.0, MOST_ALCOHOL)
    residual = np.maximum(hexose - alcohol / per_gram, 0.0)
    undiluted = _wine_gravity(alcohol, residual + at.extract)
    # Juice that is not out yet dilutes nothing either.
    early = expit(at.early)
    poured = supply.poured - SUGAR_L_PER_G * supply.late_sugar
    first_litres = poured + juice * expit(at.early + at.early_juice)
    first = supply.early_sugar + supply.juice_sugar + early * of_fruit
    solids = early * at.extract * supply.fruit
    return State(
        original=_must_gravity(first / np.maximum(first_litres, 0.2) + 0.5 * solids),
        final=supply.kept * undiluted + (1 - supply.kept) * supply.topping,
        undiluted=undiluted,
        equivalent=_must_gravity(sucrose + (supply.juice_sugar + of_fruit) / litres + solids),
        alcohol=alcohol,
        residual=residual,
        shortfall=shortfall,
        needed=needed,
        potential=potential,
        excess=potential - alcohol,
    )


def slopes(supply: Supply, at: Scalars, names: tuple[str, ...]) -> dict[str, dict[str, np.ndarray]]:
    """Return the slope of each named outcome along each scalar, by central differences."""
    found: dict[str, dict[str, np.ndarray]] = {name: {} for name in names}
    for field in fields(Scalars):
        values = getattr(at, field.name)
        step = STEP * np.maximum(np.abs(values), 1.0)
        above = ferment(supply, replace(at, **{field.name: values + step}))
        below = ferment(supply, replace(at, **{field.name: values - step}))
        for name in names:
            rise = getattr(above, name) - getattr(below, name)
            found[name][field.name] = rise / (2 * step)
    return found


def _rounded(values: np.ndarray, corner: np.ndarray | float) -> np.ndarray:
    """Return max(values, 0) with its corner rounded."""
    return corner * np.logaddexp(0.0, values / corner)


def _must_gravity(sugar_g_l: np.ndarray) -> np.ndarray:
    return _GRAVITY_OF_SUGAR(np.clip(sugar_g_l, 0.0, MOST_SUGAR))


def _wine_gravity(alcohol: np.ndarray, extract_g_l: np.ndarray) -> np.ndarray:
    """Return the gravity of wine by Tabarié's relation, as enology.tabarie has it."""
    return _GRAVITY_OF_ALCOHOL(alcohol) + _must_gravity(extract_g_l) - 1.0


def _smooth(function: Callable[..., Any], highest: float) -> Polynomial:
    """Return a polynomial through a formula that is asked for thousands of times (to 5e-6)."""
    grid = np.linspace(0.0, highest, 400)
    return Polynomial.fit(grid, np.asarray(function(grid)), 9)


_GRAVITY_OF_SUGAR = _smooth(gravity_from_sugar, MOST_SUGAR)
_GRAVITY_OF_ALCOHOL = _smooth(relative_density_from_alcohol, MOST_ALCOHOL)
