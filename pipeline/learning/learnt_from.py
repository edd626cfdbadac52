"""Which batches each model has learnt from, by name."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import polars as pl

from pipeline.learning.ferment import Supply
from pipeline.learning.gravity.supply import read_supply, topped_before_last
from pipeline.learning.models import Models
from pipeline.learning.volume.stages import read_stages

MODELS = ("volume", "gravity", "taste", "sticking")


def learnt_from(models: Models, batches: pl.DataFrame, steps: pl.DataFrame) -> dict[str, list[str]]:
    """Return the batches that each model counts itself to rest on, in the logbook's order.

    Parameters
    ----------
    models : Models
    batches, steps : polars.DataFrame
        The mart's tables that they were fitted to.
    """
    musts = models.musts
    stages = read_stages(musts, steps)
    reference = musts["poured"] + musts["strained_reference"]
    measured = stages.must[np.isfinite(reference[stages.must]) & np.isfinite(stages.net)]
    topping = topped_before_last(batches, steps)
    supply = read_supply(musts, models.gravity.typical, topping)
    known = np.all([np.isfinite(getattr(supply, part.name)) for part in fields(Supply)], axis=0)
    finished = batches["final_gravity"].cast(pl.Float64).is_not_null().to_numpy()
    places = {
        "volume": np.unique(measured),
        "gravity": np.flatnonzero(known & finished),
        "taste": np.unique(models.taste.pours.must),
    }
    named = {name: [musts.ids[place] for place in rows] for name, rows in places.items()}
    return named | {"sticking": list(models.sticking.taught_by)}
