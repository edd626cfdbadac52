"""The models of one logbook, fitted together, each feeding the next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import polars as pl
from threadpoolctl import threadpool_limits

from pipeline.cellar.notes import keep
from pipeline.learning.gravity import GravityModel, fit_gravity
from pipeline.learning.musts import Musts, read_musts
from pipeline.learning.plausible import without_impossible
from pipeline.learning.sticking import StickingModel, fit_sticking
from pipeline.learning.taste import TasteModel, fit_taste
from pipeline.learning.taste.acidity import fermented_musts
from pipeline.learning.volume import VolumeModel, fit_volume

if TYPE_CHECKING:
    from pipeline.cellar import Cellar


@dataclass
class Frames:
    """The mart's tables that models learn from; one row per batch, fruit in it, step and glass."""

    batches: pl.DataFrame
    must_fruits: pl.DataFrame
    steps: pl.DataFrame
    glasses: pl.DataFrame
    score_out_of: float = 20.0
    harsh_from: float = 5.0

    def of(self, batch_ids: list[str]) -> Frames:
        """Return the same of some batches only, in the order of the logbook."""
        kept = pl.col("batch_id").is_in(batch_ids)
        return Frames(
            self.batches.filter(kept),
            self.must_fruits.filter(pl.col("must_id").is_in(batch_ids)),
            self.steps.filter(kept),
            self.glasses.filter(kept),
            self.score_out_of,
            self.harsh_from,
        )


@dataclass
class Models:
    """What a logbook taught.

    Attributes
    ----------
    musts : Musts
        The batches learnt from, one entry each.
    volume, gravity, sticking, taste
        The fitted models.
    """

    musts: Musts
    volume: VolumeModel
    gravity: GravityModel
    sticking: StickingModel
    taste: TasteModel

    @property
    def fruits(self) -> tuple[str, ...]:
        """Fruits that have effects of their own."""
        return self.musts.fruits


def read_frames(cellar: Cellar) -> Frames:
    """Return the tables that models learn from."""
    settings = cellar.settings()
    batches, must_fruits, steps = without_impossible(
        cellar.table("batches"),
        cellar.table("must_fruits").filter(~pl.col("is_planned")),
        cellar.table("steps"),
    )
    return Frames(
        batches,
        must_fruits,
        steps,
        cellar.table("glasses"),
        float(settings["score_out_of"]),
        float(settings["harsh_from"]),
    )


def fit_models(cellar: Cellar) -> Models:
    """Fit the volume, gravity and taste models to a logbook.

    Parameters
    ----------
    cellar : Cellar
        Or anything else with `table` and `settings`.

    Returns
    -------
    Models
        Fitted in memory only: refitting is quick, and no file is trusted to hold a model.
    """
    return keep(fit_frames(read_frames(cellar)))


def fit_frames(frames: Frames, start: Models | None = None) -> Models:
    """Fit the three models to some batches.

    Parameters
    ----------
    frames : Frames
    start : Models, optional
        Models of nearly the same batches, to start from.
    """
    # Matrices of a hundred columns: threads wait for each other longer than they compute. What is
    # not known is NaN and passes through; nothing is lost by keeping quiet about it.
    with threadpool_limits(limits=1, user_api="blas"), np.errstate(invalid="ignore"):
        return _fit(frames, start)


def _fit(frames: Frames, start: Models | None) -> Models:
    musts = read_musts(frames.batches, frames.must_fruits, None if start is None else start.fruits)
    volume = fit_volume(musts, frames.steps, None if start is None else start.volume)
    gravity = fit_gravity(
        musts, frames.batches, frames.steps, None if start is None else start.gravity
    )
    sticking = fit_sticking(musts, frames.batches, gravity)
    taste = fit_taste(
        musts,
        frames.batches,
        frames.glasses,
        of_gravity=fermented_musts(gravity, musts),
        score_out_of=frames.score_out_of,
        harsh_from=frames.harsh_from,
        start=None if start is None else start.taste,
    )
    return Models(musts, volume, gravity, sticking, taste)
