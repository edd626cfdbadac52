"""Everything the report is made of: the answers to all questions of one logbook."""

from __future__ import annotations

from datetime import date
from typing import Any

import polars as pl

from pipeline.advice import answer as ask
from pipeline.advice import suggest
from pipeline.advice.cautions.shelf import shelf_cautions
from pipeline.cellar import Cellar
from pipeline.errors import CannotSayError
from pipeline.learning import Models

_MOST_PLANNED = 12  # recipes for which the report searches changes


def answer(cellar: Cellar, models: Models) -> dict[str, Any]:
    """Put every question about a logbook.

    Parameters
    ----------
    cellar : Cellar
    models : Models

    Returns
    -------
    dict
        ``written_on`` (a date), the answers of ``volume``, ``yeasts``, ``harsh``, ``finish`` and
        ``fit`` under those names (None where the logbook cannot say), ``harsh_batch`` (of the
        harshest batch several people tasted, or None), ``predict`` (None without planned recipes)
        ``suggest`` (one answer a planned recipe) and ``cautions`` (of the batches).
    """
    recipes = planned_recipes(cellar)[:_MOST_PLANNED]
    found = {
        name: _asked(name, cellar, models)
        for name in ("volume", "yeasts", "harsh", "finish", "fit")
    }
    harshest = harshest_batch(cellar)
    return found | {
        "written_on": date.today().isoformat(),
        "harsh_batch": None if harshest is None else _asked("harsh", cellar, models, harshest),
        "predict": _asked("predict", cellar, models, recipes) if recipes else None,
        "suggest": suggest.answers(cellar, models, recipes) if recipes else [],
        "cautions": shelf_cautions(cellar),
    }


def _asked(question: str, cellar: Cellar, models: Models, *about: Any) -> dict[str, Any] | None:
    try:
        return ask(question, cellar, models, *about)
    except CannotSayError:
        return None


def planned_recipes(cellar: Cellar) -> list[str]:
    """Return the recipes of recipes.csv, in their order there."""
    recipes = cellar.table("staged_recipes")["recipe"]
    return recipes.unique(maintain_order=True).to_list()


def harshest_batch(cellar: Cellar) -> str | None:
    """Return the batch whose glasses were harshest, of those that several people tasted."""
    batches = cellar.table("batches")
    tasted = batches.filter((pl.col("glasses") >= 2) & pl.col("harshness").is_not_null())
    return None if tasted.is_empty() else str(tasted.sort("harshness", "batch_id")["batch_id"][-1])
