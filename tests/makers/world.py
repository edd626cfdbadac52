"""One maker's world: how the fruits, yeasts and tasters of this maker really are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from makers.catalogue import SECONDARY, TASTERS, YEASTS, FruitKind, read_catalogue
from makers.nature import EVEN, EVERYDAY, Nature

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

STYLES = ("lb oz", "lb", "kg", "g")


@dataclass
class Fruits:
    """True traits, one entry per fruit of this maker; the last row stands for 'no second fruit'."""

    kinds: list[FruitKind]
    popularity: Floats
    juice_l_kg: Floats
    hold_l_kg: Floats
    half_days: Floats
    sugar_g_kg: Floats
    acid_g_kg: Floats
    starch_g_kg: Floats
    nitrogen_mg_kg: Floats
    extract_g_kg: Floats
    tannin: Floats
    merit: Floats

    @property
    def names(self) -> list[str]:
        return [kind.name for kind in self.kinds]

    def index(self, name: str) -> int:
        return self.names.index(name)


@dataclass
class Yeasts:
    """True traits, one entry per yeast."""

    names: list[str]
    popularity: Floats
    tolerance: Floats
    residue: Floats
    demand_mg_g: Floats
    yield_ml_g: Floats
    merit: Floats


@dataclass
class Tasters:
    """How each taster uses the score sheet."""

    names: list[str]
    severity: Floats
    scale: Floats
    harsh_offset: Floats
    harsh_scale: Floats
    noise: Floats


@dataclass
class Habits:
    """How this maker works and writes."""

    imperial: bool
    made: Floats
    styles: Floats
    spoons: float
    litres: float
    fahrenheit: bool
    calibrated_at_c: float
    topping: float
    rackings: Floats
    taste_days: float
    sample_l: float
    pressing: Floats | None = None  # how often drained, squeezed, pressed; None: as each plan says


@dataclass
class World:
    """Everything that is true of one maker and not written down."""

    fruits: Fruits
    yeasts: Yeasts
    tasters: Tasters
    habits: Habits
    nature: Nature = EVEN

    def fruit_frame(self) -> pl.DataFrame:
        """Return one row per fruit with its true traits."""
        fruits, last = self.fruits, -1
        columns = {
            name: getattr(fruits, name)[:last]
            for name in (
                "juice_l_kg", "hold_l_kg", "half_days", "sugar_g_kg", "acid_g_kg", "starch_g_kg",
                "nitrogen_mg_kg", "tannin", "merit",
            )
        }  # fmt: skip
        return pl.DataFrame({"fruit": fruits.names, **columns})

    def yeast_frame(self) -> pl.DataFrame:
        """Return one row per yeast with its true traits."""
        yeasts = self.yeasts
        return pl.DataFrame(
            {
                "yeast": yeasts.names,
                "tolerance": yeasts.tolerance,
                "residue": yeasts.residue,
                "demand_mg_g": yeasts.demand_mg_g,
            }
        )

    def taster_frame(self) -> pl.DataFrame:
        """Return one row per taster with severity and use of the scale."""
        tasters = self.tasters
        return pl.DataFrame(
            {
                "taster": tasters.names,
                "severity": tasters.severity,
                "scale": tasters.scale,
                "harsh_offset": tasters.harsh_offset,
                "harsh_scale": tasters.harsh_scale,
            }
        )


def _around(rng: np.random.Generator, values: Floats, spread: float) -> Floats:
    return values * np.exp(rng.normal(0.0, spread, len(values)))


def draw_fruits(
    rng: np.random.Generator,
    number: int,
    names: list[str] | None = None,
    nature: Nature = EVEN,
) -> Fruits:
    """Draw this maker's fruits: each differs from the catalogue in its own way."""
    catalogue = read_catalogue()
    if names is None:
        first = [name for name in catalogue if name not in SECONDARY]
        names = [str(name) for name in rng.choice(first, min(number, len(first)), replace=False)]
        names += [name for name in SECONDARY if name not in names]
    kinds = [catalogue[name] for name in names]
    ranks = rng.permutation(len(kinds)) + 1.0
    secondary = np.array([kind.name in {"raisin", "sultana"} for kind in kinds])
    popularity = np.where(secondary, 0.0, ranks**-1.0)
    return _true_fruits(rng, kinds, popularity / popularity.sum(), nature)


def _true_fruits(
    rng: np.random.Generator, kinds: list[FruitKind], popularity: Floats, nature: Nature
) -> Fruits:
    def trait(name: str) -> Floats:
        return np.array([float(getattr(kind, name)) for kind in kinds] + [0.0])

    none = np.append(np.ones(len(kinds)), 0.0)
    classes = trait("tannin_class")
    return Fruits(
        kinds=kinds,
        popularity=popularity,
        juice_l_kg=np.minimum(_around(rng, trait("juice_l_kg"), 0.05), 0.93),
        hold_l_kg=_around(rng, nature.held(trait("hold_l_kg")), nature.hold_spread),
        half_days=_around(rng, trait("half_days"), nature.pace_spread) + (1.0 - none),
        sugar_g_kg=_around(rng, trait("sugar_g_kg"), nature.sugar_spread),
        acid_g_kg=_around(rng, trait("acid_g_kg"), 0.10),
        starch_g_kg=_around(rng, trait("starch_g_kg"), 0.15),
        nitrogen_mg_kg=none * rng.gamma(5.0, 55.0, len(none)),
        extract_g_kg=none * rng.uniform(8.0, 20.0, len(none)),
        tannin=_around(rng, 0.42 * classes**1.25 + 0.06 * none, 0.22),
        merit=none * rng.normal(0.0, 1.25, len(none)),
    )


def draw_yeasts(rng: np.random.Generator, number: int) -> Yeasts:
    """Draw this maker's yeasts; their tolerances are spread so that some stop early."""
    spread = np.linspace(-2.0, 2.0, number)[rng.permutation(number)]
    popularity = rng.dirichlet(np.full(number, 2.5))
    return Yeasts(
        names=[str(name) for name in rng.permutation(YEASTS)[:number]],
        popularity=popularity,
        tolerance=14.3 + spread + rng.normal(0.0, 0.35, number),
        residue=rng.beta(2.0, 110.0, number),
        demand_mg_g=rng.uniform(0.55, 1.05, number),
        yield_ml_g=rng.normal(0.602, 0.004, number),
        merit=rng.normal(0.0, 0.35, number),
    )


def draw_tasters(rng: np.random.Generator, number: int) -> Tasters:
    """Draw the tasters: severe or mild, wide or narrow users of the scale."""
    return Tasters(
        names=list(TASTERS[:number]),
        severity=rng.normal(0.0, 1.2, number),
        scale=np.exp(rng.normal(0.0, 0.16, number)),
        harsh_offset=rng.normal(0.0, 0.28, number),
        harsh_scale=np.exp(rng.normal(0.0, 0.12, number)),
        noise=rng.uniform(0.7, 1.2, number),
    )


def draw_habits(rng: np.random.Generator) -> Habits:
    """Draw how the maker measures, writes, racks and tops up."""
    imperial = bool(rng.random() < 0.6)
    return Habits(
        imperial=imperial,
        made=rng.dirichlet([3.0, 3.0, 2.0]),
        styles=rng.dirichlet([1.6, 1.6, 1.2, 0.5]),
        spoons=float(rng.uniform(0.1, 0.7)),
        litres=float(rng.uniform(0.2, 0.9)),
        fahrenheit=bool(rng.random() < (0.25 if imperial else 0.75)),
        calibrated_at_c=20.0 if rng.random() < 0.7 else 15.56,
        topping=float(rng.uniform(0.0, 0.35)),
        rackings=rng.dirichlet([1.5, 4.0, 1.0]),
        taste_days=float(rng.uniform(200.0, 330.0)),
        sample_l=float(rng.uniform(0.0, 0.03)),
    )


def draw_pressing(rng: np.random.Generator) -> Floats:
    """Draw how the maker presses: mostly one way, for there is one press or none in the house."""
    usual = int(rng.choice(3, p=[0.4, 0.4, 0.2]))
    shares = np.array([0.04, 0.04, 0.02])
    shares[usual] += 0.9
    return shares


def draw_world(
    rng: np.random.Generator, fruits: int, yeasts: int, tasters: int, nature: Nature = EVERYDAY
) -> World:
    """Draw a whole maker."""
    [aside] = rng.spawn(1)
    world = World(
        fruits=draw_fruits(rng, fruits, nature=nature),
        yeasts=draw_yeasts(rng, yeasts),
        tasters=draw_tasters(rng, tasters),
        habits=draw_habits(rng),
        nature=nature,
    )
    world.habits.pressing = draw_pressing(aside)
    return world
