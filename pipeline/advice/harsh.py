"""Why wine tastes harsh: the logbook's evidence, with the trade's rules of thumb beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from pipeline.advice.cautions import cautions_due
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.cautions.circumstances_batch import circumstances_of_batches
from pipeline.advice.cautions.shelf import OF_THE_FRUIT
from pipeline.advice.harsh_practice import FINE, PRACTICE, SWEETEN, SWEETENED_BY_G_L
from pipeline.learning.explain import BatchReasons, Reason, explain_batch
from pipeline.learning.explain.drivers import Driver, harsh_drivers

if TYPE_CHECKING:
    from pipeline.cellar.store import Cellar
    from pipeline.learning.taste import TasteModel

WORTH_ADVICE = 0.05  # [points] under which a contribution calls for nothing


class FittedModels(Protocol):
    """What is asked of the fitted models."""

    @property
    def taste(self) -> TasteModel:
        """The taste model."""
        ...


def answer(cellar: Cellar, models: FittedModels, batch: str | None = None) -> dict[str, Any]:
    """Answer why wine is harsh, over all batches or for one.

    Parameters
    ----------
    cellar : Cellar
    models : FittedModels
    batch : str, optional
        A batch of the logbook.

    Returns
    -------
    dict
        The machine form of `hedgerow harsh`.

    Raises
    ------
    UnknownNameError
        If the logbook has no such batch.
    """
    if batch is None:
        return {"drivers": [_driver(driver) for driver in harsh_drivers(models.taste)]}
    cellar.batch(batch)
    found = _explained(explain_batch(models.taste, batch))
    return {**found, "cautions": _cautions(cellar, batch, found)}


def _cautions(cellar: Cellar, batch: str, found: dict[str, Any]) -> list[dict[str, str]]:
    """Return what must be said of the wine, and of what is advised to be done to it."""
    advised = {text for reason in found["reasons"] for text in reason["now"]}
    now = circumstances_of_batches(cellar, [batch]).get(batch, Circumstances())
    kinds, sugar = set(now.kinds), now.sugar_g_l
    if FINE in advised:
        kinds.add("fining")
    if SWEETEN in advised:
        kinds |= {"sulphite", "sorbate"}
        sugar = max(sugar or 0.0, SWEETENED_BY_G_L)
    steps = {"drink"} | (set(now.steps) & {"ferment"})
    due = cautions_due(replace(now, kinds=kinds, sugar_g_l=sugar, steps=steps))
    # The fruit is out, and what could be said of handling it was said when the must was made.
    return [caution.as_dict() for caution in due if caution.trigger not in OF_THE_FRUIT]


def _driver(driver: Driver) -> dict[str, Any]:
    return {
        "factor": driver.factor,
        "effect": None if driver.effect is None else driver.effect.as_dict(),
        "per": driver.per,
        "doubts": [doubt.as_dict() for doubt in driver.doubts],
    }


def _explained(found: BatchReasons) -> dict[str, Any]:
    return {
        "batch": found.batch,
        "harshness": None if found.harshness is None else found.harshness.as_dict(),
        "measured": found.measured,
        "expected": found.expected,
        "reasons": [_reason(reason) for reason in found.reasons],
        "confounded_sets": [list(group) for group in found.confounded_sets],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    practice = PRACTICE[reason.factor]
    is_harsher = reason.contribution.value > WORTH_ADVICE
    return {
        "factor": reason.factor,
        "contribution": reason.contribution.as_dict(),
        "compared_with": reason.compared_with,
        "practice": practice.text,
        "now": list(practice.now) if is_harsher else [],
        "next_time": list(practice.next_time) if is_harsher else [],
        "doubts": [doubt.as_dict() for doubt in reason.doubts],
    }
