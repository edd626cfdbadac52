"""What is lost on the way into the bottle, as columns of the volume model's design."""

from __future__ import annotations

import numpy as np

from pipeline.learning.mixed.columns import Columns, Prior
from pipeline.learning.musts import Musts
from pipeline.learning.volume.stages import Stages

# Expected sizes: common practice, no source; the logbook overrules them as it grows.
LOSSES = Prior(0.02, 0.6)  # [share] how far losses are from the usual
ALLOWANCES = Prior(0.012)  # [share] by which marks, evaporation and reference volumes may be off


def loss_columns(typical: dict[str, float], musts: Musts, stages: Stages) -> Columns:
    """Return the columns of what vessels, sediment and bottling keep, and what marks are worth."""
    columns = Columns(stages.must.size)
    small = (4.5 / musts["target_l"])[stages.must] - 1.0
    load = np.asarray(musts.load[stages.must].sum(axis=1)).ravel()
    more = (load - 0.4) / 0.2
    racked = np.minimum(stages.rackings, 1.0)
    days = musts.filled("contact_days", typical)[stages.must]
    sugar = (musts.filled("sugar_kg", typical) / musts["target_l"])[stages.must]
    to_mark = musts["is_to_mark"][stages.must]
    for name, values in {
        "first racking": racked,
        "rackings": stages.rackings,
        "bottling": stages.bottled,
        "rackings, small vessel": stages.rackings * small,
        "bottling, small vessel": stages.bottled * small,
        "first racking × load": racked * more,
        "rackings × load": stages.rackings * more,
        "topped up": stages.topped,
        "chilled": stages.chilled,
    }.items():
        columns.line(name, values, LOSSES, "losses")
    # Held small: with loads much alike they could pass for what the fruit itself holds back.
    for name, values in {
        "straining": np.ones(load.size),
        "evaporation": days / 10.0,
        "sugar": (sugar - 0.25) / 0.2,
        "to mark": to_mark,
        "to mark × load": to_mark * load / 0.4,
        "poured": musts["poured"][stages.must] - 1.0,
    }.items():
        columns.line(name, values, ALLOWANCES, "allowances")
    return columns
