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
CANDIDATES = 60
MARGIN = 0.3


def _pair(flag: Bools) -> Bools:
    return np.repeat(flag[:, None], 2, axis=1)


def _with_cause(plans: Plans, cause: str) -> Plans:
    """Return the plans with the named factor pushed far out."""
    wine_l, n = plans.target_l, len(plans)
    pushed: dict[str, dict[str, np.ndarray]] = {
        "skins": {"is_skins_on": np.ones((n, 2), dtype=bool)},
        "contact_days": {"contact_days": np.full(n, 24.0)},
        "tannin_added": {"tannin_g": np.round(1.0 * wine_l)},
        "acidity": {"acid_g": plans.acid_g + np.round(5.0 * wine_l)},
        "alcohol": {"sugar_kg": plans.sugar_kg * 1.45},
        "must_temperature": {"must_temperature_c": np.full(n, 31.0)},
        "nitrogen_shortfall": {"nutrient_g": np.zeros(n)},
        "age": {"taste_day": np.full(n, 75.0)},
        "sulphite": {"sulphite_g": np.round(2 * wine_l) * TABLET_G},
    }
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
    run = brew(plans, world, rng)
    mild = np.abs(harshness(run.drivers) - np.median(harshness(run.drivers)))
    rows = np.flatnonzero(is_open)[np.argsort(mild[is_open])][:CANDIDATES]
    best_row, best_margin, best = -1, MARGIN, plans
    for row in rows:
        tried = plans.copy()
        one = _decoys(_with_cause(plans.take(np.array([row])), cause), rng)
        for name, value in vars(one).items():
            getattr(tried, name)[row] = value[0]
        margin = _margin(tried, cause, world, rng, int(row))
        if margin > best_margin:
            best_row, best_margin, best = int(row), margin, tried
    if best_row < 0:
        raise ValueError(f"{cause} cannot be made the clear cause in any batch of this maker.")
    for name, value in vars(best).items():
        getattr(plans, name)[best_row] = value[best_row]
    return best_row


def _margin(plans: Plans, cause: str, world: World, rng: np.random.Generator, row: int) -> float:
    owed = contributions(brew(plans, world, rng).drivers)
    others = max(float(values[row]) for name, values in owed.items() if name != cause)
    return float(owed[cause][row]) - max(others, 0.0)


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
    return _set(plans, other, _read(plans, one))
