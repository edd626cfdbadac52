"""All that is expected of musts which nobody has made yet, from the three models together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipeline.cellar.notes import keep
from pipeline.learning.departures import DEPARTURES
from pipeline.learning.doubtful import Moved, moved_musts
from pipeline.learning.ferments import Ferments, Told, expected_ferment
from pipeline.learning.first_reading import final_after_first
from pipeline.learning.mixed.contrasts import curved_spread, regressor_spread
from pipeline.learning.models import Models
from pipeline.learning.musts import Musts, read_musts
from pipeline.learning.outcome import Outcome
from pipeline.learning.sticking_chances import Chances
from pipeline.learning.taste import with_harshness
from pipeline.learning.taste.acidity import fermented
from pipeline.learning.taste.fit import AnswerFit
from pipeline.learning.taste.inputs import TasteInputs
from pipeline.learning.usual import as_usually_done
from pipeline.learning.volume import MISFIT, planned_curve

UNITS = {
    "finished_fraction": "1",
    "original_gravity": "SG",
    "final_gravity": "SG",
    "alcohol": "% vol",
    "residual_sugar": "g/L",
    "nitrogen_needed": "mg/L",
    "acidity": "g/L",
    "harshness": "points",
    "score": "points",
}
_LOWEST = {"final_gravity": 0.98, "original_gravity": 0.99}
OF_FERMENT = {
    "original_gravity": "original",
    "final_gravity": "undiluted",
    "alcohol": "alcohol",
    "residual_sugar": "residual",
    "nitrogen_needed": "needed",
}


@dataclass(frozen=True)
class Forecast:
    """What is expected of several musts: outcomes by the names that answers use."""

    musts: Musts
    outcomes: dict[str, Outcome]
    sticking: Chances
    taste: TasteInputs  # what the taste answers rest on, one row per must

    def __getitem__(self, name: str) -> Outcome:
        return self.outcomes[name]

    def take(self, rows: np.ndarray) -> Forecast:
        """Return it for some of the musts, in the order of these places."""
        return Forecast(
            self.musts.take(rows),
            {name: outcome.take(rows) for name, outcome in self.outcomes.items()},
            self.sticking.take(rows),
            self.taste.take(rows),
        )

    def row(self, must_id: str) -> int:
        """Return the place of a must."""
        return self.musts.ids.index(must_id)


@dataclass(frozen=True)
class VolumeForecast:
    """The finished share of the target alone that is expected of several musts."""

    musts: Musts
    outcome: Outcome


def forecast(
    models: Models, musts: pl.DataFrame, must_fruits: pl.DataFrame, *, with_doubts: bool = True
) -> Forecast:
    """Return what the models expect of musts.

    Parameters
    ----------
    models : Models
    musts, must_fruits : polars.DataFrame
        Rows of the mart's tables of those names, or of `pipeline.cellar.plan.plan_musts`.
    with_doubts : bool
        Whether doubt about amounts (spoons, `~`, what is not said) widens what is expected; a
        search that only compares recipes saves the time.
    """
    # What is not known is NaN and passes through.
    with np.errstate(invalid="ignore"):
        return keep(_forecast(models, _read(models, musts, must_fruits), with_doubts))


def forecast_volume(models: Models, musts: pl.DataFrame, must_fruits: pl.DataFrame) -> Outcome:
    """Return the finished share of the target alone, as `forecast` has it."""
    read = _read(models, musts, must_fruits)
    return keep(VolumeForecast(read, _volume(models, read, moved_musts(read)))).outcome


def forecast_end(
    models: Models, musts: pl.DataFrame, must_fruits: pl.DataFrame, original: dict[str, float]
) -> Outcome:
    """Return the finished gravity of musts that ferment, sharpened by what was read first.

    Parameters
    ----------
    models : Models
    musts, must_fruits : polars.DataFrame
        As `forecast` has them; the outcome stands in the order of the musts.
    original : dict of str to float
        First reading [SG] by must, of those that have one.
    """
    read = _read(models, musts, must_fruits)
    first = np.array([original.get(must, np.nan) for must in read.ids])
    with np.errstate(invalid="ignore"):
        found = final_after_first(models.gravity, read, first, moved_musts(read))
    return _of_gravity(models, "final_gravity", found)


def _read(models: Models, musts: pl.DataFrame, must_fruits: pl.DataFrame) -> Musts:
    """Describe musts; what a plan leaves open is done as this maker usually does it."""
    return as_usually_done(read_musts(musts, must_fruits, models.fruits), models.musts)


def _forecast(models: Models, read: Musts, with_doubts: bool) -> Forecast:
    moved = moved_musts(read) if with_doubts else None
    ferments = expected_ferment(models.gravity, read, moved)
    outcomes = _of_ferment(models, ferments)
    outcomes["finished_fraction"] = _volume(models, read, moved)
    inputs = models.taste.read(read, fermented(ferments))
    outcomes |= _of_taste(models, inputs)
    return Forecast(read, outcomes, models.sticking.chances(read, ferments), inputs)


def _volume(models: Models, musts: Musts, moved: Moved | None) -> Outcome:
    model = models.volume
    curve = planned_curve(model, musts)
    coefficients = np.zeros(curve.width) if model.fit is None else model.fit.coefficients
    mean, slope, _ = curve(coefficients)
    spread = curved_spread(model.fit, curve.grouped(), curve.width)
    sd = MISFIT * spread(slope)
    if moved is not None:
        there = planned_curve(model, moved.musts)(coefficients)[0]
        sd = np.sqrt(sd**2 + moved.variance(mean, there))
    return Outcome(
        mean=mean,
        sd=sd,
        noise=model.new_batch_sd(musts),
        degrees=model.degrees,
        batches=model.batches,
        unit=UNITS["finished_fraction"],
        bounds=(0.0, np.inf),
        slope=slope,
        spread=spread,
        departure=DEPARTURES["finished_fraction"],
    )


def _of_ferment(models: Models, ferments: Ferments) -> dict[str, Outcome]:
    return {
        name: _of_gravity(models, name, ferments.told(inner)) for name, inner in OF_FERMENT.items()
    }


def _of_gravity(models: Models, name: str, told: Told) -> Outcome:
    return Outcome(
        mean=told.mean,
        sd=told.sd,
        noise=told.noise,
        degrees=models.gravity.degrees,
        batches=models.gravity.batches,
        unit=UNITS[name],
        bounds=(_LOWEST.get(name, 0.0), np.inf),
        slope=told.slope,
        spread=told.spread,
        departure=DEPARTURES[name],
    )


def _of_taste(models: Models, inputs: TasteInputs) -> dict[str, Outcome]:
    taste = models.taste
    with_harsh = with_harshness(inputs, taste.harshness)
    share = taste.score_out_of / 20.0
    acidity = inputs.number["acidity"]
    found = {
        "harshness": _answer(models, taste.harshness, inputs, "harshness", 1.0, 10.0),
        "score": _answer(models, taste.score, with_harsh, "score", share, taste.score_out_of),
    }
    doubt = inputs.doubt.get("acidity", np.zeros(acidity.size))
    found["acidity"] = Outcome(
        mean=acidity,
        sd=doubt,
        noise=np.zeros(acidity.size),
        degrees=3.0,
        batches=taste.batches,
        unit=UNITS["acidity"],
        bounds=(0.0, np.inf),
    )
    return found


def _answer(
    models: Models, fit: AnswerFit, inputs: TasteInputs, name: str, share: float, highest: float
) -> Outcome:
    found = fit.posterior(inputs)
    _, columns = fit.design(inputs)
    slope = columns.matrix().toarray() * share
    departure = DEPARTURES[name]
    return Outcome(
        mean=found.mean * share,
        sd=found.sd * share,
        noise=np.full(found.mean.size, models.taste.new_batch_sd(name)),
        degrees=fit.degrees,
        batches=models.taste.batches,
        unit=UNITS[name],
        bounds=(0.0, highest),
        slope=slope,
        spread=None if fit.regressor is None else regressor_spread(fit.regressor),
        departure=replace(departure, least=departure.least * share),
    )
