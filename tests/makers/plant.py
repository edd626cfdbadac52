"""Plant what a test must find: one cause of harshness among decoys, or factors never seen apart."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from makers.brew import brew
from makers.plans import TABLET_G, Plans
from makers.recipes import write_amounts
from makers.taste import harshness
from makers.truth import contributions
from makers.world import Bools, Floats, World

CAUSES = (
    "skins", "contact_days", "tannin_added", "acidity", "alcohol", "must_temperature",
    "nitrogen_shortfall", "age", "sulphite",
)  # fmt: skip
CANDIDATES = 150
MARGIN = 0.2


def _pair(flag: Bools) -> Bools:
    return np.repeat(flag[:, None], 2, axis=1)


def _with_cause(plans: Plans, cause: str, world: World) -> Plans:
    """Return the plans with the named factor pushed far out."""
    wine_l, n = plans.target_l, len(plans)
    with_skins = np.ones((n, 2), dtype=bool)
    pushed: dict[str, dict[str, np.ndarray]] = {
        "skins": {"is_skins_on": with_skins},
        "contact_days": {
            "contact_days": np.full(n, 28.0),
            "is_skins_on": np.ones((n, 2), dtype=bool),
        },
        "tannin_added": {"tannin_g": np.round(1.0 * wine_l)},
        "acidity": {"acid_g": plans.acid_g + np.round(5.0 * wine_l)},
        "alcohol": {"sugar_kg": plans.sugar_kg * 1.6},
        "must_temperature": {"must_temperature_c": np.full(n, 31.0)},
        "nitrogen_shortfall": {"nutrient_g": np.zeros(n)},
        "age": {"taste_day": np.full(n, 45.0)},
        "sulphite": {"sulphite_g": np.round(2 * wine_l) * TABLET_G},
    }
    if cause == "alcohol":
        pushed[cause]["yeast"] = np.full(n, int(world.yeasts.tolerance.argmax()))
    return write_amounts(plans.changed(**pushed[cause]))


def _decoys(plans: Plans, rng: np.random.Generator) -> Plans:
    """Change what a maker would notice but a taster hardly: honey, press, freezer, chill."""
    n = len(plans)
    decoyed = plans.changed(
        is_frozen=_pair(rng.random(n) < 0.5),
        pressed=rng.integers(0, 3, n),
        is_chilled=rng.random(n) < 0.5,
        rackings=rng.integers(1, 4, n),
        honey_kg=np.where(rng.random(n) < 0.3, 0.227, 0.0),
        bottle_day=plans.bottle_day + rng.uniform(-20, 20, n),
    )
    return write_amounts(decoyed)


def plant_cause(
    plans: Plans, cause: str, world: World, rng: np.random.Generator, is_open: Bools
) -> int:
    """Give one batch the named cause among decoys, in place; return its row.

    The batch is the one, of many tried, in which the cause stands furthest above the next factor.

    Raises
    ------
    ValueError
        If in no batch of this maker the cause stands clearly first.
    """
    if cause not in CAUSES:
        raise ValueError(f"cause must be one of {', '.join(CAUSES)}, got {cause!r}.")
    if cause == "skins":
        _mostly_without_skins(plans, rng)
    rows = rng.permutation(np.flatnonzero(is_open))[:CANDIDATES]
    best_row, best_weight, best = -1, -np.inf, plans
    for row in rows.tolist():
        one = _decoys(_with_cause(plans.take(np.array([row])), cause, world), rng)
        tried = plans.copy()
        _put(tried, row, one)
        margin, rough = _standing(tried, cause, world, rng, row)
        if margin > MARGIN and margin + 0.4 * rough > best_weight:
            best_row, best_weight, best = row, margin + 0.4 * rough, one
    if best_row < 0:
        raise ValueError(f"{cause} cannot be made the clear cause in any batch of this maker.")
    _put(plans, best_row, best)
    return best_row


def _put(plans: Plans, row: int, one: Plans) -> None:
    for name, value in vars(one).items():
        getattr(plans, name)[row] = value[0]


def _mostly_without_skins(plans: Plans, rng: np.random.Generator) -> None:
    """Take skins out of most batches: where nearly all have them they explain no one batch."""
    plans.is_skins_on &= _pair(rng.random(len(plans)) < 0.25)


def _standing(
    plans: Plans, cause: str, world: World, rng: np.random.Generator, row: int
) -> tuple[float, float]:
    """Return by how much the cause stands above the next factor, and how harsh the wine is."""
    drivers = brew(plans, world, rng).drivers
    owed = contributions(drivers)
    others = max(float(values[row]) for name, values in owed.items() if name != cause)
    return float(owed[cause][row]) - max(others, 0.0), float(harshness(drivers)[row])


def _read(plans: Plans, factor: str) -> Bools:
    first: dict[str, Callable[[], Bools]] = {
        "skins": lambda: plans.is_skins_on[:, 0],
        "freezing": lambda: plans.is_frozen[:, 0],
        "crushing": lambda: plans.form[:, 0] >= 2,
        "ripeness": lambda: plans.ripeness[:, 0] == 0,
        "enzyme": lambda: plans.pectic_g > 0,
        "tannin_added": lambda: plans.tannin_g > 0,
        "sulphite": lambda: plans.sulphite_g > 0,
    }
    return first[factor]()


def _set(plans: Plans, factor: str, flag: Bools) -> Plans:
    def dose(usual_g_l: float, old: Floats) -> Floats:
        return np.where(flag, np.where(old > 0, old, np.round(usual_g_l * plans.target_l, 1)), 0.0)

    pairs = _pair(flag)
    ripeness = np.where(plans.ripeness == 0, 1, plans.ripeness)
    changed: dict[str, Callable[[], dict[str, np.ndarray]]] = {
        "skins": lambda: {"is_skins_on": pairs},
        "freezing": lambda: {"is_frozen": pairs},
        "crushing": lambda: {"form": np.where(pairs, 2, 1)},
        "ripeness": lambda: {"ripeness": np.where(pairs, 0, ripeness)},
        "enzyme": lambda: {"pectic_g": dose(0.35, plans.pectic_g)},
        "tannin_added": lambda: {"tannin_g": dose(0.2, plans.tannin_g)},
        "sulphite": lambda: {"sulphite_g": dose(0.1, plans.sulphite_g)},
    }
    return write_amounts(plans.changed(**changed[factor]()))


def plant_alias(plans: Plans, alias: tuple[str, str], world: World) -> Plans:
    """Make two factors never vary apart; ``fruit`` means the commonest tannic fruit."""
    one, other = alias
    if one == "fruit":
        tannic = (world.fruits.tannin > 0.5)[plans.fruit[:, 0]]
        counts = np.bincount(plans.fruit[tannic, 0], minlength=len(world.fruits.kinds) + 1)
        return _set(plans, other, plans.fruit[:, 0] == int(counts.argmax()))
    flag = _read(plans, one)
    # Of a second fruit too: where it is the heavier one, it would show them apart.
    return _set(_set(plans, one, flag), other, flag)
