"""What is lost and added on the way to the bottle: sediment, samples, topping up, the last inch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from makers.ferment import SHRINKS_L_KG, Wine, wine_gravity
from makers.must import Must
from makers.nature import Nature
from makers.plans import Plans
from makers.world import Floats, World

TOP_WINE = (12.0, 24.0, 6.0)


@dataclass
class Bottled:
    """Volumes at each step and the wine as it is drunk."""

    strained_l: Floats
    racked_l: Floats
    topped_l: Floats
    bottled_l: Floats
    lost_l: Floats
    alcohol: Floats
    residual_g_l: Floats
    gravity: Floats
    acid_g_l: Floats
    share_left: Floats


def _losses(plans: Plans, load: Floats, nature: Nature, rng: np.random.Generator) -> Floats:
    """Return the share lost at each of three rackings and at bottling, (n, 4)."""
    n = len(plans)
    always, by_load, crushed = nature.first_loss
    plain, chilled, third = nature.later_loss
    first = always + by_load * load + crushed * (plans.form[:, 0] >= 2)
    second = np.where(plans.is_chilled, chilled, plain)
    usual = np.stack([first, second, np.full(n, third), np.full(n, nature.last_loss)], axis=1)
    done = np.arange(3)[None, :] < plans.rackings[:, None]
    usual[:, :3] *= done
    return usual * np.exp(nature.loss_noise * rng.normal(size=(n, 4)))


def age(plans: Plans, must: Must, wine: Wine, world: World, rng: np.random.Generator) -> Bottled:
    """Return every batch in bottle."""
    n = len(plans)
    load = must.fruit_kg.sum(axis=1) / plans.target_l
    losses = _losses(plans, load, world.nature, rng)
    full = (
        wine.volume_l
        + SHRINKS_L_KG * (1 - wine.done_at_strain) * wine.hexose_g_l * must.strained_l / 1000
    )
    fixed = world.nature.dregs * np.minimum(plans.target_l, 6.0)
    spilt = np.where(rng.random(n) < 0.01, 0.07, 0.0)
    volume = wine.volume_l - 4 * world.habits.sample_l
    lost = np.zeros(n)
    racked, topped, share = np.empty((n, 3)), np.zeros(n), np.ones(n)
    for k in range(3):
        gone = (
            losses[:, k] * plans.target_l
            + np.where(k < plans.rackings, fixed, 0.0)
            + spilt * (k == 0) * volume
        )
        gone = np.minimum(gone, 0.4 * volume)
        volume, lost = volume - gone, lost + gone
        racked[:, k] = volume
        if k == 0:
            missing = np.maximum(plans.target_l - volume, 0.0)
            topped = np.where(missing > 0.15, plans.top_share * missing, 0.0)
            share = volume / (volume + topped)
            volume = volume + topped
    last = losses[:, 3] * plans.target_l + fixed
    mixed = _mix(plans, wine, must, share)
    return Bottled(
        strained_l=full,
        racked_l=racked,
        topped_l=topped,
        bottled_l=volume - last,
        lost_l=lost + last + 4 * world.habits.sample_l,
        share_left=share,
        **mixed,
    )


def _mix(plans: Plans, wine: Wine, must: Must, share: Floats) -> dict[str, Floats]:
    other = np.where(plans.is_topped_with_wine, 1.0, 0.0) * (1 - share)
    alcohol = wine.alcohol * share + TOP_WINE[0] * other
    residual = wine.residual_g_l * share + 3.0 * other
    extract = wine.extract_g_l * share + (TOP_WINE[1] - 3.0) * other
    # Where nothing was added the wine keeps its own gravity, noise included.
    drift = wine.gravity - wine_gravity(wine.alcohol, wine.extract_g_l + 0.95 * wine.residual_g_l)
    acid = must.acid_g / must.strained_l
    return {
        "alcohol": alcohol,
        "residual_g_l": residual,
        "gravity": wine_gravity(alcohol, extract + 0.95 * residual) + drift,
        "acid_g_l": acid * share + TOP_WINE[2] * other,
    }
