"""What the wine tastes like: three parts of harshness, balance and score, before any taster."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from makers.world import Floats

ATTRIBUTES = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")
HARSH = ("astringency", "bitterness", "warmth")


@dataclass
class Drivers:
    """All that taste depends on, one entry per glass of wine; ``own`` is the batch's own luck."""

    fruit: Floats
    fruit_load: Floats
    skins: Floats
    contact_days: Floats
    after_yeast: Floats
    crushing: Floats
    ripeness: Floats
    tannin_added: Floats
    acidity: Floats
    alcohol: Floats
    residual_sugar: Floats
    must_temperature: Floats
    nitrogen_shortfall: Floats
    age: Floats
    sulphite: Floats
    freezing: Floats
    enzyme: Floats
    heat: Floats
    yeast: Floats
    merit: Floats
    starch: Floats
    own_harsh: Floats
    own_score: Floats

    def take(self, rows: np.ndarray) -> Drivers:
        """Return these rows."""
        return Drivers(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def changed(self, **columns: Floats) -> Drivers:
        """Return the same drivers with some replaced."""
        return replace(self, **columns)


def fruit_tannin(d: Drivers) -> Floats:
    """Return tannin drawn: class × load × skins × days, faster once there is alcohol."""
    days = 0.45 * (d.contact_days - d.after_yeast) + d.after_yeast
    drawn = 1 - np.exp(-((np.maximum(days, 0.0) / 15.0) ** 1.25))
    surface = (0.16 + 0.84 * d.skins) * (1 + 0.22 * d.crushing) * (1 + 0.3 * d.ripeness)
    return 4.4 * d.fruit * d.fruit_load * surface * drawn


def _soft(value: Floats, sharpness: float = 3.0) -> Floats:
    """Return a smooth 'only what exceeds zero'."""
    return np.logaddexp(0.0, sharpness * value) / sharpness


def latents(d: Drivers) -> dict[str, Floats]:
    """Return each attribute on an unbounded scale; 0 is the middle of the sheet."""
    tannin = fruit_tannin(d) + 3.2 * d.tannin_added
    young = np.exp(-d.age / 230.0)
    cover = np.log1p(d.residual_sugar / 10.0)
    grip = tannin**1.3 / (tannin**1.3 + 1.1)
    sharp = _soft((d.acidity - 7.0) / 2.2)
    astringency = -1.35 + 3.3 * grip + 0.55 * sharp + 1.0 * young - 0.30 * cover
    bitterness = (
        -1.6
        + 1.3 * grip
        + 0.5 * _soft((d.must_temperature - 24.0) / 2.5)
        + 1.2 * d.nitrogen_shortfall
    )
    bitterness = (
        bitterness + 0.25 * d.heat + 0.35 * d.ripeness + 0.6 * _soft((d.sulphite - 90.0) / 50.0)
    )
    bitterness = bitterness + 0.6 * young - 0.18 * cover + 0.2 * d.yeast
    warmth = -0.7 + 0.38 * (d.alcohol - 12.0) + 0.4 * _soft(d.alcohol - 14.0) + 0.8 * young
    warmth = warmth + 0.25 * _soft((d.must_temperature - 24.0) / 2.5) - 0.15 * cover + 0.15 * sharp
    return {
        "sweetness": -2.6 + 1.35 * cover - 0.18 * (d.acidity - 6.0),
        "sourness": -0.5 + 0.42 * (d.acidity - 6.0) - 0.22 * cover,
        "astringency": astringency + d.own_harsh,
        "bitterness": bitterness + d.own_harsh,
        "warmth": warmth + d.own_harsh,
        "body": -0.4 + 1.5 * np.tanh(d.fruit_load / 0.5) + 0.2 * cover + 0.08 * (d.alcohol - 12),
        "fruit": -0.6
        + 1.9 * np.tanh(d.fruit_load / 0.45)
        + 0.3 * d.merit
        - 0.5 * d.heat
        - 0.3 * (1 - young),
    }


def bounded(latent: Floats) -> Floats:
    """Return a 0–10 intensity."""
    scaled: Floats = 10.0 / (1.0 + np.exp(-latent))
    return scaled


def harshness(d: Drivers) -> Floats:
    """Return harshness as an even-handed taster without noise would give it, 0–10."""
    parts = latents(d)
    return np.mean([bounded(parts[name]) for name in HARSH], axis=0)


def score(d: Drivers) -> Floats:
    """Return the score out of 20 an even-handed taster would give."""
    rough = harshness(d)
    tannin = fruit_tannin(d) + 3.2 * d.tannin_added
    wanted = 1.2 + 0.25 * (d.acidity - 6.0) + 0.35 * tannin
    balance = np.log1p(d.residual_sugar / 5.0) - wanted
    thin = np.exp(-d.fruit_load / 0.16)
    faults = 2.2 * d.nitrogen_shortfall**1.5 + 1.0 * d.heat * 0.8 + 0.7 * np.tanh(d.starch / 6.0)
    sharp = 0.10 * (d.acidity - 6.3) ** 2
    marks = (
        15.6 + d.merit + d.yeast + 0.5 * d.freezing + 0.3 * d.enzyme - 3.0 * thin - faults - sharp
    )
    marks = marks - 0.65 * np.abs(balance) ** 1.5 - 0.55 * _soft(rough - 3.9) ** 1.35
    return np.clip(marks - 1.2 * np.exp(-d.age / 150.0) + d.own_score, 0.5, 19.5)
